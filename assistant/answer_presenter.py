"""Answers for a presenter: the marks, what to show, and which calls are still to come."""

from assistant.answer_time import when_eat
from assistant.marks import STAND_BY_S, mark_at, marks_ahead, shows, stands
from assistant.meaning import Understood
from assistant.measures import capital, clock, span
from assistant.reply import Reply
from assistant.scene import Scene
from scheduling.queries import next_steps, reminders_ahead, service_at, starts_at

_STEPS_TOLD = 4


def to_mark(ask: Understood, scene: Scene) -> Reply:
    """The next fixed mark, the minutes to it, and how the plan stands to it."""
    mark = next(iter(marks_ahead(scene.live)), None)
    if mark is None:
        return Reply("There are no more marks.", more=when_eat(ask, scene).spoken)
    left = span(max(0.0, mark_at(scene.live, mark) - scene.now))
    return Reply(
        f"{capital(left)} to the mark; you are {stands(scene.live, mark)}.",
        more=f"Then show: {shows(scene.live, mark)}",
    )


def show_what(_: Understood, scene: Scene) -> Reply:
    """What to show at the next mark."""
    mark = next(iter(marks_ahead(scene.live)), None)
    if mark is None:
        return Reply("Nothing is marked to be shown now.")
    return Reply(f"Show: {shows(scene.live, mark)}")


def calls_ahead(_: Understood, scene: Scene) -> Reply:
    """What will be called, and when: stand-by and go for each mark, the next steps, service."""
    told = sorted(_to_come(scene))
    first, *rest = [f"{words}, at {clock(at)}" for at, words in told]
    return Reply(
        f"Next call: {first}.",
        more=" ".join(f"{capital(line)}." for line in rest),
        shown="\n".join(["Calls to come:", *(f"  {clock(at)}  {words}" for at, words in told)]),
    )


def _to_come(scene: Scene) -> list[tuple[float, str]]:
    live = scene.live
    found = [(service_at(live), "service")]
    marks = marks_ahead(live)
    for mark in marks:
        at, name = mark_at(live, mark), live.steps[mark.step].name
        if at - STAND_BY_S > scene.now:
            found.append((at - STAND_BY_S, f"stand by for “{name}”"))
        if live.state.steps[mark.step].status == "waiting":
            found.append((max(at, starts_at(live, mark.step)), f"go, “{name}”"))
    marked = {mark.step for mark in marks}
    for step in next_steps(live, _STEPS_TOLD):
        if step.key not in marked:
            found.append((starts_at(live, step.key), step.name))
    timers = (timer for timer in live.state.timers.values() if timer.ends_at > scene.now)
    found += [(timer.ends_at, timer.name) for timer in timers]
    return found + [(at, reminder.words) for at, reminder in reminders_ahead(live)]
