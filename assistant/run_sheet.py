"""The run sheet: a timetable as moves in lanes, which are then written as text, SVG or iCalendar.

All times are POSIX seconds; the kitchen's wall clock is read only where a time is written.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from assistant.run_sheet_words import clean, clock, degrees, letter
from domain.kitchen import Kitchen, UnitSystem
from domain.menu import Attention, Menu, Step
from scheduling.compose import Progress, Timetable, all_steps
from scheduling.timetable import WASH_UP, Slot, oven_use

Status = Literal["waiting", "running", "done"]

# Shorter rests of the hands are not worth a line: our own choice.
BREAK_S = 300.0
_RANK: dict[Attention, int] = {"hands-on": 0, "watched": 1, "unattended": 2}


@dataclass(frozen=True)
class Lane:
    """A dish on the sheet. ready_at: None when none of it is on the sheet."""

    letter: str
    name: str
    title: str
    ready_at: float | None
    serve_at: float


@dataclass(frozen=True)
class Serving:
    """A moment when dishes go to the table: service itself, or a course before or after it.

    short: the name with the letters of the dishes' lanes, where titles would be too many.
    """

    at: float
    name: str
    short: str


@dataclass(frozen=True)
class Move:
    """One step in its place, or one part of a step that is put down and taken up again.

    letter: of its dish's lane, "" for the heating of an oven. name, say, way ("in the oven") and
    gate ("until it boils") are fit to be shown; mark: the words of a fixed mark, "" without.
    begins: somebody has to set it going; other steps go on from the one before. part: which
    stretch of a step with breaks.
    """

    step: Step
    letter: str
    name: str
    say: str
    start_at: float
    end_at: float
    cook: str
    oven: str
    status: Status = "waiting"
    gate: str = ""
    mark: str = ""
    begins: bool = True
    way: str = ""
    part: int = 1

    @property
    def key(self) -> str:
        """The step's key, and after a break which part of it this is."""
        return self.step.key if self.part == 1 else f"{self.step.key}, part {self.part}"

    @property
    def attention(self) -> Attention:
        return self.step.attention

    @property
    def rings(self) -> int:
        """How many rings it takes."""
        return sum(use.count for use in self.step.uses if use.what == "ring")

    @property
    def heats(self) -> bool:
        """True for the heating of an oven, which is of no dish."""
        use = oven_use(self.step)
        return use is not None and use.count == 0


@dataclass(frozen=True)
class Spell:
    """A stretch of an oven at one temperature: set at start_at, hot from hot_at."""

    oven: str
    degrees: str
    start_at: float
    hot_at: float
    end_at: float


@dataclass(frozen=True)
class RunSheet:
    """All that is on the sheet. moves are in order of start.

    courses: when dishes go to the table, in order; service is one of them. breaks: when no
    hands and no eyes are needed. now: the present moment, None on a plan.
    """

    name: str
    title: str
    kitchen: str
    servings: int
    service_at: float
    wanted_at: float | None
    proven: bool
    missed: tuple[str, ...]
    why: tuple[str, ...]
    lanes: tuple[Lane, ...]
    moves: tuple[Move, ...]
    courses: tuple[Serving, ...]
    spells: tuple[Spell, ...]
    rings: int
    cooks: tuple[str, ...]
    breaks: tuple[tuple[float, float], ...]
    now: float | None = None

    @property
    def start_at(self) -> float:
        return min((move.start_at for move in self.moves), default=self.service_at)

    @property
    def end_at(self) -> float:
        """When the last dish goes to the table."""
        return self.courses[-1].at

    def lane(self, move: Move) -> Lane | None:
        """The lane of a move, None for the heating of an oven."""
        return next((lane for lane in self.lanes if lane.letter == move.letter), None)

    def late_line(self) -> str:
        """Why service is not at the time asked for, "" when it is."""
        if self.wanted_at is None or self.service_at - self.wanted_at < 60:
            return ""
        return f"Not by {clock(self.wanted_at)}: {clock(self.service_at)} is the earliest."


def run_sheet(
    menu: Menu,
    kitchen: Kitchen,
    timetable: Timetable,
    *,
    progress: Progress | None = None,
    now: float | None = None,
    units: UnitSystem | None = None,
    why: Sequence[str] = (),
) -> RunSheet:
    """The sheet of a timetable; live with `progress` and `now` (POSIX seconds).

    units: the cook's, by default the kitchen's own; they decide the scale of oven temperatures.
    why: sentences on why service is late and what would help.
    """
    so_far = progress or Progress()
    lanes = tuple(
        Lane(
            letter(i),
            dish.name,
            clean(dish.title),
            timetable.ready_at.get(dish.name),
            timetable.serve_at.get(dish.name, timetable.service_at),
        )
        for i, dish in enumerate(menu.dishes)
        if dish.name not in so_far.dropped
    )
    scale = units or kitchen.units
    moves = tuple(
        sorted(
            _moves(menu, kitchen, timetable, so_far, lanes, scale),
            key=lambda move: (move.start_at, _RANK[move.attention], move.end_at, move.letter),
        )
    )
    return RunSheet(
        name=menu.name,
        title=clean(menu.title),
        kitchen=clean(kitchen.title),
        servings=menu.servings,
        service_at=timetable.service_at,
        wanted_at=timetable.wanted_at,
        proven=timetable.proven,
        missed=tuple(map(clean, timetable.missed)),
        why=tuple(map(clean, why)),
        lanes=lanes,
        moves=moves,
        courses=tuple(_courses(lanes, timetable.service_at)),
        spells=tuple(_spells(moves, scale)),
        rings=kitchen.rings,
        cooks=tuple(map(clean, kitchen.cooks)),
        breaks=tuple(_breaks(moves)),
        now=now,
    )


def _courses(lanes: tuple[Lane, ...], service_at: float) -> Iterator[Serving]:
    """Service, and every other moment at which dishes are served; named where there are several."""
    moments = sorted({service_at, *(lane.serve_at for lane in lanes)})
    for at in moments:
        name = "service" if at == service_at else "serve"
        served = [lane for lane in lanes if lane.serve_at == at and len(moments) > 1]
        if not served:
            yield Serving(at, name, name)
            continue
        long = f"{name}: {', '.join(lane.title for lane in served)}"
        letters = f"{name}: {', '.join(lane.letter for lane in served)}"
        yield Serving(at, long, letters if len(served) > 1 else long)


def _moves(
    menu: Menu,
    kitchen: Kitchen,
    timetable: Timetable,
    progress: Progress,
    lanes: tuple[Lane, ...],
    scale: UnitSystem,
) -> Iterator[Move]:
    marks = {mark.step: mark.shown or "a fixed mark" for mark in menu.marks}
    for step in all_steps(menu, kitchen):
        placed = timetable.slots.get(step.key)
        step = step.done_by(placed.way) if placed else step
        times = progress.done.get(step.key) or progress.running.get(step.key)
        if times is None and placed:
            times = placed.start_at, placed.end_at
        if progress.absent(step) or times is None:
            continue
        start_at, end_at = times
        oven = (placed.oven if placed else progress.ovens.get(step.key)) or ""
        move = Move(
            step=step,
            letter=_letter(step, lanes),
            name=clean(step.name),
            say=clean(step.say),
            start_at=start_at,
            end_at=max(start_at, end_at),
            cook=clean((placed.cook if placed else "") or ""),
            oven=clean(oven),
            status=_status(step.key, progress),
            gate=_gate(step),
            mark=clean(marks.get(step.key, "")),
            begins=step.attention == "hands-on" or not any(f.in_turn for f in step.follows),
            way=clean(step.way),
        )
        if move.heats:
            yield _heating_named(move, scale)
        else:
            yield from _parts(move, placed) if placed else (move,)


def _parts(move: Move, placed: Slot) -> Iterator[Move]:
    """The stretches of a move between its breaks: a cook who comes back to it needs a line."""
    for (from_at, until), cook in zip(placed.breaks, placed.cooks[1:], strict=True):
        if move.start_at < from_at <= until < move.end_at and move.status != "done":
            yield replace(move, end_at=from_at, gate="")
            name = move.name if move.part > 1 else f"go on: {move.name}"
            move = replace(move, start_at=until, name=name, part=move.part + 1, mark="")
            move = replace(move, cook=clean(cook or ""))
    yield move


def _letter(step: Step, lanes: tuple[Lane, ...]) -> str:
    """Its dish's; washing up goes with the dish that leaves it, or with any where that is gone."""
    letters = {lane.name: lane.letter for lane in lanes}
    if step.dish != WASH_UP:
        return letters.get(step.dish, "")
    left_by = step.follows[0].step.partition("/")[0]
    return letters.get(left_by, next(iter(letters.values()), ""))


def _heating_named(move: Move, scale: UnitSystem) -> Move:
    use = oven_use(move.step)
    assert use is not None
    named = f"set the {move.oven or 'oven'} to {degrees(use.celsius, scale)}"
    return replace(move, name=named, say=named[0].upper() + named[1:] + ".")


def _status(key: str, progress: Progress) -> Status:
    if key in progress.done:
        return "done"
    return "running" if key in progress.running else "waiting"


def _gate(step: Step) -> str:
    if step.gate is None:
        return ""
    return clean(f"{'until' if step.gate.moment == 'end' else 'once'} {step.gate.shown}")


def _spells(moves: tuple[Move, ...], scale: UnitSystem) -> Iterator[Spell]:
    """Each oven's temperatures: from the moment it is set to the end of what bakes at it."""
    latest: dict[str, Spell] = {}
    for move in moves:
        use = oven_use(move.step)
        if use is None:
            continue
        spell = latest.get(move.oven)
        if spell is None or move.heats:
            if spell:
                yield replace(spell, end_at=min(spell.end_at, move.start_at))
            hot_at = move.end_at if move.heats else move.start_at
            told = degrees(use.celsius, scale)
            latest[move.oven] = Spell(move.oven, told, move.start_at, hot_at, move.end_at)
        else:
            latest[move.oven] = replace(spell, end_at=max(spell.end_at, move.end_at))
    yield from latest.values()


def _breaks(moves: tuple[Move, ...]) -> Iterator[tuple[float, float]]:
    free_from: float | None = None
    for move in moves:
        if move.attention == "unattended" and not move.begins:
            continue
        if free_from is not None and move.start_at - free_from >= BREAK_S:
            yield free_from, move.start_at
        # Whoever sets something going is free again at once.
        end_at = move.start_at if move.attention == "unattended" else move.end_at
        free_from = max(end_at, free_from if free_from is not None else end_at)
