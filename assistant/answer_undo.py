"""Taking back what the cook told last, in the words of the trade."""

from assistant.meaning import Understood
from assistant.measures import clock, span
from assistant.reply import Question, Reply
from assistant.scene import Scene
from scheduling.events import Event
from scheduling.log import ENDS, last_told

# What was told, with what it was about: the name of a step, a dish, a timer or a thing.
_WORDS = {
    "began": "begun, {name}",
    "finished": "done, {name}",
    "longer": "{length} more, {name}",
    "gate_seen": "{gate}",
    "skipped": "left out, {name}",
    "dish_dropped": "left out, {name}",
    "dish_added": "added, {name}",
    "course_moved": "served apart, {name}",
    "put_down": "left for now, {name}",
    "taken_up": "going on, {name}",
    "paused": "the pause",
    "service_moved": "service moved",
    "servings_changed": "for {count}",
    "equipment_changed": "one {name} fewer",
    "cooks_changed": "how many cooks",
    "timer_set": "the {name}",
    "timer_cancelled": "cancelling the {name}",
    "reminder_set": "the reminder, {name}",
    "reminder_cancelled": "cancelling the reminder, {name}",
}


def undo(ask: Understood, scene: Scene) -> Reply:
    """Take back all that the cook's latest words told.

    Where a pause or a ringing timer has come to its end since, what is meant is asked first.
    """
    told = last_told(scene.log)
    if not told:
        return Reply("There is nothing to take back.")
    what = " and ".join(_words(event, scene) for event in told)
    ended = any(event.kind in ENDS and event.seq > told[-1].seq for event in scene.log)
    if ended and ask.by != "confirmed":
        meant = Understood(ask.text, "undo", 1.0, by="confirmed")
        question = Question(((f"take back {what}", meant),))
        return Reply(f"Shall I take back what you told before: {what}?", question=question)
    events = tuple(Event(scene.now, "undone", value=float(event.seq)) for event in reversed(told))
    kinds = {event.kind for event in told}
    again = _service_again(told, scene) if "service_moved" in kinds else ""
    # After a false alarm calls are made again as well.
    hush_s = 0.0 if "paused" in kinds else None
    return Reply(f"Taken back: {what}.{again}", events=events, hush_s=hush_s)


def _words(event: Event, scene: Scene) -> str:
    step = scene.live.steps.get(event.subject)
    titles = {dish.name: dish.title for dish in scene.menu.dishes}
    return _WORDS[event.kind].format(
        name=step.name if step else titles.get(event.subject, event.subject),
        gate=step.gate.shown if step and step.gate else "",
        length=span(event.value or 0.0),
        count=int(event.value or 0),
    )


def _service_again(told: tuple[Event, ...], scene: Scene) -> str:
    """When service is wanted once this is taken back."""
    left = scene.without(tuple(event.seq for event in told)).live.state
    if left.wanted_at is None:
        return " Service is as soon as possible again."
    return f" Service is at {clock(left.wanted_at)} again."
