"""Why an event cannot be taken, in a sentence for the cook."""

from collections.abc import Callable, Mapping
from functools import partial

from domain.cookbook import DISHES_AT_MOST
from domain.errors import FileProblem
from domain.menu import Dish, Step
from domain.order import refuse_cycles
from scheduling.events import Event, State
from scheduling.hands import in_the_way
from scheduling.menu_now import added_dish
from scheduling.reminders import reminder_refused
from scheduling.timetable import is_heating, of_no_dish

# No meal takes, needs or has more than this: common practice, not published figures.
A_DAY_S = 24 * 3600
SERVICE_WITHIN_S = 7 * A_DAY_S
SERVINGS_AT_MOST = 1000
COOKS_AT_MOST = 20
PIECES_AT_MOST = 100


def called(step: Step) -> str:
    """What a step is called in a sentence: its name, in quotes."""
    return f"“{step.name}”"


def refuse(steps: Mapping[str, Step], state: State, event: Event) -> str | None:
    """Why this event cannot be taken, as a sentence for the cook; None when it can."""
    if state.started_at is not None and event.at < state.started_at - A_DAY_S:
        return "That was long before this cook began."
    return _CHECKS[event.kind](steps, state, event)


def _step_known(steps: Mapping[str, Step], state: State, event: Event) -> str | None:
    step = steps.get(event.subject)
    if step is None or event.subject not in state.steps:
        return f"There is no step “{event.subject}” in this menu."
    if step.dish in state.dropped:
        return f"{called(step)} is gone: that dish has been left out."
    return None


def _began(steps: Mapping[str, Step], state: State, event: Event) -> str | None:
    unknown = _step_known(steps, state, event)
    if unknown:
        return unknown
    step, standing = steps[event.subject], state.steps[event.subject]
    if standing.status == "done":
        return f"{called(step)} is already done."
    if standing.status == "running" and (standing.began_by == "cook" or event.by == "clock"):
        return f"{called(step)} has already begun."
    if event.by == "clock" and (
        standing.status == "skipped" or not all(map(state.lets, step.follows))
    ):
        return f"{called(step)} cannot begin yet."
    return None


def _finished(steps: Mapping[str, Step], state: State, event: Event) -> str | None:
    unknown = _step_known(steps, state, event)
    if unknown:
        return unknown
    step, standing = steps[event.subject], state.steps[event.subject]
    if standing.status == "done" and (standing.ended_by == "cook" or event.by == "clock"):
        return f"{called(step)} is already done."
    if event.by == "clock" and standing.status != "running":
        return f"{called(step)} is not running."
    if (
        standing.status == "running"
        and standing.began_by == "cook"
        and standing.began_at is not None
        and event.at < standing.began_at
    ):
        return f"{called(step)} cannot be done before it began."
    return None


def _longer(steps: Mapping[str, Step], state: State, event: Event) -> str | None:
    unknown = _step_known(steps, state, event)
    if unknown:
        return unknown
    step, standing = steps[event.subject], state.steps[event.subject]
    if event.value is None or not 0 < event.value <= A_DAY_S:
        return f"How much longer does {called(step)} need? Say a time of up to a day."
    if standing.status == "skipped":
        return f"{called(step)} has been left out."
    if standing.status == "done" and standing.began_at is None:
        return f"{called(step)} was already done before it was begun here."
    return _undone_by_hand(steps, state, step.key) if standing.status == "done" else None


def _undone_by_hand(steps: Mapping[str, Step], state: State, key: str) -> str | None:
    """A step cannot go on once the cook has begun what comes after it."""
    for step in steps.values():
        if not any(follow.step == key and follow.in_turn for follow in step.follows):
            continue
        after = state.steps[step.key]
        by_cook = (after.began_at is not None and after.began_by == "cook") or (
            after.status == "done" and after.ended_by == "cook"
        )
        if by_cook:
            return f"{called(steps[key])} cannot go on: {called(step)} has already begun."
        deeper = _undone_by_hand(steps, state, step.key) if after.began_at else None
        if deeper:
            return deeper
    return None


def _gate_seen(steps: Mapping[str, Step], state: State, event: Event) -> str | None:
    unknown = _step_known(steps, state, event)
    if unknown:
        return unknown
    step, standing = steps[event.subject], state.steps[event.subject]
    if step.gate is None:
        return f"{called(step)} does not wait for anything to be seen."
    if standing.gate_seen_at is not None:
        return f"I know already: {step.gate.shown}."
    if step.gate.moment == "start":
        return f"{called(step)} is already over." if standing.over else None
    return _finished(steps, state, event)


def _skipped(steps: Mapping[str, Step], state: State, event: Event) -> str | None:
    unknown = _step_known(steps, state, event)
    if unknown:
        return unknown
    if state.over(event.subject):
        how = state.steps[event.subject].status
        word = "already done" if how == "done" else "already left out"
        return f"{called(steps[event.subject])} is {word}."
    return None


def _dish_known(steps: Mapping[str, Step], state: State, event: Event) -> str | None:
    mine = [step for step in steps.values() if step.dish == event.subject]
    if not mine or all(map(of_no_dish, mine)):
        return f"There is no dish “{event.subject}” in this menu."
    return "That dish has already been left out." if event.subject in state.dropped else None


def _course_moved(steps: Mapping[str, Step], state: State, event: Event) -> str | None:
    value = event.value
    if value is None or value != int(value) or abs(value) > A_DAY_S:
        return "How long after the others? Say a time of up to a day."
    return _dish_known(steps, state, event)


def _dish_added(steps: Mapping[str, Step], state: State, event: Event) -> str | None:
    dish = added_dish(event)
    if dish is None:
        return f"I cannot read the dish “{event.subject}”."
    there = {s.dish for s in steps.values() if not of_no_dish(s)} - state.dropped
    if dish.name in there:
        return f"“{dish.title}” is already in this menu."
    if any(is_heating(step) and step.dish == dish.name for step in steps.values()):
        return f"A dish cannot be called “{dish.name}”: that is the oven’s name."
    if len(there) >= DISHES_AT_MOST:
        return f"There are {len(there)} dishes already: cook at most {DISHES_AT_MOST} at once."
    return _misfit(steps, there, dish)


def _misfit(steps: Mapping[str, Step], there: set[str], dish: Dish) -> str | None:
    """What only shows when the dish comes to the others."""
    together = [step for step in steps.values() if step.dish in there]
    together += dish.steps
    keys = {step.key for step in together}
    for step in together:
        for follow in step.follows:
            if follow.step not in keys and dish.name in (step.dish, follow.step.split("/")[0]):
                return f"{called(step)} waits for “{follow.step}”, which is in no dish here."
    try:
        refuse_cycles(partial(FileProblem, dish.name, 0, ""), together)
    except FileProblem as error:
        return f"“{dish.title}” does not go with the others: {error.wrong}."
    return None


def _put_down(steps: Mapping[str, Step], state: State, event: Event) -> str | None:
    unknown = _step_known(steps, state, event)
    if unknown:
        return unknown
    step, standing = steps[event.subject], state.steps[event.subject]
    if standing.status != "running" or standing.began_at is None:
        return f"{called(step)} is not under way."
    if not step.pausable:
        return f"{called(step)} cannot be broken off."
    if standing.aside:
        return f"{called(step)} lies still already."
    if state.paused_at is not None:
        return "We are already paused."
    return f"{called(step)} has only just begun." if event.at <= standing.began_at else None


def _taken_up(steps: Mapping[str, Step], state: State, event: Event) -> str | None:
    unknown = _step_known(steps, state, event)
    if unknown:
        return unknown
    step, standing = steps[event.subject], state.steps[event.subject]
    if standing.put_down_at is None:
        return f"{called(step)} does not lie still."
    if state.paused_at is not None:
        return "We are paused: carry on first."
    if event.at < standing.put_down_at:
        return f"{called(step)} cannot go on before it was put down."
    busy = [key for key in in_the_way(steps, state) if state.steps[key].began_by == "cook"]
    if busy:
        return f"Your hands are busy with {' and '.join(called(steps[key]) for key in busy)}."
    return None


def _paused(_: Mapping[str, Step], state: State, event: Event) -> str | None:
    return "We are already paused." if state.paused_at is not None else None


def _resumed(_: Mapping[str, Step], state: State, event: Event) -> str | None:
    if state.paused_at is None:
        return "We are not paused."
    return "We cannot go on before we paused." if event.at < state.paused_at else None


def _cook_started(_: Mapping[str, Step], state: State, event: Event) -> str | None:
    if state.started_at is not None:
        return "This cook has already started."
    return _too_far_off(event)


def _service_moved(_: Mapping[str, Step], state: State, event: Event) -> str | None:
    if event.value is not None and event.value < event.at:
        return "That time has already passed."
    return _too_far_off(event)


def _too_far_off(event: Event) -> str | None:
    far = event.value is not None and event.value > event.at + SERVICE_WITHIN_S
    return "That is more than a week away: say a time within a week." if far else None


def _servings_changed(_: Mapping[str, Step], state: State, event: Event) -> str | None:
    if event.value is not None and event.value > SERVINGS_AT_MOST:
        return f"That is too many people for me: {SERVINGS_AT_MOST} at most."
    fits = event.value is not None and 1 <= event.value == int(event.value)
    return None if fits else "For how many people? It has to be one or more."


def _equipment_changed(_: Mapping[str, Step], state: State, event: Event) -> str | None:
    if event.value is not None and event.value > PIECES_AT_MOST:
        return f"That is more than a kitchen has: {PIECES_AT_MOST} at most."
    fits = event.value is not None and 0 <= event.value == int(event.value)
    return None if event.subject and fits else "What is missing, and how many are left?"


def _cooks_changed(_: Mapping[str, Step], state: State, event: Event) -> str | None:
    if event.value is not None and event.value > COOKS_AT_MOST:
        return f"That is more cooks than I can plan for: {COOKS_AT_MOST} at most."
    fits = event.value is not None and 1 <= event.value == int(event.value)
    return None if fits else "Somebody has to cook: it has to be one cook or more."


def _timer_set(_: Mapping[str, Step], state: State, event: Event) -> str | None:
    if event.value is None or event.value <= event.at:
        return "For how long? A timer needs a time still to come."
    if event.value > event.at + SERVICE_WITHIN_S:
        return "That is more than a week away: a timer runs for a week at most."
    return None if event.subject else "A timer needs a name."


def _timer_known(_: Mapping[str, Step], state: State, event: Event) -> str | None:
    timer = state.timers.get(event.subject)
    if timer is None:
        return f"There is no timer called “{event.subject}”."
    if event.kind == "timer_cancelled":
        return None
    if timer.acknowledged:
        return f"The timer “{event.subject}” is already quiet."
    return None if event.at >= timer.ends_at else f"The timer “{event.subject}” is still running."


def _undone(_: Mapping[str, Step], state: State, event: Event) -> str | None:
    known = event.value is not None and 1 <= event.value <= state.last_seq
    return None if known else "There is nothing to take back."


_Check = Callable[[Mapping[str, Step], State, Event], str | None]
_CHECKS: dict[str, _Check] = {
    "cook_started": _cook_started,
    "began": _began,
    "finished": _finished,
    "longer": _longer,
    "gate_seen": _gate_seen,
    "skipped": _skipped,
    "dish_dropped": _dish_known,
    "dish_added": _dish_added,
    "course_moved": _course_moved,
    "put_down": _put_down,
    "taken_up": _taken_up,
    "paused": _paused,
    "resumed": _resumed,
    "service_moved": _service_moved,
    "servings_changed": _servings_changed,
    "equipment_changed": _equipment_changed,
    "cooks_changed": _cooks_changed,
    "timer_set": _timer_set,
    "timer_cancelled": _timer_known,
    "timer_acknowledged": _timer_known,
    "reminder_set": reminder_refused,
    "reminder_cancelled": reminder_refused,
    "undone": _undone,
}
