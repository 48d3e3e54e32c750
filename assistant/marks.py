"""A presenter's marks: when they are, how the plan stands to them, and what is called for them."""

from collections.abc import Iterator, Mapping

from assistant.measures import capital, span
from assistant.said import Call, Said, call, is_due
from domain.menu import Mark, Step
from scheduling.queries import starts_at
from scheduling.view import View

ON_TIME_S = 60.0  # within a minute of a mark is on it; our own choice
STAND_BY_S = 60.0  # a mark is announced this long before


def mark_at(view: View, mark: Mark) -> float:
    """When the audience was promised it, POSIX seconds."""
    return (view.state.started_at or view.now) + mark.at_s


def marks_ahead(view: View) -> list[Mark]:
    """The marks still to come, the next first; one that is a minute past is gone."""
    ahead = [
        mark
        for mark in view.menu.marks
        if mark_at(view, mark) >= view.now - ON_TIME_S and not view.state.steps[mark.step].over
    ]
    return sorted(ahead, key=lambda mark: mark.at_s)


def stands(view: View, mark: Mark) -> str:
    """How the plan stands to a mark: "on the mark", "3 min behind it"."""
    late = starts_at(view, mark.step) - mark_at(view, mark)
    if abs(late) < ON_TIME_S:
        return "on the mark"
    return f"{span(abs(late))} {'behind it' if late > 0 else 'ahead of it'}"


def shows(view: View, mark: Mark) -> str:
    """What the audience is to see, as a sentence of its own."""
    return capital((mark.shown or view.steps[mark.step].name).rstrip(".")) + "."


def mark_of(view: View, step: Step) -> Mark | None:
    """The mark that is met by beginning this step."""
    return next((mark for mark in view.menu.marks if mark.step == step.key), None)


def mark_calls(view: View, said: Mapping[str, Said]) -> Iterator[Call]:
    """Stand by, a minute before a mark; and where the mark comes and the plan is behind it."""
    for mark in marks_ahead(view):
        step, at = view.steps[mark.step], mark_at(view, mark)
        if view.state.steps[step.key].status != "waiting":
            continue
        late = starts_at(view, step.key) - at > ON_TIME_S
        key = f"stand-by:{step.key}"
        if 5 < at - view.now <= STAND_BY_S and is_due(said, key, view.now):
            behind = f" We are {stands(view, mark)}." if late else ""
            words = f"Stand by: {step.name}, in {span(at - view.now)}.{behind} {shows(view, mark)}"
            yield call(key, "due", words, covers=(f"soon:{step.key}",))
        key = f"mark:{step.key}"
        if late and at <= view.now and is_due(said, key, view.now):
            words = f"The mark is now: {step.name}. We are {stands(view, mark)}."
            yield call(key, "due", words)
