"""From a menu and a kitchen to a timetable: planned, re-planned, or repaired at once."""

from collections.abc import Iterable, Iterator
from dataclasses import replace

from domain.kitchen import Kitchen
from domain.menu import Menu, Step
from scheduling.arrange import moved_earlier, moved_later, serial_plan
from scheduling.calm import as_written, calmer
from scheduling.case import BEGIN, Case, all_steps, whole_second
from scheduling.heating import heating_steps
from scheduling.impossible import lacks, why_never
from scheduling.kitchen_problem import kitchen_problem
from scheduling.parts import Breaks, broken_off, in_parts, joined, plan_in_parts
from scheduling.pausing import breaks_of, still_in
from scheduling.plan import LevelResult, Plan, costs, violations
from scheduling.problem import Problem
from scheduling.solve import Stop
from scheduling.solve_parts import solve_parts
from scheduling.tasks import ContradictoryLags
from scheduling.timetable import NoTimetable, Progress, Slot, Timetable, is_heating
from scheduling.translate import to_plan, to_timetable

__all__ = [
    "NoTimetable",
    "Progress",
    "Slot",
    "Timetable",
    "all_steps",
    "heating_steps",
    "plan_menu",
    "repair",
]


NO_ORDER = "no order of the steps keeps every limit"
NO_TIME = "there was not enough time to find a plan"


def plan_menu(
    menu: Menu,
    kitchen: Kitchen,
    *,
    now: float,
    wanted_at: float | None,
    progress: Progress | None = None,
    hint: Timetable | None = None,
    limit_s: float = 5.0,
    workers: int = 1,
    seed: int = 0,
    stop: Stop | None = None,
) -> Timetable | NoTimetable:
    """The best timetable from now on; times are POSIX seconds.

    wanted_at: when service should be; it is later only when that is impossible (see `late_s`).
    None: as soon as possible. progress: how far the cook has got. hint: the timetable so far, of
    which little is moved once cooking has begun.
    Before cooking, limits that collide give a `NoTimetable`; while cooking, the timetable that
    breaks them least, with what it had to break in `missed`.
    """
    so_far = progress or Progress()
    case = Case(menu, kitchen, whole_second(now), wanted_at, so_far, last=hint)
    lacking = lacks(case)
    if lacking:
        return NoTimetable(lacking)
    for attempt in (case, replace(case, soft=True)):
        try:
            problem = kitchen_problem(attempt)
        except ContradictoryLags:
            reasons: tuple[str, ...] = (NO_ORDER,)
            continue
        breaks = breaks_of(attempt, problem)
        plan, breaks = solve_parts(
            problem,
            breaks,
            hint=to_plan(attempt, hint) if hint else None,
            still=still_in(attempt, hint) if hint else None,
            limit_s=limit_s,
            workers=workers,
            seed=seed,
            stop=stop,
        )
        if isinstance(plan, Plan):
            timetable = _in_kitchen_terms(attempt, problem, plan, breaks)
            if attempt.soft and not case.progress.begun:
                return NoTimetable((*why_never(case), *timetable.missed), timetable)
            return timetable
        reasons = (NO_ORDER,) if plan.proven else (NO_TIME,)
    return NoTimetable(why_never(case) or reasons)


def repair(
    menu: Menu,
    kitchen: Kitchen,
    previous: Timetable,
    *,
    now: float,
    wanted_at: float | None,
    progress: Progress | None = None,
) -> Timetable | NoTimetable:
    """A timetable at once, without the solver: the previous one, with what no longer fits moved.

    Steps keep their order and, where they can, their times. What it had to break is in `missed`.
    """
    so_far = progress or Progress()
    case = Case(menu, kitchen, whole_second(now), wanted_at, so_far, last=previous)
    lacking = lacks(case)
    if lacking:
        return NoTimetable(lacking)
    try:
        problem = kitchen_problem(case)
    except ContradictoryLags:
        case = replace(case, soft=True)
        problem = kitchen_problem(case)
    shifts_s = {0, 0 if wanted_at is None else round(wanted_at - previous.service_at)}
    breaks = breaks_of(case, problem).only(still_in(case, previous))
    parts = in_parts(problem, breaks)
    hints = (_hint(case, previous, breaks, shift_s=s) for s in sorted(shifts_s))
    plans = [serial_plan(parts, hint) for hint in hints]
    plan = min(plans, key=lambda p: (len(violations(parts, p)), costs(parts, p)))
    reached = zip(parts.levels, costs(parts, plan), strict=True)
    levels = tuple(LevelResult(level.name, cost, 0, 0.0) for level, cost in reached)
    return _in_kitchen_terms(case, problem, Plan(plan.tasks, levels), breaks)


def _hint(case: Case, timetable: Timetable, breaks: Breaks, *, shift_s: int = 0) -> Plan:
    plan = to_plan(case, timetable, shift_s=shift_s)
    return plan_in_parts(plan, breaks, still_in(case, timetable, shift_s))


def _in_kitchen_terms(case: Case, problem: Problem, plan: Plan, breaks: Breaks) -> Timetable:
    """The timetable of a plan in parts; what it does not break off moves as a whole."""
    kept = breaks.only(broken_off(plan, breaks))
    whole = joined(plan, breaks.without(kept))
    settled = _settled(case, in_parts(problem, kept), whole)
    return to_timetable(case, settled, kept)


def _settled(case: Case, problem: Problem, plan: Plan) -> Plan:
    """The plan with its slack put where a cook wants it; no level gets worse.

    What cooks, or must soon be followed, goes as late as it can; cutting and mixing go as early as
    the first moment when the cook is needed anyway, which leaves breaks before the busy end.
    In a first plan, of ways that are as good a step is done in the one written first, and the
    hands of one cook stay with a dish where they can; later the cook knows the ways and the order.
    """
    if _is_first(case):
        plan = as_written(problem, plan, list(_otherwise(case, plan)))
    steps = [
        choices[plan.tasks[key].mode].step
        for key, choices in case.choices.items()
        if key in plan.tasks
    ]
    terms = (term for level in problem.levels for term in level.terms)
    counted = {term.task for term in terms if term.task != term.since}  # not for when it is
    fixed = counted | (case.progress.running.keys() - case.progress.aside.keys())
    loose = [s for s in steps if s.key not in fixed and not case.progress.absent(s)]
    heating = [task.name for task in problem.tasks if _is_heating(case, task.name)]
    later = moved_later(problem, plan, [*(s.key for s in loose), *heating])
    prep = [step.key for step in loose if _is_prep(case, step)]
    prep += [wash.key for wash in case.washes if wash.key not in fixed]
    earlier = moved_earlier(problem, later, prep, _needed_from(case, later, loose))
    if case.cooks == 1 and _is_first(case):
        hands = {step.key: step.dish for step in steps if step.attention == "hands-on"}
        earlier = calmer(problem, earlier, hands, [step.key for step in loose])
    return Plan(earlier.tasks, plan.levels)


def _is_first(case: Case) -> bool:
    return case.last is None and not case.progress.begun


def _otherwise(case: Case, plan: Plan) -> Iterator[str]:
    """The steps that the plan has done in another way than the first they can be."""
    for key, choices in case.choices.items():
        slot = plan.tasks.get(key)
        if slot is not None and choices[slot.mode].step.way != choices[0].step.way:
            yield key


def _needed_from(case: Case, plan: Plan, loose: Iterable[Step]) -> int:
    """When the cook is first needed: as cooking begins, or once it has begun, the next time."""
    if not case.progress.begun:
        return plan.tasks[BEGIN].start_s
    return min((plan.tasks[s.key].start_s for s in loose if s.attention != "unattended"), default=0)


def _is_heating(case: Case, name: str) -> bool:
    return name in case.steps and is_heating(case.steps[name])


def _is_prep(case: Case, step: Step) -> bool:
    """Hands-on work away from the heat that nothing has to follow soon, and not a dish's last."""
    if step.attention != "hands-on" or step.on_heat:
        return False
    if step.key in [last.key for last in case.last_steps(case.menu.dish(step.dish))]:
        return False
    bound = any(f.most_s is not None for f in step.follows)
    return not bound and not any(
        follow.step == step.key and follow.most_s is not None
        for other in case.menu.steps
        for follow in other.follows
    )
