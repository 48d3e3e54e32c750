"""The rules of washing up: a piece stays with its dish until it is washed, or is left."""

from collections.abc import Iterator

from scheduling.case import BEGIN, Case
from scheduling.tasks import ORIGIN, Apart, Hammock, Lag, Mode, Task
from scheduling.timetable import ATTENTION
from scheduling.washing import first_uses, left_dirty

WASHED, LEFT = 0, 1  # the modes of a wash


def wash_tasks(case: Case) -> Iterator[Task]:
    """Washing still to be done, or to be left; what is under way is with the running steps."""
    hands = (("hands", 1), ("attention", ATTENTION["hands-on"]))
    for wash in case.washes:
        if wash.key not in case.progress.running:
            leave = Mode(0, ((left_dirty(wash.piece), 0),))
            yield Task(wash.key, (Mode(wash.takes_s, hands), leave))
        if not wash.begun:
            yield Task(wash.take, (Mode(0),))


def wash_lags(case: Case) -> Iterator[Lag]:
    """A dish takes a piece before its first use, and is done with it after the last."""
    for wash in case.washes:
        if not wash.begun:
            yield from (Lag(wash.take, step.key) for step in first_uses(case.menu, wash))
        if wash.key not in case.progress.running:
            yield Lag(BEGIN, wash.key)
            for step in wash.uses:
                if step.key not in case.progress.done:
                    yield Lag(step.key, wash.key)


def left_until_unwanted(case: Case) -> Iterator[Apart]:
    """What is left in the sink is left until no other dish wants it."""
    for wash in case.washes:
        if wash.key not in case.progress.running:
            for step in wash.others:
                yield Apart(wash.key, step.key, left_dirty(wash.piece), None, 0)


def held_by_dishes(case: Case) -> Iterator[Hammock]:
    """Each dish holds its pieces until they are washed or left."""
    for wash in case.washes:
        first = ORIGIN if wash.begun else wash.take
        yield Hammock(wash.own, first, wash.key, ((wash.piece, wash.count),))
