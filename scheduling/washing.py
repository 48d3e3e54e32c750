"""Washing up while cooking: a piece that one dish has used goes to another only once washed.

A piece stays with its dish from the first use to the last, is dirty then, and is either washed or
left in the sink until nobody else wants it.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from domain.menu import Duration, Follow, Menu, Step, Use
from domain.order import steps_before
from scheduling.timetable import WASH_UP, Progress, wash_key


@dataclass(frozen=True)
class Wash:
    """What one dish leaves to be washed. uses: the steps that the piece is for.

    count: how many pieces of it the dish has at once. begun: it has them by now. takes_s: to wash
    them all. others: the steps of other dishes, not yet done, that want one.
    """

    piece: str
    dish: str
    uses: tuple[Step, ...]
    count: int
    begun: bool
    takes_s: int
    others: tuple[Step, ...]

    @property
    def key(self) -> str:
        return wash_key(self.piece, self.dish)

    @property
    def keys(self) -> frozenset[str]:
        """The keys of its uses."""
        return frozenset(step.key for step in self.uses)

    @property
    def own(self) -> str:
        """The resource of the pieces that this dish has taken."""
        return f"{self.piece} of {self.dish}"

    @property
    def take(self) -> str:
        """The task that marks when the first of several uses takes the piece."""
        return f"take {self.own}"


def left_dirty(piece: str) -> str:
    """A resource of no capacity that marks what a piece left in the sink would keep waiting."""
    return f"{piece} left in the sink"


def washing_steps(menu: Menu) -> tuple[Step, ...]:
    """A step for each dish and each piece to wash that another dish uses too."""
    return tuple(
        Step(
            name=wash_key(piece, dish).removeprefix(f"{WASH_UP}/"),
            dish=WASH_UP,
            say=f"Wash the {piece}.",
            duration=Duration(takes_s, takes_s, takes_s),
            attention="hands-on",
            uses=(Use(piece),),
            follows=tuple(Follow(step.key) for step in steps),
        )
        for piece, takes_s in menu.wash_up.items()
        if len(by_dish := _users(menu.steps, piece)) > 1
        for dish, steps in by_dish.items()
    )


def washes(menu: Menu, progress: Progress, there: Mapping[str, int]) -> tuple[Wash, ...]:
    """What has to be washed, or be left, before all is done. there: how many there are of each.

    Nothing where each dish that still wants a piece has its own.
    """
    found: list[Wash] = []
    for piece, takes_s in menu.wash_up.items():
        wanting = _wanting(menu, progress, piece, takes_s, there.get(piece, 0))
        if sum(wash.count for wash in wanting) > there.get(piece, 0):
            found += [wash for wash in wanting if wash.others]
    return tuple(found)


def _wanting(menu: Menu, progress: Progress, piece: str, takes_s: int, there: int) -> list[Wash]:
    """Each dish that has or will have the piece, the one that has used it last first.

    Where dishes have begun with more than there are, somebody has washed one without a word: it is
    with the dish that used it last, and the dish before begins anew.
    """
    begun = {**progress.done, **progress.running}
    steps = [step for step in menu.steps if step.key in begun or not progress.absent(step)]

    def last_used(uses: list[Step]) -> tuple[bool, float]:
        under_way = any(step.key in progress.running for step in uses)
        return under_way, max((begun[s.key][0] for s in uses if s.key in begun), default=-1.0)

    room, found = there, []
    by_dish = sorted(_users(steps, piece).items(), key=lambda d: last_used(d[1]), reverse=True)
    for dish, uses in by_dish:
        if wash_key(piece, dish) in progress.done.keys() | progress.skipped:
            continue
        has = any(step.key in begun for step in uses)
        count = _at_once(menu, uses, piece, there)
        if has and room < count:
            has, uses = False, [step for step in uses if step.key not in begun]
        room -= count if has else 0
        others = tuple(
            other
            for other in steps
            if other.dish != dish and other.key not in progress.done and _count(other, piece)
        )
        if uses:
            found.append(Wash(piece, dish, tuple(uses), count, has, takes_s * count, others))
    return found


def first_uses(menu: Menu, wash: Wash) -> list[Step]:
    """The uses that come after no other use of the dish."""
    before = steps_before(menu)
    return [step for step in wash.uses if not before[step.key] & wash.keys]


def _users(steps: Iterable[Step], piece: str) -> dict[str, list[Step]]:
    """The steps that use a piece, by dish."""
    found: dict[str, list[Step]] = {}
    for step in steps:
        if _count(step, piece):
            found.setdefault(step.dish, []).append(step)
    return found


def _count(step: Step, piece: str) -> int:
    """How many pieces a step uses, in the way that uses most."""
    each = (way.uses for way in step.in_all_ways())
    return max(sum(use.count for use in uses if use.what == piece) for uses in each)


def _at_once(menu: Menu, uses: list[Step], piece: str, most: int) -> int:
    """How many pieces a dish may have in use at once, and never more than there are.

    Steps that nothing keeps in order, batches too, may each have one.
    """
    before = steps_before(menu)

    def beside(step: Step) -> int:
        free = [o for o in uses if o.key not in before[step.key] and step.key not in before[o.key]]
        return sum(_count(other, piece) for other in free)  # the step itself is one of them

    return min(most, max(map(beside, uses)))
