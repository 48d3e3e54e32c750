"""Why service cannot be sooner, and what would make it so: each change checked by solving."""

import time
from bisect import bisect_left
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from functools import partial, reduce
from itertools import combinations, groupby

from domain.kitchen import Kitchen
from domain.menu import Menu
from scheduling.case import Case, whole_second
from scheduling.changes import Change, changed, changes, in_time, soonest
from scheduling.collision import Collision, collision
from scheduling.impossible import lacks
from scheduling.limits import wanted_by_s
from scheduling.reason_words import SHOWN, Manner, changes_told, collision_told
from scheduling.timetable import Progress, Timetable

SOONER_S = 60.0  # a change that gains less is not worth telling
LATER_STEP_S = 300  # guests are told of whole five minutes
LATER_MOST_S = 3600  # after more than an hour it is another meal: our own choice
# A cook who asks waits no longer; no change that takes a quarter of it to check is told.
LIMIT_S = 2.0


@dataclass(frozen=True)
class Help:
    """Changes, to be made together, and a service that they make possible, POSIX seconds."""

    changes: tuple[Change, ...]
    service_at: float


@dataclass(frozen=True)
class WhyLate:
    """Why service is no sooner than service_at, the earliest that works; POSIX seconds.

    wanted_at: the service that cannot be; a minute sooner than the earliest when none was wanted.
    collision: what leaves no room for it; None when that could not be told in time. helps: those
    that make it possible, each a single change, what asks least of the cook first; when there are
    none, two changes together; only when there are none of these either, what at least makes
    service sooner, what gains most first. Changes of different kinds go before more of one kind.
    """

    case: Case
    service_at: float
    wanted_at: float
    collision: Collision | None
    helps: tuple[Help, ...]

    @property
    def in_time(self) -> bool:
        """Whether the helps make the wanted service possible."""
        return any(help.service_at <= self.wanted_at for help in self.helps)

    def sentences(self, manner: Manner = SHOWN) -> tuple[str, ...]:
        """The reason and what would help, in kitchen words."""
        told = []
        if self.collision:
            told.append(collision_told(self.collision, manner))
        if self.in_time:
            ways = [changes_told(self.case, help.changes, manner) for help in self.helps]
            both = ", two changes together" if len(self.helps[0].changes) > 1 else ""
            told.append(f"To eat at {manner.clock(self.wanted_at)}{both}: {'; or '.join(ways)}.")
        elif self.helps:
            told.append(f"No change that was tried makes {manner.clock(self.wanted_at)} possible.")
            for help in self.helps:
                what = changes_told(self.case, help.changes, manner)
                sooner = manner.span(self.service_at - help.service_at)
                told.append(f"{what[0].upper()}{what[1:]}: {sooner} sooner.")
        return tuple(told)


def why_late(
    menu: Menu,
    kitchen: Kitchen,
    *,
    now: float,
    wanted_at: float | None,
    progress: Progress | None = None,
    planned: Timetable | None = None,
    limit_s: float | None = None,
    most: int = 3,
) -> WhyLate | None:
    """Why service cannot be at wanted_at (None: any sooner); None when there is no such reason.

    That is when it can be, when no plan is found at all, or when nothing sooner is ruled out.
    planned: the plan made for the same, where there is one. limit_s: seconds in all, LIMIT_S by
    default; what is not proven in them is not told. most: how many helps.
    """
    limit_s = LIMIT_S if limit_s is None else limit_s
    until = time.monotonic() + limit_s
    case = Case(menu, kitchen, whole_second(now), wanted_at, progress or Progress())
    earliest = planned
    if earliest is None or not earliest.soonest:
        earliest = None if lacks(case) else soonest(case, limit_s / 4)
    if earliest is None or not earliest.soonest:
        return None
    service_at = earliest.service_at
    if wanted_at is None:
        case = replace(case, wanted_at=service_at - SOONER_S)
    elif service_at <= wanted_at:
        return None
    assert case.wanted_at is not None
    helps = _helps(case, service_at, until - limit_s / 3, most)
    collide, by_s = None, wanted_by_s(case)
    if by_s >= 0:
        collide = collision(case, by_s=by_s, limit_s=until - time.monotonic())
    return WhyLate(case, service_at, case.wanted_at, collide, helps)


def _helps(case: Case, service_at: float, until: float, most: int) -> tuple[Help, ...]:
    """What makes the wanted service possible; else what makes service sooner."""
    assert case.wanted_at is not None
    for tried in (_alone(case, until), _together(case, until)):
        if landing := tuple(Help(one, case.wanted_at) for one in _varied(tried, most)):
            return landing
    sooner = []
    for change in changes(case):
        left_s = until - time.monotonic()
        if left_s > 0 and change.kind != "later":
            found = soonest(changed(case, change), min(left_s, LIMIT_S / 4))
            if found and service_at - found.service_at >= SOONER_S:
                sooner.append(Help((change,), found.service_at))
    gained = sorted(sooner, key=lambda help: help.service_at)
    first = {help.changes[0].kind: help for help in reversed(gained)}.values()
    others = [help for help in gained if help not in first]
    helps = [*[help for help in gained if help in first], *others][:most]
    return tuple(sorted(helps, key=lambda help: help.service_at))


Tried = tuple[tuple[Change, ...], Callable[[], tuple[Change, ...] | None]]


def _varied(tries: Iterable[Tried], most: int) -> list[tuple[Change, ...]]:
    """Of what is tried and lands, the first of each kind; more of a kind only for want of those."""
    found: list[tuple[Change, ...]] = []
    kinds: set[tuple[str, ...]] = set()
    again = []
    for made, lands in tries:
        kind = tuple(change.kind for change in made)
        if kind in kinds:
            again.append(lands)
        elif len(found) < most and (landing := lands()):
            found.append(landing)
            kinds.add(kind)
    for lands in again:
        if len(found) < most and (landing := lands()):
            found.append(landing)
    return found


def _alone(case: Case, until: float) -> Iterator[Tried]:
    """Each change that may make the wanted service possible by itself."""
    for kind, group in groupby(changes(case), key=lambda change: change.kind):
        if kind == "later":
            yield (Change("later"),), partial(_least_later, case, list(group), until)
        else:
            yield from (((change,), partial(_landing, case, (change,), until)) for change in group)


def _together(case: Case, until: float) -> Iterator[Tried]:
    """Each two changes that may make it possible together."""
    single = [change for change in changes(case) if change.kind not in ("later", "left out")]
    for both in combinations(single, 2):
        yield both, partial(_landing, case, both, until)


def _landing(case: Case, made: tuple[Change, ...], until: float) -> tuple[Change, ...] | None:
    return made if _lands(case, made, until) else None


def _least_later(case: Case, group: list[Change], until: float) -> tuple[Change, ...] | None:
    """The dish that has to be served later by least."""
    least = [least for change in group if (least := _least(case, change, until))]
    return (min(least, key=lambda one: one.later_s),) if least else None


def _least(case: Case, later: Change, until: float) -> Change | None:
    """A dish served later by no more than it takes; None when that does not do."""

    def moved(steps: int) -> Change:
        return replace(later, later_s=steps * LATER_STEP_S)

    def lands(steps: int) -> bool:
        return _lands(case, (moved(steps),), until)

    steps = range(1, LATER_MOST_S // LATER_STEP_S + 1)
    if not lands(steps[-1]):
        return None
    return moved(steps[min(bisect_left(steps, True, key=lands), len(steps) - 1)])


def _lands(case: Case, made: tuple[Change, ...], until: float) -> bool:
    left_s = until - time.monotonic()
    return left_s > 0 and in_time(reduce(changed, made, case), min(left_s, LIMIT_S / 4))
