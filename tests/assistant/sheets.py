"""A small plan by hand, its run sheets, and names that are hard to write."""

from dataclasses import replace
from datetime import datetime

from hypothesis import strategies as st

from assistant.run_sheet import RunSheet, run_sheet
from domain.kitchen import Kitchen, Oven
from domain.menu import Dish, Duration, Follow, Gate, Mark, Menu, Step, Use
from scheduling.compose import Progress, Slot, Timetable, heating_steps

SIX = datetime(2026, 3, 14, 18, 0).timestamp()
MINUTE = 60.0


def step(dish: str, name: str, minutes: float, attention: str = "hands-on", **more) -> Step:
    likely = round(minutes * 60)
    return Step(name, dish, f"{name.capitalize()}.", Duration(likely, likely, likely), attention,
                **more)  # fmt: skip


BARLEY = Dish(
    "barley",
    "Herbed barley",
    4,
    900,
    (),
    (
        step("barley", "rinse", 2),
        step(
            "barley", "simmer", 20, "unattended", uses=(Use("ring"),),
            follows=(Follow("barley/rinse"),), gate=Gate("end", "it is tender", ()),
        ),
        step("barley", "fluff", 1, follows=(Follow("barley/simmer"),)),
    ),
)  # fmt: skip
ROOTS = Dish(
    "roots",
    "Roast roots",
    4,
    900,
    (),
    (
        step("roots", "cut", 8),
        step(
            "roots", "roast", 20, "unattended", uses=(Use("oven", 1, 200.0),),
            follows=(Follow("roots/cut"),),
        ),
        step(
            "roots", "toss", 3, "watched", uses=(Use("ring", 2),),
            cautions=("Hot fat; it spits.",), follows=(Follow("roots/roast"),),
        ),
    ),
)  # fmt: skip
MENU = Menu(
    "small", "A small supper", 4, (BARLEY, ROOTS), marks=(Mark("roots/cut", 0, "Show it."),)
)
KITCHEN = Kitchen("hut", "The hut", 2, (Oven("oven", 2, 600, 60),), {}, ("cook",))
(HEAT,) = (heating.key for heating in heating_steps(MENU, KITCHEN))
STARTS = {  # minutes after six, and how long
    HEAT: (0, 10),
    "roots/cut": (0, 8),
    "barley/rinse": (8, 2),
    "barley/simmer": (10, 20),
    "roots/roast": (10, 20),
    "roots/toss": (30, 3),
    "barley/fluff": (33, 1),
}
SERVICE = SIX + 36 * MINUTE
ENDS = {"barley": SIX + 34 * MINUTE, "roots": SIX + 33 * MINUTE}


def timetable(late_s: float = 0.0, **more) -> Timetable:
    slots = {
        key: Slot(
            key,
            SIX + start * MINUTE,
            SIX + (start + long) * MINUTE,
            None if key in (HEAT, "barley/simmer", "roots/roast") else "cook",
            "oven" if key in (HEAT, "roots/roast") else None,
        )
        for key, (start, long) in STARTS.items()
    }
    return Timetable(slots, SERVICE, SERVICE - late_s, ENDS, **more)


def named(title: str, name: str) -> tuple[Menu, Timetable]:
    """The small supper with another dish title and the name of one of its steps."""
    cut = replace(ROOTS.steps[0], name=name, say=name)
    roast = replace(ROOTS.steps[1], follows=(Follow(cut.key),))
    roots = replace(ROOTS, title=title, steps=(cut, roast, *ROOTS.steps[2:]))
    plan = timetable()
    slots = {
        (cut.key if key == "roots/cut" else key): replace(
            slot, key=cut.key if key == "roots/cut" else key
        )
        for key, slot in plan.slots.items()
    }
    return replace(MENU, title=title, dishes=(BARLEY, roots), marks=()), replace(plan, slots=slots)


def sheet(**more) -> RunSheet:
    return run_sheet(MENU, KITCHEN, timetable(), **more)


def live(minutes: float):
    """The sheet at a moment, all having gone as planned."""
    now = SIX + minutes * MINUTE
    times = {k: (SIX + s * MINUTE, SIX + (s + long) * MINUTE) for k, (s, long) in STARTS.items()}
    done = {key: pair for key, pair in times.items() if pair[1] <= now}
    running = {key: pair for key, pair in times.items() if pair[0] <= now < pair[1]}
    progress = Progress(done=done, running=running, started_at=SIX)
    return run_sheet(MENU, KITCHEN, timetable(), progress=progress, now=now)


def move(of, key):
    return next(m for m in of.moves if m.step.key == key)


def in_courses(minutes: float) -> RunSheet:
    """The sheet with the roots served so long after service, before it where negative."""
    serve_at = {"barley": SERVICE, "roots": SERVICE + minutes * MINUTE}
    return run_sheet(MENU, KITCHEN, replace(timetable(), serve_at=serve_at))


def with_a_break() -> RunSheet:
    """The sheet with two of the minutes of cutting put off: 18:00 to 18:03, and 18:05 to 18:10."""
    plan = timetable()
    cut = plan.slots["roots/cut"]
    breaks = ((SIX + 3 * MINUTE, SIX + 5 * MINUTE),)
    slots = plan.slots | {cut.key: replace(cut, end_at=SIX + 10 * MINUTE, breaks=breaks)}
    return run_sheet(MENU, KITCHEN, replace(plan, slots=slots))


def crowd(dishes: int) -> tuple[Menu, Timetable]:
    """So many dishes of four steps each, a minute apart."""
    made, slots = [], {}
    for i in range(dishes):
        kinds = ("hands-on", "watched", "unattended", "hands-on")
        steps = tuple(
            Step(f"step {j}", f"d{i}", "Do.", Duration(300, 300, 300), kind)
            for j, kind in enumerate(kinds)
        )
        for j, one in enumerate(steps):
            start_at = SIX + 60.0 * i + 400.0 * j
            slots[one.key] = Slot(one.key, start_at, start_at + 300, "cook")
        made.append(Dish(f"d{i}", f"Dish {i}", 4, 600, (), steps))
    service_at = max((slot.end_at for slot in slots.values()), default=SIX)
    return Menu("many", "Many", 4, tuple(made)), Timetable(slots, service_at, None, {})


ODD = st.text(st.characters(exclude_categories=[]), min_size=0, max_size=60)
AWKWARD = (
    "]]>&<!--", "\x1b[2Jgone", "汉字" * 30, "a" * 200, "e\u0301\u202eabc", "\ud800", "\x00", "",
)  # fmt: skip
NAMES = st.one_of(ODD, st.sampled_from(AWKWARD))
