"""What the assistant says unasked: what is due, what is on the heat, what has changed.

Pure: `calls` reads the live view and what was said before; whoever says a call notes it with
`noted`, and what the cook has heard with `acknowledged`. How often a call repeats is our own
choice throughout.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Literal

from assistant.figures import joined
from assistant.measures import capital, clock, span
from assistant.two_forms import to_say, to_show
from domain.menu import Step
from scheduling.effects import followers
from scheduling.events import StepState, ends_by_clock
from scheduling.queries import (
    Course,
    courses,
    finished,
    next_steps,
    on_heat,
    ready_at,
    service_at,
    starts_at,
    still_on,
    waiting_for,
)
from scheduling.view import View

Urgency = Literal["heat", "due", "soon", "news"]

SOON_S = 60.0  # a hands-on step is announced this long before
FRESH_S = 300.0  # a beginning older than this (after a restart) is no news
MOVED_S = 120.0  # service has to move by more than this to be news
LAST_S = 600.0  # a dish that holds no longer than this is finished last
HEAT_EVERY_S = (30.0, 20.0, 15.0, 10.0)  # rising insistence
TIMER_EVERY_S = (30.0,)  # evenly: only what is on the heat insists
ASK_EVERY_S = (60.0, 120.0, 240.0)  # a question is asked less and less often
OVERDUE_LEAST_S = 60.0
OVERDUE_SHARE = 0.2


@dataclass(frozen=True)
class Call:
    """Something to say unasked. key: what it is about; covers: other keys it says as well.

    repeats: how often it was said before. value: what was told, for calls about a time that
    moves (POSIX seconds).
    """

    key: str
    urgency: Urgency
    spoken: str
    shown: str
    repeats: int = 0
    covers: tuple[str, ...] = ()
    value: float | None = None


@dataclass(frozen=True)
class Said:
    """How often a call was said, and when last (POSIX seconds). heard: the cook knows."""

    times: int
    at: float
    heard: bool = False
    value: float | None = None


def noted(said: Mapping[str, Said], made: Iterable[Call], now: float) -> dict[str, Said]:
    """What has been said, with these calls said now."""
    after = dict(said)
    for call in made:
        for key in (call.key, *call.covers):
            before = after.get(key, Said(0, now))
            after[key] = Said(before.times + 1, now, before.heard, call.value)
    return after


def acknowledged(said: Mapping[str, Said], keys: Iterable[str] | None = None) -> dict[str, Said]:
    """The cook has heard these calls (all of them by default): they do not repeat."""
    chosen = set(said if keys is None else keys)
    return {key: replace(one, heard=True) if key in chosen else one for key, one in said.items()}


def calls(view: View, said: Mapping[str, Said], hushed_at: float = float("inf")) -> list[Call]:
    """The calls to make now, the most urgent first.

    While paused only what is on the heat and timers are called. hushed_at: when the cook last
    asked for quiet (POSIX seconds): what began since then is news afterwards, however old.
    """
    made = [*_time_up(view, said), *_timers(view, said), *_gates(view, said)]
    covered = {key for call in made for key in call.covers}
    if view.state.paused_at is None:
        made += _beginnings(view, said, covered, min(view.now - FRESH_S, hushed_at))
        made += _coming_up(view, said)
        made += _overdue(view, said)
        made += _changes(view, said)
    order = ("heat", "due", "soon", "news")
    return sorted(made, key=lambda call: order.index(call.urgency))


def _call(
    key: str,
    urgency: Urgency,
    words: str,
    repeats: int = 0,
    covers: tuple[str, ...] = (),
    value: float | None = None,
) -> Call:
    words = capital(words)
    return Call(key, urgency, to_say(words), to_show(words), repeats, covers, value)


def _due(said: Mapping[str, Said], key: str, now: float, every: tuple[float, ...] = ()) -> bool:
    """Not said yet, or said long enough ago, not heard, and to be repeated."""
    before = said.get(key)
    if before is None:
        return True
    if before.heard or not every:
        return False
    return now >= before.at + every[min(before.times, len(every)) - 1]


def _times(said: Mapping[str, Said], key: str) -> int:
    return said[key].times if key in said else 0


def _time_up(view: View, said: Mapping[str, Said]) -> Iterator[Call]:
    """What the clock ended on the heat, until the cook says anything of it."""
    for item in on_heat(view):
        step, standing = item.step, view.state.steps[item.step.key]
        if not still_on(view, step, standing):
            continue
        key = f"heat:{step.key}:{standing.ended_at:.0f}"
        begun = [after for after in followers(view.steps, step.key) if _begun(view, after)]
        covers = tuple(_begin_key(after, view.state.steps[after.key]) for after in begun)
        if not _due(said, key, view.now, HEAT_EVERY_S):
            continue
        times = _times(said, key)
        do = " ".join(after.say for after in begun)
        over = view.now - (standing.ended_at or view.now)
        if times == 0:
            words = f"Time is up: {step.name}. {do}"
        elif times < 3:
            words = f"Still on the heat: {step.name}. {do}"
        else:
            words = f"{span(over)} over, still on the heat: {step.name}. See to it now."
        yield _call(key, "heat", words.strip(), times, covers)


def _begun(view: View, step: Step) -> bool:
    return view.state.steps[step.key].status == "running"


def _timers(view: View, said: Mapping[str, Said]) -> Iterator[Call]:
    for timer in view.state.timers.values():
        key = f"timer:{timer.name}:{timer.ends_at:.0f}"
        ringing = timer.ends_at <= view.now and not timer.acknowledged
        if ringing and _due(said, key, view.now, TIMER_EVERY_S):
            again = " still" if key in said else ""
            words = f"{capital(timer.name)} is{again} up."
            yield _call(key, "due", words, _times(said, key))


def _gates(view: View, said: Mapping[str, Said]) -> Iterator[Call]:
    """Asks after what only the cook can see, once it should have been seen."""
    for wait in waiting_for(view):
        step, gate = wait.step, wait.gate
        if gate is None:
            continue
        running = view.state.steps[step.key].status == "running"
        if running and view.planned_end_of(step.key) > view.now:
            continue
        if view.state.paused_at is not None and not step.on_heat:
            continue
        extra = view.state.steps[step.key].extra_s  # "not yet" asks anew later
        key = f"gate:{step.key}:{extra:.0f}"
        if _due(said, key, view.now, ASK_EVERY_S):
            again = "Look again: tell" if key in said else "Tell"
            words = f"{again} me when {gate.shown}."
            urgency: Urgency = "heat" if running and step.on_heat else "due"
            yield _call(key, urgency, words, _times(said, key))


def _begin_key(step: Step, standing: StepState) -> str:
    return f"begin:{step.key}:{standing.began_at or 0.0:.0f}"


def _beginnings(
    view: View, said: Mapping[str, Said], covered: set[str], since: float
) -> Iterator[Call]:
    """ "Do this now", for every step that the clock has begun since then."""
    for step in view.running():
        standing = view.state.steps[step.key]
        key = _begin_key(step, standing)
        fresh = standing.began_at is not None and standing.began_at > since
        if standing.began_by != "clock" or not fresh or key in covered:
            continue
        # An oven that nobody has turned on spoils everything after it: that one is asked again.
        if _due(said, key, view.now, ASK_EVERY_S if view.heats(step.key) else ()):
            words = _last_of_all(view, step) + step.say
            yield _call(key, "due", words, _times(said, key))


def _last_of_all(view: View, step: Step) -> str:
    """A word before the step that finishes a dish which cannot wait."""
    dishes = {dish.name: dish for dish in view.menu.dishes}
    dish = dishes.get(step.dish)
    if dish is None or dish.hold_s > LAST_S:
        return ""
    last = all(view.state.steps[other.key].over for other in dish.steps if other.key != step.key)
    return "Last thing before serving: " if last and len(dish.steps) > 1 else ""


def _coming_up(view: View, said: Mapping[str, Said]) -> Iterator[Call]:
    """A minute's notice of what needs the hands, unless the hands are already on that dish."""
    in_hand = {step.dish for step in view.running() if step.attention == "hands-on"}
    for step in next_steps(view, 3):
        key = f"soon:{step.key}"
        wait = starts_at(view, step.key) - view.now
        if step.attention != "hands-on" or step.dish in in_hand or not 5 < wait <= SOON_S:
            continue
        if _due(said, key, view.now):
            words = f"In {span(wait)}: {step.name}."
            yield _call(key, "soon", words)
            return


def _overdue(view: View, said: Mapping[str, Said]) -> Iterator[Call]:
    """Asks after a hands-on step that should be over: only the cook can end it."""
    for step in view.running():
        if ends_by_clock(step) or step.gate is not None:
            continue
        standing = view.state.steps[step.key]
        over = view.now - view.planned_end_of(step.key)
        key = f"done:{step.key}:{standing.extra_s:.0f}"
        late = over > max(OVERDUE_LEAST_S, OVERDUE_SHARE * step.duration.likely_s)
        if late and _due(said, key, view.now, ASK_EVERY_S):
            words = f"Done yet: {step.name}? Tell me when."
            yield _call(key, "soon", words, _times(said, key))


def _changes(view: View, said: Mapping[str, Said]) -> Iterator[Call]:
    """A dish that is ready, a service that moves, and service itself."""
    if view.state.started_at is None:
        return
    served = courses(view)
    if len(served) > 1:
        yield from _serve_courses(view, said, served)
    elif finished(view):
        yield from _serve(view, said)
    if finished(view):
        return
    for dish in view.menu.dishes:
        over = all(view.state.steps[step.key].over for step in dish.steps)
        at = ready_at(view, dish.name)
        if over and at is not None and at > view.now - FRESH_S:
            key = f"ready:{dish.name}:{at:.0f}"
            if _due(said, key, view.now):
                words = f"Ready: {dish.title}. It holds for {span(dish.hold_s)}."
                yield _call(key, "news", words)
    if view.why_not and _due(said, f"stuck:{view.why_not}", view.now):
        words = f"The plan no longer works: {'; '.join(view.why_not)}."
        yield _call(f"stuck:{view.why_not}", "due", words)
        return
    yield from _service_moved(view, said)


def _service_key(view: View) -> str:
    return f"service:{view.state.wanted_at}"


def service_told(view: View, said: Mapping[str, Said]) -> dict[str, Said]:
    """The cook has just been told in a reply when we eat: only a further change is news."""
    key = _service_key(view)
    return {**said, key: Said(_times(said, key), view.now, value=service_at(view))}


def _service_moved(view: View, said: Mapping[str, Said]) -> Iterator[Call]:
    at, key = service_at(view), _service_key(view)
    wanted = view.state.wanted_at
    told = said[key].value if key in said else None
    if told is None:
        told = wanted if wanted is not None else view.first_service_at
    moved = at - told
    if abs(moved) > MOVED_S:
        way = "later" if moved > 0 else "sooner"
        until = view.now + moved  # what was to be served by now has been
        left = [course for course in courses(view) if not course.ready or course.at > until]
        what = "We eat"
        if left and left[0].at > at:
            what, at = f"We serve {_dishes(left[0])}", left[0].at
        words = f"{what} at {clock(at)} now, {span(abs(moved))} {way}."
        yield _call(key, "news", words, _times(said, key), value=told + moved)


def _serve_courses(view: View, said: Mapping[str, Said], served: list[Course]) -> Iterator[Call]:
    for course in served:
        key = "serve:" + ",".join(dish.name for dish in course.dishes)
        due = -FRESH_S < course.at - view.now <= MOVED_S
        if course.ready and due and _due(said, key, view.now):
            yield _call(key, "due", f"Serve {_dishes(course)} now.")


def _dishes(course: Course) -> str:
    """The dishes of a course as cooks name them: "the chicken and the rice"."""
    return joined(
        [
            next((name for name in dish.also if name.startswith("the ")), dish.title)
            for dish in course.dishes
        ]
    )


def _serve(view: View, said: Mapping[str, Said]) -> Iterator[Call]:
    wanted = view.state.wanted_at
    if wanted is not None and wanted - view.now > MOVED_S:
        if _due(said, "early", view.now):
            early = span(wanted - view.now)
            words = f"Everything is ready, {early} early. Keep it warm."
            yield _call("early", "news", words)
    elif _due(said, "serve", view.now):
        yield _call("serve", "due", "Everything is ready. Serve now.")
