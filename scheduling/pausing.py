"""Which steps a cook may break off, and into what parts."""

from collections.abc import Mapping

from scheduling.case import Case
from scheduling.parts import Breaks
from scheduling.problem import Problem
from scheduling.timetable import LONGEST_BREAK_S, Timetable

PART_S = 300  # so long a cook stays at it before a break: common practice, not a published figure
HANDS = frozenset({"hands", "attention"})


def breaks_of(case: Case, problem: Problem) -> Breaks:
    """The pausable steps to be done or under way that are long enough, in parts.

    Only for a cook alone: of two, the other takes up what comes in between. What is put down now
    is taken up again as it is. Nothing is broken off for less than service, a limit or a hold: not
    for a dish to wait less, nor for a calmer plan.
    """
    lengths: dict[str, tuple[int, ...]] = {}
    for step in case.menu.steps if case.cooks == 1 else ():
        if not step.pausable or step.key not in problem.by_name:
            continue
        task = problem.task(step.key)
        if len(task.modes) == 1 and step.key not in case.progress.put_down:
            parts = _parts(task.shortest_s, under_way=step.key in case.progress.running)
            if len(parts) > 1:
                lengths[step.key] = parts
    return Breaks(lengths, LONGEST_BREAK_S, HANDS, before="waiting")


def still_in(
    case: Case, timetable: Timetable, shift_s: int = 0
) -> Mapping[str, list[tuple[int, int]]]:
    """The breaks of a timetable in seconds from now, moved by shift_s."""
    since_s = shift_s - case.now
    return {
        key: [(round(since + since_s), round(until + since_s)) for since, until in slot.breaks]
        for key, slot in timetable.slots.items()
        if slot.breaks
    }


def _parts(length_s: int, *, under_way: bool) -> tuple[int, ...]:
    """Parts of equal length, counted from the end, so that they stay the same while it goes on.

    The first is longer by what is left over; of a step under way, that is a part of its own.
    """
    whole, over_s = divmod(length_s, PART_S)
    if under_way:
        return (*((over_s,) if over_s else ()), *[PART_S] * whole)
    return (PART_S + over_s, *[PART_S] * (whole - 1)) if whole else (length_s,)
