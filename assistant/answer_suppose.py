"""Answers to what may come: what a change would do, and how likely we are to eat on time."""

import math
import re
from collections.abc import Iterator
from dataclasses import replace

from assistant import answer_changes, answer_leaving_out, answer_reports
from assistant.answer_time import duration_s
from assistant.meaning import Understood
from assistant.measures import clock, span
from assistant.reply import Question, Reply
from assistant.scene import Scene
from assistant.subject import steps_meant
from assistant.two_forms import both
from scheduling.events import Event
from scheduling.forecast import Forecast, forecast
from scheduling.outcome import Outcome
from scheduling.queries import finished, service_at
from scheduling.view import View
from scheduling.what_if import Upshot, upshot

_NO_CHANGE_S = 30.0  # less is the same minute; our own choice
_NOTHING_CHANGED = "Nothing is changed."
_CHANGES = {
    "report_longer": answer_reports.report_longer,
    "report_begun": answer_reports.report_begun,
    "skip_step": answer_leaving_out.skip_step,
    "drop_dish": answer_leaving_out.drop_dish,
    "add_dish": answer_changes.add_dish,
    "move_service": answer_changes.move_service,
    "serve_later": answer_changes.serve_later,
    "cook_joined": answer_changes.cook_joined,
    "cook_left": answer_changes.cook_left,
    "equipment_lost": answer_changes.equipment_lost,
}
# What asks for the step that decides before the chance itself.
_ASKS_WHY = re.compile(r"\b(?:decides?|depends?|hangs?|late|delay|risk|matters?|lose|hold|wrong)\b")
_IN_TEN = (
    *("never", "once", "twice", "three times", "four times", "five times"),
    *("six times", "seven times", "eight times", "nine times", "always"),
)


def what_if(ask: Understood, scene: Scene) -> Reply:
    """What a change would make of service and of what waits; nothing is changed."""
    if ask.supposed not in _CHANGES:
        return Reply(
            "What shall I suppose?",
            more="Say it like: what if the rice takes ten minutes longer.",
        )
    # What is supposed needs no confirming.
    change = replace(ask, intent=ask.supposed, by="confirmed")
    if ask.supposed == "report_longer" and duration_s(ask) is None:
        return Reply("How much longer?", question=Question((), amount_for=ask))
    reply = _CHANGES[ask.supposed](change, scene)
    events = reply.events or _longer_to_come(change, scene)
    if events:
        return _told(scene.what_if(*events, solve=True))
    return replace(reply, question=reply.question and _supposed(reply.question))


def _supposed(question: Question) -> Question:
    """The same question, whose answers are suppositions still."""

    def still(meant: Understood) -> Understood:
        return replace(meant, intent="what_if", supposed=meant.intent)

    amount_for = question.amount_for and still(question.amount_for)
    return Question(
        tuple((label, still(meant)) for label, meant in question.choices), amount_for=amount_for
    )


def _longer_to_come(change: Understood, scene: Scene) -> tuple[Event, ...]:
    """What has not begun may be supposed longer as well: of a dish, its longest step."""
    length = duration_s(change)
    if change.intent != "report_longer" or length is None:
        return ()
    waiting = [
        step
        for ref in change.refs
        for step in steps_meant(ref, scene)
        if scene.live.state.steps[step.key].status == "waiting"
    ]
    if not waiting:
        return ()
    longest = max(waiting, key=lambda step: step.duration.likely_s)
    return (Event(scene.now, "longer", longest.key, length),)


def _told(outcome: Outcome) -> Reply:
    found = upshot(outcome)
    if found.refused:
        return Reply(found.refused)
    if found.why_not:
        why = "; ".join(reason.rstrip(".") for reason in found.why_not)
        return Reply("That could not be cooked. Nothing is changed.", more=f"{why}.")
    at = clock(service_at(outcome.after))
    harm = [*(f"But {limit}." for limit in found.missed), *_waits_too_long(found, outcome)]
    if abs(found.moved_s) < _NO_CHANGE_S:
        if not harm:
            return Reply(f"That changes nothing: we still eat at {at}.")
        first = f"We would still eat at {at}."
    else:
        later = "later" if found.moved_s > 0 else "earlier"
        first = f"We would eat at {at}, {span(abs(found.moved_s))} {later}."
    spoken = " ".join((first, *harm[:1], _NOTHING_CHANGED))
    return Reply(spoken, shown=" ".join((first, *harm, _NOTHING_CHANGED)), more=" ".join(harm[1:]))


def _waits_too_long(found: Upshot, outcome: Outcome) -> Iterator[str]:
    """The dishes that would wait longer than they keep, or longer than now, in one sentence."""
    menu = outcome.after.menu
    stale = [f"{menu.dish(dish).title}, {span(over_s)}" for dish, over_s in found.waits_s.items()]
    if stale:
        yield f"But some would wait longer than they keep: {'; '.join(stale)}."


def chances(ask: Understood, scene: Scene) -> Reply:
    """Between when and when we eat, the chance of the wanted time, and what decides it."""
    if finished(scene.live):
        return Reply("Everything is ready. You can eat now.")
    likely = forecast(scene.live)
    if not math.isfinite(likely.high_at):
        return Reply("I cannot tell: the plan cannot go on as it is.")
    said = [*range_told(likely), *_chance_told(likely, scene.live)]
    decided = list(decided_told(likely, scene.live))
    if decided and _ASKS_WHY.search(ask.text.lower()):
        said = [*decided, *said]
    else:
        said += decided
    return Reply(" ".join(said[:2]), shown=" ".join(said), more=" ".join(said[2:]))


def range_told(likely: Forecast) -> Iterator[str]:
    """Between when and when, in one sentence; one moment where the two are hardly apart."""
    if likely.high_at - likely.low_at < _NO_CHANGE_S:
        yield f"We eat at {clock(likely.expected_at)}, almost surely."
        return
    between = f"between {clock(likely.low_at)} and {clock(likely.high_at)}"
    yield f"Eight times in ten, {between}."


def decided_told(likely: Forecast, view: View) -> Iterator[str]:
    """The step whose own time decides most, in one sentence; none where no step does."""
    for key, _ in likely.decided_by[:1]:
        yield f"Most hangs on one step: {view.steps[key].name}."


def _chance_told(likely: Forecast, view: View) -> Iterator[str]:
    if likely.chance is None or view.state.wanted_at is None:
        return
    tenths = round(10 * likely.chance)
    wanted = clock(view.state.wanted_at)
    if tenths in (0, 10):
        yield f"By {wanted} we eat {'almost surely' if tenths else 'hardly ever'}."
    else:
        percent = f"{100 * likely.chance:.0f} % of the time"
        yield f"By {wanted} we eat {both(f'{_IN_TEN[tenths]} in ten', percent)}."
