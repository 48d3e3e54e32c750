"""A menu, a kitchen and how far the cook has got, as a scheduling problem.

The problem's origin is `now`; its tasks are step keys, and a few milestones.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

from domain.menu import Follow, Step
from scheduling.aims import levels
from scheduling.case import BEGIN, SERVICE, Case, Choice, on_oven, ready_task
from scheduling.oven_rules import (
    heated_before,
    heated_first,
    heating_lags,
    heating_tasks,
    one_temperature,
    oven_marks,
)
from scheduling.problem import Problem
from scheduling.tasks import ORIGIN, Apart, Lag, Mode, Resource, Task
from scheduling.timetable import ATTENTION, WASH_UP, is_heating
from scheduling.washing_rules import held_by_dishes, left_until_unwanted, wash_lags, wash_tasks


def kitchen_problem(case: Case) -> Problem:
    """The problem whose plan is a timetable. Raises ProblemError when the menu cannot fit."""
    tasks = (*step_tasks(case), *heating_tasks(case), *wash_tasks(case), *_milestones(case))
    aparts = (*heated_first(case), *one_temperature(case), *left_until_unwanted(case))
    gaps = [*_gaps(case), *_marks(case)]
    soft = [gap.lag for gap in gaps if gap.soft]
    return Problem(
        tasks=tasks,
        resources=tuple(_resources(case, tasks, aparts)),
        lags=(
            *map(_must, gaps),
            *_batch_lags(case),
            *heating_lags(case),
            *heated_before(case),
            *wash_lags(case),
            *_service_lags(case),
        ),
        aparts=aparts,
        hammocks=tuple(held_by_dishes(case)),
        levels=tuple(level for level in levels(case, soft) if level.terms),
    )


def _resources(case: Case, tasks: Iterable[Task], aparts: Iterable[Apart]) -> Iterator[Resource]:
    """What the kitchen has, and the marks of ovens, which hold nothing."""
    yield from (Resource(name, capacity) for name, capacity in case.capacities.items())
    named = [name for t in tasks for mode in t.modes for name, taken in mode.demands if not taken]
    named += [apart.resource for apart in aparts]
    marks = dict.fromkeys(name for name in named if name not in case.capacities)
    yield from (Resource(name, 0) for name in marks)


# --- tasks --------------------------------------------------------------------------------------


def step_tasks(case: Case) -> Iterator[Task]:
    """Every step still to be done or under way."""
    running = dict(_running_tasks(case))
    for step in case.menu.steps:
        if step.key in case.progress.done:
            continue
        if case.progress.absent(step):
            yield Task(step.key, (Mode(0),))  # no time, but what follows still follows
        elif step.key in running:
            yield running[step.key]
        else:
            choices = case.choices[step.key]
            modes = (_mode(case, choice, choice.step.duration.likely_s) for choice in choices)
            yield Task(step.key, tuple(modes))
    yield from (task for key, task in running.items() if case.steps[key].dish == WASH_UP)


def _running_tasks(case: Case) -> Iterator[tuple[str, Task]]:
    """What is under way, by key. Where there is less than it has taken, what lasts longest keeps
    its share: nothing else may begin before that is over."""
    room, ends = dict(case.capacities), case.progress.running
    for wash in case.washes:
        room[wash.piece] -= wash.count if wash.begun else 0
    under_way = [s for s in case.steps.values() if s.key in ends and not is_heating(s)]
    for step in sorted(under_way, key=lambda step: -ends[step.key][1]):
        left_s = max(0, case.after_now(ends[step.key][1]))
        mode = _mode(case, case.choices.get(step.key, (Choice(step),))[0], left_s)
        if step.key in case.progress.aside:
            yield step.key, Task(step.key, (mode,))
        else:
            yield step.key, Task(step.key, (_within(room, mode),), pinned_s=0)


def _mode(case: Case, choice: Choice, duration_s: int) -> Mode:
    """What a step takes when it is done in this way and this oven."""
    step, oven = choice.step, choice.oven
    demands: dict[str, int] = {}
    if oven:
        demands[on_oven(oven)] = sum(use.count for use in step.uses if use.what == "oven")
    if step.attention == "hands-on":
        demands["hands"] = 1
    if ATTENTION[step.attention]:
        demands["attention"] = ATTENTION[step.attention]
    for use in step.uses:
        if use.what != "oven":
            what = case.place(step, use.what)
            demands[what] = demands.get(what, 0) + use.count
    marks = (*case.kept_waiting(step), *oven_marks(case, choice))
    return Mode(duration_s, (*demands.items(), *((name, 0) for name in marks)))


def _within(room: dict[str, int], mode: Mode) -> Mode:
    """What is running has what it has, also where there is now less; room is what is left."""
    demands = []
    for name, taken in mode.demands:
        got = min(taken, room.get(name, 0))
        if got or not taken:
            demands.append((name, got))
            room[name] = room.get(name, 0) - got
    return Mode(mode.duration_s, tuple(demands))


def _milestones(case: Case) -> Iterator[Task]:
    moment = (Mode(0),)
    yield Task(SERVICE, moment, release_s=case.wanted_s)
    yield Task(BEGIN, moment)
    for dish in case.menu.dishes:
        last = [step.key for step in case.last_steps(dish) if step.key not in case.progress.done]
        if last:
            yield Task(ready_task(dish), moment, latest_of=tuple(last))


# --- gaps and marks -----------------------------------------------------------------------------


@dataclass(frozen=True)
class Gap:
    """A lag between two steps, or from the origin; soft when its most may have to be broken."""

    lag: Lag
    soft: bool


def _gaps(case: Case) -> Iterator[Gap]:
    for step in case.menu.steps:
        for follow in step.follows:
            if not case.begun(step.key):
                yield _gap(case, step, follow)
            elif case.to_catch(step, follow):
                yield _gap_back(step, follow)


def _gap(case: Case, step: Step, follow: Follow) -> Gap:
    before = case.steps[follow.step]
    least, most = follow.least_s, follow.most_s
    if case.progress.absent(step) or case.progress.absent(before):
        most = None
    lag = Lag(follow.step, step.key, least, most, follow.since, follow.until)
    since = case.progress.known(follow.step, follow.since)
    if since is not None:
        least = case.after_now(since + least)
        most = None if most is None else case.after_now(since + most)
        return Gap(replace(lag, before=ORIGIN, least_s=least, most_s=most), soft=True)
    return Gap(lag, case.soft or follow.step in case.progress.running)


def _gap_back(step: Step, follow: Follow) -> Gap:
    """From the end of a step under way back to what should have come before that end: no sooner
    than the most, and no later than the least if that can still be."""
    least = None if follow.most_s is None else -follow.most_s
    lag = Lag(step.key, follow.step, least, -follow.least_s, follow.until, follow.since)
    return Gap(lag, soft=True)


def _marks(case: Case) -> Iterator[Gap]:
    started = case.progress.started_at
    for mark in case.menu.marks:
        step = case.menu.step(mark.step)
        if not case.begun(step.key) and not case.progress.absent(step):
            at = case.after_now((case.now if started is None else started) + mark.at_s)
            yield Gap(Lag(ORIGIN, step.key, at, at), soft=case.soft or case.progress.begun)


def gap_lag(case: Case, step: Step, follow: Follow) -> Lag:
    """What must hold of a gap: where its most may have to be broken, only its least."""
    return _must(_gap(case, step, follow))


def _must(gap: Gap) -> Lag:
    return replace(gap.lag, most_s=None) if gap.soft else gap.lag


def _batch_lags(case: Case) -> Iterator[Lag]:
    """Batches are begun in their order: they are alike, and the cook is told which one it is."""
    for before, after in pairwise(case.menu.steps):
        of_one = before.dish == after.dish and after.batch[0] == before.batch[0] + 1
        if of_one and not (case.begun(before.key) or case.begun(after.key)):
            yield Lag(before.key, after.key, before_moment="start")


# --- service ------------------------------------------------------------------------------------


def _service_lags(case: Case) -> Iterator[Lag]:
    """Every step ends before its dish is served, and the cook is needed from the first on."""
    followed = {
        follow.step
        for step in case.menu.steps
        if not case.begun(step.key) and not case.progress.absent(step)
        for follow in step.follows
        if follow.since == "end"
        and follow.least_s >= 0
        and case.course_s(step.dish) <= case.course_s(case.steps[follow.step].dish)
    }
    for step in case.menu.steps:
        course_s = case.course_s(step.dish)
        if case.progress.absent(step):
            continue
        if step.key in case.progress.done:
            served_s = case.after_now(case.progress.done[step.key][1]) - course_s
            if served_s > 0:  # a course before service that was late moves service too
                yield Lag(ORIGIN, SERVICE, served_s)
            continue
        if step.key not in followed:  # what is followed ends in time with its follower
            yield Lag(step.key, SERVICE, -course_s)
        attended = any(way.attention != "unattended" for way in step.in_all_ways())
        if attended and step.key not in case.progress.running:
            yield Lag(BEGIN, step.key)
