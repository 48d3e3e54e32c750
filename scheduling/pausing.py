"""Which steps a cook may break off, and into what parts."""

from collections.abc import Iterable, Iterator, Mapping
from itertools import pairwise

from domain.menu import Step
from scheduling.case import Case
from scheduling.parts import Breaks
from scheduling.problem import Problem
from scheduling.timetable import LONGEST_BREAK_S, Timetable

# A step can be broken off at every whole minute before its end; a long one at fewer moments, so
# that it has no more parts than this: with 20, a made menu of 60 steps had eleven breaks that were
# not proven to be the least. Our own choice.
PART_S = 60
PARTS = 15
HANDS = frozenset({"hands", "attention"})


def breaks_of(case: Case, problem: Problem) -> Breaks:
    """The pausable steps to be done or under way that are long enough, in parts.

    They can be broken off where the last timetable has it too. What is put down now is taken up
    again as it is. Nothing is broken off for less than service, a limit or a hold: not for a dish
    to wait less, nor for a calmer plan.
    """
    lengths: dict[str, tuple[tuple[int, ...], ...]] = {}
    for step in _there(case):
        points = (*_minutes(step), *_planned(case, step))
        ways = [_parts(mode.duration_s, points) for mode in problem.task(step.key).modes]
        most = max(map(len, ways))
        if most > 1:
            lengths[step.key] = tuple((*way, *[0] * (most - len(way))) for way in ways)
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


def _there(case: Case) -> Iterator[Step]:
    """The steps that may be broken off now."""
    for step in case.menu.steps:
        over = step.key in case.progress.done or case.progress.absent(step)
        if step.pausable and not over and step.key not in case.progress.put_down:
            yield step


def _minutes(step: Step) -> range:
    """How much may be left of a step when it is broken off, seconds: the same while it goes on."""
    longest_s = max(way.duration.likely_s for way in step.in_all_ways())
    part_s = PART_S * -(-longest_s // (PART_S * PARTS))
    return range(part_s, longest_s, part_s)


def _planned(case: Case, step: Step) -> Iterator[int]:
    """How much is left of a step at each moment when the last timetable breaks it off, seconds."""
    slot = case.last.slots.get(step.key) if case.last else None
    if slot is not None:
        still_s = sum(until - since for since, until in slot.breaks)
        _, ends = case.progress.running.get(step.key, (0.0, slot.end_at - still_s))
        for since, until in slot.breaks:
            if until > case.now:
                yield round(ends - since)
                ends += until - since


def _parts(length_s: int, left: Iterable[int]) -> tuple[int, ...]:
    """A length cut wherever so much of it is left."""
    ends = sorted({length_s, *(length_s - s for s in left if 0 < s < length_s)})
    return tuple(end - start for start, end in pairwise((0, *ends)))
