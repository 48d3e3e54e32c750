"""The limits that a kitchen and a menu set, one by one, and the problem without some of them."""

import math
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from domain.kitchen import Kitchen, Oven
from domain.menu import Duration, Follow, Menu, Moment, Step
from scheduling.case import SERVICE, Case, on_oven
from scheduling.heating import heat_s
from scheduling.kitchen_problem import gap_lag, kitchen_problem, step_tasks
from scheduling.oven_rules import needs_heating
from scheduling.parts import Breaks, in_parts
from scheduling.pausing import breaks_of
from scheduling.problem import Problem
from scheduling.tasks import ORIGIN, Lag, Task
from scheduling.timetable import Progress
from scheduling.trial import Demand

Kind = Literal[
    "hands",  # how many cooks there are
    "piece",  # how many rings, or pieces of some equipment
    "washing",  # a piece goes to another dish only when it is clean
    "shelves",  # of an oven
    "temperature",  # an oven has one at a time
    "heating",  # an oven takes its time from cold
    "mark",  # a step has a fixed moment
    "course",  # a dish has its own: so long before service, or after it
    "length",  # a step takes its time, in every way it can be done
    "rest",  # the least gap between two steps
    "soon",  # the most
]

OF_ONE_STEP: frozenset[Kind] = frozenset({"length", "rest", "soon"})
_NO_TIME = Duration(0, 0, 0)
_ANY_TIME_S = 86400  # after service: to whom a course does not matter, it may be a day later


@dataclass(frozen=True)
class Limit:
    """One thing that could be otherwise.

    name: the step's key, or what the dish, the oven or the piece is called; after: the step before
    a gap, since and until: the moments that the gap is between.
    """

    kind: Kind
    name: str
    after: str = ""
    since: Moment = "end"
    until: Moment = "start"

    def of(self, follow: Follow) -> bool:
        """True for a limit of this gap of the step."""
        return (self.after, self.since, self.until) == (follow.step, follow.since, follow.until)


def limits_of(case: Case) -> tuple[Limit, ...]:
    """Every limit that may stand in the way, those first that tell a cook the most."""
    left = [step for step in case.menu.steps if _left(case, step)]
    waits = [(f, s) for s in left if not case.begun(s.key) for f in s.follows]
    long = [
        *((length_s(case, step), Limit("length", step.key)) for step in left),
        *((f.least_s, _gap("rest", s, f)) for f, s in waits if f.least_s > 0),
        *((heating_s(case, oven), Limit("heating", oven.name)) for oven in case.ovens),
    ]
    long.sort(key=lambda item: -item[0])
    marked = {mark.step for mark in case.menu.marks}
    dishes = [dish for dish in case.menu.dishes if any(step in left for step in dish.steps)]
    return (
        *_places(case, left),
        *(Limit("mark", s.key) for s in left if s.key in marked and not case.begun(s.key)),
        *(Limit("course", d.name) for d in dishes if case.progress.course_s(case.menu, d.name)),
        *(limit for takes_s, limit in long if takes_s > 0),
        *(_gap("soon", s, f) for f, s in waits if f.most_s is not None),
    )


def _gap(kind: Kind, step: Step, follow: Follow) -> Limit:
    return Limit(kind, step.key, follow.step, follow.since, follow.until)


def without(case: Case, gone: Collection[Limit], by_s: int | None = None) -> Problem:
    """The case's problem with these limits let go, and service in at most by_s seconds.

    It has no objective, and allows all that it allowed before. Raises ProblemError.
    """
    return _relaxed(case, gone, by_s)[0]


def loosened(
    case: Case, gone: Collection[Limit], loose: Sequence[Limit], by_s: int | None
) -> tuple[Problem, dict[Limit, Demand]]:
    """The same without the loose ones as well, of `OF_ONE_STEP`, and what it takes to keep them.

    Raises ProblemError.
    """
    problem, breaks = _relaxed(case, {*loose, *gone}, by_s)
    return problem, {limit: _demand(case, problem, breaks, limit) for limit in loose}


def _relaxed(case: Case, gone: Collection[Limit], by_s: int | None) -> tuple[Problem, Breaks]:
    lengths = {limit for limit in gone if limit.kind == "length"}
    slow = _eased(case, {*gone} - lengths)
    eased = _eased(slow, lengths)
    problem = kitchen_problem(eased)
    short = {limit.name for limit in lengths}
    full = {task.name: task for task in step_tasks(slow) if task.name in short}
    warm = {limit.name for limit in gone if limit.kind == "temperature"}
    ovens = {on_oven(oven) for oven in case.ovens if oven.name in warm}
    problem = replace(
        problem,
        tasks=tuple(_or_full(task, full.get(task.name)) for task in problem.tasks),
        aparts=tuple(apart for apart in problem.aparts if apart.resource not in ovens),
    )
    breaks = breaks_of(case, problem)
    if by_s is not None:  # the eased case may count service from another moment
        by_s += eased.since_service_s - case.since_service_s
    return for_service(in_parts(problem, breaks), by_s), breaks


def _demand(case: Case, problem: Problem, breaks: Breaks, limit: Limit) -> Demand:
    if limit.kind == "length":
        task = problem.task(breaks.at(limit.name, "start"))
        return Demand(shut=((task.name, len(task.modes) // 2),))
    step = case.menu.step(limit.name)
    follow = next(f for f in step.follows if _gap(limit.kind, step, f) == limit)
    lag = gap_lag(case, step, follow)
    one = replace(lag, most_s=None) if limit.kind == "rest" else replace(lag, least_s=None)
    before, after = (
        breaks.at(one.before, one.before_moment),
        breaks.at(one.after, one.after_moment),
    )
    return Demand(lags=(replace(one, before=before, after=after),))


def for_service(problem: Problem, by_s: int | None) -> Problem:
    """The problem without an objective, and with service in at most by_s seconds."""
    due = () if by_s is None else (Lag(ORIGIN, SERVICE, None, by_s, after_moment="start"),)
    return replace(problem, lags=(*problem.lags, *due), levels=())


def wanted_by_s(case: Case) -> int:
    """The wanted service, as the latest start of the task SERVICE in the case's problem."""
    assert case.wanted_at is not None
    return math.floor(case.wanted_at - case.now + 1e-6) + case.since_service_s


def heating_s(case: Case, oven: Oven) -> int:
    """The longest that an oven has still to heat, from cold or for what is left of it, seconds."""
    under_way = [
        case.after_now(case.progress.running[key][1])
        for key in _heat_keys(case, oven)
        if key in case.progress.running
    ]
    still = [
        heat_s(oven, setting.celsius) + case.progress.extra_s.get(case.heat_key(oven, setting), 0)
        for setting in needs_heating(case, oven)
    ]
    return max([0, *under_way, *still])


def length_s(case: Case, step: Step) -> int:
    """How long a step takes, in the way that takes longest; or what is left of it, seconds."""
    if step.key in case.progress.running:
        return max(0, case.after_now(case.progress.running[step.key][1]))
    return max(way.duration.likely_s for way in ways(case, step))


def ways(case: Case, step: Step) -> tuple[Step, ...]:
    """The step in each way it may still be done; the one it was begun in when it has begun."""
    if case.begun(step.key):
        return tuple(dict.fromkeys(choice.step for choice in case.choices[step.key]))
    return step.in_all_ways()


def _wanted(case: Case, steps: Collection[Step], what: str) -> int:
    """How many rings or pieces these steps take at most, when all are under way at once."""
    return sum(
        max(sum(use.count for use in way.uses if use.what == what) for way in ways(case, step))
        for step in steps
    )


def _left(case: Case, step: Step) -> bool:
    return step.key not in case.progress.done and not case.progress.absent(step)


def _places(case: Case, left: list[Step]) -> Iterator[Limit]:
    """Hands, rings, equipment and ovens that cannot serve all steps at once."""
    attended = [any(way.attention != "unattended" for way in ways(case, step)) for step in left]
    if sum(attended) > case.cooks:
        yield Limit("hands", "hands")
    uses = [use for step in left for way in ways(case, step) for use in way.uses]
    names = {use.what for use in uses} - {"oven"}
    for name in sorted(names, key=lambda name: (name != "ring", name)):
        if _wanted(case, left, name) > case.capacities.get(name, 0):
            yield Limit("piece", name)
    for piece in dict.fromkeys(wash.piece for wash in case.washes):
        yield _wash(piece)
    baking = _wanted(case, left, "oven")
    for oven in case.ovens if baking else ():
        if len(case.settings) > 1:
            yield Limit("temperature", oven.name)
        if baking > oven.shelves:
            yield Limit("shelves", oven.name)


# --- letting go ---------------------------------------------------------------------------------


def _eased(case: Case, gone: Collection[Limit]) -> Case:
    """The case without the limits that the menu, the kitchen or the progress states."""
    if not gone:
        return case
    return replace(
        case,
        menu=_eased_menu(case.menu, gone),
        kitchen=_eased_kitchen(case, gone),
        progress=_eased_progress(case, gone),
    )


def _eased_menu(menu: Menu, gone: Collection[Limit]) -> Menu:
    def follow(step: Step, one: Follow) -> Follow:
        rest, soon = _gap("rest", step, one), _gap("soon", step, one)
        return replace(
            one,
            least_s=min(0, one.least_s) if rest in gone else one.least_s,
            most_s=None if soon in gone else one.most_s,
        )

    def eased(step: Step) -> Step:
        step = replace(step, follows=tuple(follow(step, one) for one in step.follows))
        if Limit("length", step.key) not in gone:
            return step
        ways = tuple(replace(way, duration=_NO_TIME) for way in step.ways)
        return replace(step, duration=_NO_TIME, ways=ways)

    dishes = (replace(dish, steps=tuple(map(eased, dish.steps))) for dish in menu.dishes)
    marks = tuple(mark for mark in menu.marks if Limit("mark", mark.step) not in gone)
    wash_up = {what: takes for what, takes in menu.wash_up.items() if _wash(what) not in gone}
    return replace(menu, dishes=tuple(dishes), marks=marks, wash_up=wash_up)


def _wash(piece: str) -> Limit:
    return Limit("washing", piece)


def _eased_kitchen(case: Case, gone: Collection[Limit]) -> Kitchen:
    baking = _wanted(case, case.menu.steps, "oven")
    ovens = tuple(
        replace(
            oven,
            shelves=baking if Limit("shelves", oven.name) in gone else oven.shelves,
            heat_s=0 if Limit("heating", oven.name) in gone else oven.heat_s,
        )
        for oven in case.kitchen.ovens
    )
    return replace(case.kitchen, ovens=ovens)


def _eased_progress(case: Case, gone: Collection[Limit]) -> Progress:
    steps = case.menu.steps
    pieces = {x.name: _wanted(case, steps, x.name) for x in gone if x.kind == "piece"}
    equipment = {**case.progress.equipment, **pieces}
    courses = {x.name: _ANY_TIME_S for x in gone if x.kind == "course"}
    cooks = len(steps) if Limit("hands", "hands") in gone else case.progress.cooks
    warm = {
        key
        for oven in case.ovens
        if Limit("heating", oven.name) in gone
        for key in _heat_keys(case, oven)
    }
    running = {
        key: (began, case.now if key in warm or Limit("length", key) in gone else ends)
        for key, (began, ends) in case.progress.running.items()
    }
    extra_s = {key: more for key, more in case.progress.extra_s.items() if key not in warm}
    return replace(
        case.progress,
        equipment=equipment,
        cooks=cooks,
        running=running,
        extra_s=extra_s,
        courses={**case.progress.courses, **courses},
    )


def _heat_keys(case: Case, oven: Oven) -> list[str]:
    return [case.heat_key(oven, setting) for setting in case.settings]


def _or_full(short: Task, full: Task | None) -> Task:
    """A step that takes no time, or its own: without the choice an "at once" could be harder."""
    return short if full is None else replace(short, modes=(*short.modes, *full.modes))
