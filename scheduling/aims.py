"""What a plan of a menu aims at: the levels of its objective, the first the most important."""

import math
from collections.abc import Iterable, Iterator

from domain.menu import Step
from scheduling.case import BEGIN, SERVICE, Case, ready_task
from scheduling.margin import margin_s
from scheduling.tasks import ORIGIN, Excess, Lag, Level
from scheduling.timetable import MOVED_S


def levels(case: Case, soft: Iterable[Lag]) -> Iterator[Level]:
    """The levels, in order; soft: the lags whose most is broken by as little as can be.

    Before cooking, the last is calm: the cook is needed for as short as can be. Once cooking has
    begun, little is moved of what the cook has been told, even where a finished dish then waits
    longer within its hold or has less of its margin. On 181 disturbed cooks of the sample menus
    that order moved 9% of the steps still waiting, and the other one 10%; dishes waited 1.6%
    longer. It is also proven sooner: with 60 steps, least waiting often is not.

    The margin comes before waiting. Wanted ten minutes after the earliest service, the sample
    menus are so served in time in 100%, 100% and 83% of 4000 forecast cooks; without margins in
    100%, 76% and 24%; with margins after waiting in 100%, 74% and 28%.
    """
    missed = tuple(
        Excess(lag.after, 1, lag.before, lag.most_s, lag.after_moment, lag.before_moment)
        for lag in soft
        if lag.most_s is not None
    )
    yield Level("missed", missed)
    yield Level("lateness", (Excess(SERVICE, beyond_s=case.wanted_s),))
    yield Level("hold overrun", tuple(_waits(case, over_hold=True)))
    if case.progress.begun:
        yield Level("moved", tuple(_moves(case)))
    yield Level("margin", tuple(_lacking(case)))
    yield Level("waiting", tuple(_waits(case, over_hold=False)))
    if not case.progress.begun:
        span = Excess(SERVICE, since=BEGIN, since_moment="start")
        yield Level("calm", (span,))
    yield Level("washing", tuple(_washing(case)))


def _washing(case: Case) -> Iterator[Excess]:
    """The time of the cook's hands that goes into washing: nothing is washed for nobody."""
    for wash in case.washes:
        yield Excess(wash.key, since=wash.key, since_moment="start")


def _waits(case: Case, *, over_hold: bool) -> Iterator[Excess]:
    """From a dish's last step until it is served, where that is longer than its hold; or where it
    is longer than its margin, weighted by how fast it spoils.

    A dish finished in batches waits in as many parts, each of them from its own batch's end.
    """
    dishes = [(dish, case.last_steps(dish)) for dish in case.menu.dishes]
    early = {dish.name: [step for step in last if _more_to_come(step)] for dish, last in dishes}
    shares = math.lcm(*(1 + len(steps) for steps in early.values()))
    tenths = {dish.name: round(10 * dish.spoils) for dish, _ in dishes}
    shared = math.gcd(*tenths.values()) or 1
    for dish, last in dishes:
        share = shares // (1 + len(early[dish.name]))
        weight = share if over_hold else share * tenths[dish.name] // shared
        free_s = dish.hold_s if over_hold else margin_s(case, dish)
        beyond_s = free_s - case.course_s(dish.name)
        for batch in early[dish.name]:
            yield _wait(case, [batch], batch.key, weight, beyond_s)
        if last:
            yield _wait(case, last, ready_task(dish), weight, beyond_s)


def _more_to_come(step: Step) -> bool:
    """True for a batch that is not the last one of its step."""
    return step.batch[0] < step.batch[1]


def _wait(case: Case, steps: list[Step], ready: str, weight: int, beyond_s: int) -> Excess:
    """From when the steps are over, which is when the task `ready` is, until service."""
    if any(step.key not in case.progress.done for step in steps):
        return Excess(SERVICE, weight, ready, beyond_s)
    ready_s = case.after_now(max(case.progress.done[step.key][1] for step in steps))
    return Excess(SERVICE, weight, ORIGIN, ready_s + beyond_s)


def _lacking(case: Case) -> Iterator[Excess]:
    """How much of its margin each dish still to be finished lacks."""
    for dish in case.menu.dishes:
        margin = margin_s(case, dish)
        if margin:
            yield Excess(ready_task(dish), 1, SERVICE, case.course_s(dish.name) - margin)


def _moves(case: Case) -> Iterator[Excess]:
    """How far beyond two minutes each step still waiting moves against the last timetable.

    When service itself moves, a step may stay or go along with it, or anything between: later is
    counted from where service would take it, earlier from where it was. When service moves
    earlier, all that lies between costs the same.
    """
    if case.last is None:
        return
    served_s = case.after_now(case.last.service_at) - case.since_service_s
    for step in case.menu.steps:
        slot = case.last.slots.get(step.key)
        if slot and not case.begun(step.key) and not case.progress.absent(step):
            at_s = case.after_now(slot.start_at)
            yield Excess(step.key, 1, SERVICE, at_s - served_s + MOVED_S, moment="start")
            yield Excess(ORIGIN, 1, step.key, MOVED_S - at_s, since_moment="start")
