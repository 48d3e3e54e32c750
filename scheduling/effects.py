"""What each event does to the state, where the state does not refuse it."""

from collections.abc import Callable, Mapping
from dataclasses import replace

from domain.menu import Step
from scheduling.events import Event, State, StepState, Timer, planned_end
from scheduling.hands import in_the_way, settled
from scheduling.menu_now import added_dish
from scheduling.reminders import reminded


def _put(state: State, key: str, standing: StepState) -> State:
    return replace(state, steps={**state.steps, key: standing})


def followers(steps: Mapping[str, Step], key: str) -> list[Step]:
    """The steps that this one has to be over for."""
    return [s for s in steps.values() if any(f.step == key and f.in_turn for f in s.follows)]


def _close_before(steps: Mapping[str, Step], state: State, key: str, at: float) -> State:
    """What the cook has begun or done ends all that had to be over first, whether or not that was
    said. Nothing follows from the other gaps: of them a cook may think differently."""
    for follow in steps[key].follows:
        before = state.steps.get(follow.step)
        if before is None or before.over or not follow.in_turn:
            continue
        state = _close_before(steps, state, follow.step, at)
        end = max(at, before.began_at or at)
        done = replace(before, status="done", ended_at=end, ended_by="cook")
        state = _put(state, follow.step, done)
    return state


def _began(steps: Mapping[str, Step], state: State, event: Event) -> State:
    before = state.steps[event.subject]
    if before.began_at is not None:  # the clock began it: what lay still for it did not until now
        state = _put(state, event.subject, replace(before, status="waiting"))
        state = settled(steps, state, before.began_at)
    if event.by == "cook":
        state = _close_before(steps, state, event.subject, event.at)
    standing = replace(
        state.steps[event.subject],
        status="running",
        began_at=event.at,
        ended_at=None,
        began_by=event.by,
        length_s=event.value,
        cook=event.note,
    )
    return _put(state, event.subject, standing)


def _finished(steps: Mapping[str, Step], state: State, event: Event) -> State:
    standing = state.steps[event.subject]
    if standing.status == "done":  # the clock ended it, the cook confirms
        return _put(state, event.subject, replace(standing, ended_by=event.by))
    if event.by == "cook":
        state = _close_before(steps, state, event.subject, event.at)
    began = standing.began_at
    if began is not None and began > event.at:  # the clock began it later than the cook did
        began = event.at
    done = replace(standing, status="done", began_at=began, ended_at=event.at, ended_by=event.by)
    return _put(state, event.subject, done)


def _longer(steps: Mapping[str, Step], state: State, event: Event) -> State:
    step, standing = steps[event.subject], state.steps[event.subject]
    more = event.value or 0.0
    if standing.began_at is None:
        return _put(state, step.key, replace(standing, extra_s=standing.extra_s + more))
    if standing.status == "done":
        state = _rewind(steps, state, step.key)
    at = event.at if standing.put_down_at is None else standing.put_down_at
    overdue = max(0.0, at - planned_end(step, standing))
    extra = standing.extra_s + overdue + more
    return _put(state, step.key, replace(standing, status="running", ended_at=None, extra_s=extra))


def _rewind(steps: Mapping[str, Step], state: State, key: str) -> State:
    """What the clock alone began because this step was over is waiting again."""
    for step in followers(steps, key):
        standing = state.steps[step.key]
        if standing.began_at is not None:
            state = _rewind(steps, _put(state, step.key, _waiting_again(standing)), step.key)
    return state


def _waiting_again(standing: StepState) -> StepState:
    return StepState(extra_s=standing.extra_s, gate_seen_at=standing.gate_seen_at)


def _gate_seen(steps: Mapping[str, Step], state: State, event: Event) -> State:
    standing = replace(state.steps[event.subject], gate_seen_at=event.at)
    state = _put(state, event.subject, standing)
    gate = steps[event.subject].gate
    return _finished(steps, state, event) if gate and gate.moment == "end" else state


def _skipped(_: Mapping[str, Step], state: State, event: Event) -> State:
    standing = replace(state.steps[event.subject], status="skipped", ended_at=event.at)
    return _put(state, event.subject, standing)


def _dish_dropped(steps: Mapping[str, Step], state: State, event: Event) -> State:
    for step in steps.values():
        if step.dish == event.subject and not state.steps[step.key].over:
            state = _skipped(steps, state, replace(event, subject=step.key))
    return replace(state, dropped=state.dropped | {event.subject})


def _dish_added(steps: Mapping[str, Step], state: State, event: Event) -> State:
    """Of a dish that comes back, what was done stays done."""
    dish = added_dish(event)
    assert dish is not None
    standings = {k: s for k, s in state.steps.items() if steps[k].dish != dish.name}
    for step in dish.steps:
        before = state.steps.get(step.key)
        done = before is not None and before.status == "done"
        standings[step.key] = before if before and done else StepState()
    return replace(
        state,
        steps=standings,
        added={**state.added, dish.name: dish},
        dropped=state.dropped - {dish.name},
    )


def _course_moved(_: Mapping[str, Step], state: State, event: Event) -> State:
    return replace(state, courses={**state.courses, event.subject: int(event.value or 0)})


def _put_down(_: Mapping[str, Step], state: State, event: Event) -> State:
    standing = state.steps[event.subject]
    since = event.at if standing.put_down_at is None else standing.put_down_at
    return _put(state, event.subject, replace(standing, put_down_at=since, aside=True))


def _taken_up(steps: Mapping[str, Step], state: State, event: Event) -> State:
    """What the clock alone began meanwhile, where the hands are not free, is waiting again."""
    for key in in_the_way(steps, state):
        state = _put(state, key, _waiting_again(state.steps[key]))
    return _put(state, event.subject, replace(state.steps[event.subject], aside=False))


def _paused(_: Mapping[str, Step], state: State, event: Event) -> State:
    return replace(state, paused_at=event.at)


def _resumed(steps: Mapping[str, Step], state: State, event: Event) -> State:
    """The cook's hands stood still; what is on the heat did not."""
    assert state.paused_at is not None
    for key, standing in state.steps.items():
        if standing.moves and steps[key].attention == "hands-on":
            still = event.at - max(state.paused_at, standing.began_at or 0.0)
            longer = replace(standing, extra_s=standing.extra_s + max(0.0, still))
            state = _put(state, key, longer)
    return replace(state, paused_at=None)


def _kitchen_told(_: Mapping[str, Step], state: State, event: Event) -> State:
    count = int(event.value or 0)
    if event.kind == "servings_changed":
        return replace(state, servings=count)
    if event.kind == "cooks_changed":
        return replace(state, cooks=count)
    return replace(state, equipment={**state.equipment, event.subject: count})


def _service_told(_: Mapping[str, Step], state: State, event: Event) -> State:
    if event.kind == "cook_started":
        state = replace(state, started_at=event.at)
    return replace(state, wanted_at=event.value)


def _timer_told(_: Mapping[str, Step], state: State, event: Event) -> State:
    timers = dict(state.timers)
    if event.kind == "timer_set":
        assert event.value is not None
        before = timers.get(event.subject)
        # One that is still to ring is changed: it has run since it was first set.
        set_at = before.set_at if before and not before.acknowledged else event.at
        timers[event.subject] = Timer(event.subject, set_at, event.value, event.note)
    elif event.kind == "timer_cancelled":
        del timers[event.subject]
    else:
        timers[event.subject] = replace(timers[event.subject], acknowledged=True)
    return replace(state, timers=timers)


_Effect = Callable[[Mapping[str, Step], State, Event], State]
EFFECTS: dict[str, _Effect] = {
    "cook_started": _service_told,
    "began": _began,
    "finished": _finished,
    "longer": _longer,
    "gate_seen": _gate_seen,
    "skipped": _skipped,
    "dish_dropped": _dish_dropped,
    "dish_added": _dish_added,
    "course_moved": _course_moved,
    "put_down": _put_down,
    "taken_up": _taken_up,
    "paused": _paused,
    "resumed": _resumed,
    "service_moved": _service_told,
    "servings_changed": _kitchen_told,
    "equipment_changed": _kitchen_told,
    "cooks_changed": _kitchen_told,
    "timer_set": _timer_told,
    "timer_cancelled": _timer_told,
    "timer_acknowledged": _timer_told,
    "reminder_set": reminded,
    "reminder_cancelled": reminded,
}
