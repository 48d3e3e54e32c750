"""A plan of a kitchen problem as a timetable, and back."""

from collections.abc import Iterator
from dataclasses import replace

from domain.menu import Follow, Step
from scheduling.case import BEGIN, SERVICE, Case, ready_task
from scheduling.heating import Setting, heat_s
from scheduling.oven_rules import current_setting, needs_heating, unused_heating
from scheduling.parts import WHOLE, Breaks, broken_off, joined
from scheduling.plan import Plan, Scheduled
from scheduling.timetable import ATTENTION, ATTENTION_PER_COOK, Slot, Timetable
from scheduling.washing_rules import LEFT


def to_plan(case: Case, timetable: Timetable, *, shift_s: int = 0) -> Plan:
    """The timetable as a plan of the case's problem, moved by shift_s; steps it lacks are left out.

    It may break rules of the problem: the kitchen may have changed since.
    """

    def after_now(at: float) -> int:
        return round(at - case.now) + shift_s

    tasks: dict[str, Scheduled] = {}
    chosen: dict[str, int] = {}
    for key, slot in timetable.slots.items():
        if key not in case.progress.done:
            start_s = 0 if key in case.progress.running else after_now(_starts_at(case, slot))
            chosen[key] = _choice(case, slot)
            length_s = round(slot.end_at - slot.start_at)
            if key in case.progress.aside:
                start_s = max(0, after_now(slot.stretches[-1][0]))
                length_s = case.after_now(case.progress.running[key][1])
            tasks[key] = Scheduled(key, start_s, start_s + length_s, chosen[key])
    first = min((slot.start_s for slot in tasks.values()), default=0)
    last = max((slot.end_s for slot in tasks.values()), default=0)
    for wash in case.washes:  # what is not washed is left
        tasks.setdefault(wash.key, Scheduled(wash.key, last, last, LEFT))
        uses = [tasks[key].start_s for key in wash.keys if key in tasks]
        if uses and not wash.begun:
            tasks[wash.take] = Scheduled(wash.take, min(uses), min(uses))
    service_s = after_now(timetable.service_at) + case.since_service_s
    for name, at_s in ((SERVICE, service_s), (BEGIN, first)):
        tasks[name] = Scheduled(name, at_s, at_s)
    for task in unused_heating(case, chosen):  # out of the way of what is baked
        end_s = service_s + task.modes[0].duration_s
        tasks.setdefault(task.name, Scheduled(task.name, service_s, end_s))
    for dish in case.menu.dishes:
        if dish.name in timetable.ready_at:
            at_s = after_now(timetable.ready_at[dish.name])
            tasks[ready_task(dish)] = Scheduled(ready_task(dish), at_s, at_s)
    return Plan(tasks)


def _starts_at(case: Case, slot: Slot) -> float:
    """Heating that will take longer is set sooner rather than making all wait for it."""
    extra_s = case.progress.extra_s.get(slot.key)
    if extra_s is None or slot.key not in case.steps:
        return slot.start_at
    takes_s = case.steps[slot.key].duration.low_s + extra_s
    return max(case.now, min(slot.start_at, slot.end_at - takes_s))


def _choice(case: Case, slot: Slot) -> int:
    """Which of its choices a step was given, as the index of its mode; the first if it is gone."""
    given = [(c.step.way, c.oven and c.oven.name) for c in case.choices.get(slot.key, ())]
    return given.index((slot.way, slot.oven)) if (slot.way, slot.oven) in given else 0


def to_timetable(case: Case, plan: Plan, breaks: Breaks = WHOLE) -> Timetable:
    """The plan in kitchen terms: cooks and ovens named, heating only where it is needed.

    breaks: in which parts the plan has its tasks; those of the problem are whole.
    """
    still, plan = broken_off(plan, breaks), joined(plan, breaks)
    slots = {slot.key: slot for slot in (*_begun(case), *_steps(case, plan))}
    slots |= {key: _taken_up(case, plan, slots[key]) for key in case.progress.aside}
    slots |= {key: _broken_off(case, plan, slots[key], still[key]) for key in still}
    slots |= {slot.key: slot for slot in _heating(case, plan, slots)}
    slots |= {slot.key: slot for slot in _washing(case, plan, slots)}
    slots = dict(sorted(slots.items(), key=lambda item: (item[1].start_at, item[1].end_at)))
    ready_at = {
        dish.name: max(slots[step.key].end_at for step in case.last_steps(dish))
        for dish in case.menu.dishes
        if case.last_steps(dish)
    }
    service_at = case.now + plan.tasks[SERVICE].start_s - case.since_service_s
    timetable = Timetable(
        slots=_with_cooks(case, slots),
        service_at=service_at,
        wanted_at=case.wanted_at,
        ready_at=ready_at,
        levels=plan.levels,
        serve_at={name: service_at + case.progress.course_s(case.menu, name) for name in ready_at},
    )
    return replace(timetable, missed=tuple(missed_limits(case, timetable)))


def missed_limits(case: Case, timetable: Timetable) -> Iterator[str]:
    """The most-gaps and marks that the timetable does not keep, each with by how much."""
    for step in case.menu.steps:
        for follow in step.follows:
            if step.key in timetable.slots and follow.step in timetable.slots:
                yield from _missed_gap(case, timetable, step, follow)
    begun_at = case.now if case.progress.started_at is None else case.progress.started_at
    for mark in case.menu.marks:
        if mark.step in timetable.slots and not case.begun(mark.step):
            over_s = timetable.slots[mark.step].start_at - begun_at - mark.at_s
            if over_s > 1:
                yield (
                    f"the mark “{mark.shown.rstrip('.') or _said(case.steps[mark.step])}” at "
                    f"{minutes(mark.at_s)} is missed by {minutes(over_s)}"
                )


def _missed_gap(case: Case, timetable: Timetable, step: Step, follow: Follow) -> Iterator[str]:
    before, after = timetable.slots[follow.step], timetable.slots[step.key]
    gap_s = after.at(follow.until) - before.at(follow.since)
    should = "should end" if follow.until == "end" else "should come"
    whose = (
        f"{'the start of ' if follow.since == 'start' else ''}“{_said(case.steps[follow.step])}”"
    )
    if follow.most_s is not None and gap_s > follow.most_s + 1 and not case.begun(step.key):
        within, over = minutes(follow.most_s), minutes(gap_s - follow.most_s)
        yield f"“{_said(step)}” {should} within {within} of {whose}; it is {over} late"
    if gap_s < follow.least_s - 1 and case.to_catch(step, follow):
        soon = minutes(follow.least_s - gap_s)
        after_it = f"{minutes(follow.least_s)} after" if follow.least_s else "after"
        yield f"“{_said(step)}” {should} {after_it} {whose}; it is {soon} too soon"


def _said(step: Step) -> str:
    return step.say.rstrip(".")


def minutes(seconds: float) -> str:
    """A length of time in words: "5 min", "1 h 30 min", "40 s"."""
    whole = round(seconds)
    if whole < 60:
        return f"{whole} s"
    hours, rest = divmod(round(whole / 60), 60)
    return " ".join(f"{n} {unit}" for n, unit in ((hours, "h"), (rest, "min")) if n)


def _begun(case: Case) -> Iterator[Slot]:
    first = case.kitchen.ovens[0].name if case.kitchen.ovens else None
    for key, (began, ended) in {**case.progress.done, **case.progress.running}.items():
        if key in case.steps:
            ends = max(ended, case.now) if key in case.progress.running else ended
            breaks = tuple(_broken_off_before(case, key, began, ended))
            slot = Slot(key, began, ends, way=case.progress.ways.get(key, ""), breaks=breaks)
            oven = case.progress.ovens.get(key, first) if case.setting_in(slot) else None
            yield replace(slot, oven=oven)


def _broken_off_before(
    case: Case, key: str, began: float, ended: float
) -> Iterator[tuple[float, float]]:
    """The breaks of a step that is over, as they were last planned."""
    slot = case.last.slots.get(key) if case.last and key in case.progress.done else None
    for since, until in slot.breaks if slot else ():
        if began < since and until < ended:
            yield since, until


def _steps(case: Case, plan: Plan) -> Iterator[Slot]:
    for step in case.menu.steps:
        if not case.begun(step.key) and not case.progress.absent(step):
            slot = plan.tasks[step.key]
            choice = case.choices[step.key][slot.mode]
            yield Slot(
                step.key,
                case.now + slot.start_s,
                case.now + slot.end_s,
                oven=choice.oven.name if choice.oven else None,
                way=choice.step.way,
            )


def _broken_off(case: Case, plan: Plan, slot: Slot, still: list[tuple[int, int]]) -> Slot:
    pauses = tuple((case.now + since_s, case.now + until_s) for since_s, until_s in still)
    return replace(slot, end_at=case.now + plan.tasks[slot.key].end_s, breaks=pauses)


def _taken_up(case: Case, plan: Plan, slot: Slot) -> Slot:
    """What the cook put down, with the break that the plan ends."""
    task = plan.tasks[slot.key]
    pause = case.progress.aside[slot.key], case.now + task.start_s
    return replace(slot, end_at=case.now + task.end_s, breaks=(pause,))


def _heating(case: Case, plan: Plan, slots: dict[str, Slot]) -> Iterator[Slot]:
    """Heating for each oven setting that is used, from when the oven is free for it."""
    for oven in case.ovens:
        mine = [slot for slot in slots.values() if slot.oven == oven.name]
        current = current_setting(case, oven)
        for setting in needs_heating(case, oven):
            used = [slot for slot in mine if case.setting_in(slot) == setting]
            key = case.heat_key(oven, setting)
            if not used or case.begun(key):
                continue
            ends = case.now + plan.tasks[key].end_s
            before = [slot for slot in mine if slot.end_at <= ends and slot not in used]
            last = max(before, key=lambda slot: slot.end_at, default=None)
            previous: Setting | None = case.setting_in(last) if last else current
            takes_s = heat_s(oven, setting.celsius, previous.celsius if previous else None)
            takes_s += case.progress.extra_s.get(key, 0)
            yield Slot(key, ends - takes_s, ends, oven=oven.name)


def _washing(case: Case, plan: Plan, slots: dict[str, Slot]) -> Iterator[Slot]:
    """The washing that is planned and that somebody waits for."""
    for wash in case.washes:
        task = plan.tasks[wash.key]
        if task.mode == LEFT or case.begun(wash.key):
            continue
        slot = Slot(wash.key, case.now + task.start_s, case.now + task.end_s)
        others = [slots[step.key] for step in wash.others if step.key in slots]
        if any(other.start_at >= slot.end_at for other in others):
            yield slot


def _with_cooks(case: Case, slots: dict[str, Slot]) -> dict[str, Slot]:
    """Each stretch of a step that needs a cook gets one who has a hand free: the one who had the
    step before its break if possible, else the one of that dish.

    Given in order of time, so that hands-on steps never need more cooks than there are.
    """
    names = list(case.kitchen.cooks[: case.cooks])
    names += [f"helper {n}" for n in range(1, case.cooks - len(names) + 1)]
    stretches = [(*span, key) for key, slot in slots.items() for span in slot.stretches]
    given: dict[str, list[str]] = {}
    last_dish: dict[str, str] = {}
    busy: list[tuple[float, str, Step]] = []
    for since, until, key in sorted(stretches, key=lambda stretch: stretch[0]):
        step = case.at_work(slots[key])
        if step.attention == "unattended" or not names:
            continue
        busy = [work for work in busy if work[0] > since]
        load = {n: sum(ATTENTION[s.attention] for _, who, s in busy if who == n) for n in names}
        hands = {who for _, who, other in busy if other.attention == "hands-on"}
        before = given.setdefault(key, [])
        cook = min(
            names,
            key=lambda n: (
                step.attention == "hands-on" and n in hands,
                load[n] + ATTENTION[step.attention] > ATTENTION_PER_COOK,
                n not in before[-1:],
                last_dish.get(n) != step.dish,
                load[n],
            ),
        )
        last_dish[cook] = step.dish
        before.append(cook)
        busy.append((until, cook, step))
    return {key: _given(slot, given.get(key, [])) for key, slot in slots.items()}


def _given(slot: Slot, cooks: list[str]) -> Slot:
    if not cooks:
        return slot
    return replace(slot, cook=cooks[0], then=tuple(cooks[1:]) if len({*cooks}) > 1 else ())
