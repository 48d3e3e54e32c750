"""What the assistant says unasked: what is due, what is on the heat, what has changed.

Pure: `calls` reads the live view and what was said before; whoever says a call notes it with
`noted`, and what the cook has heard with `acknowledged`. How often a call repeats is our own
choice throughout.
"""

from collections.abc import Iterator, Mapping

from assistant.figures import joined
from assistant.marks import mark_calls, mark_of, shows
from assistant.measures import clock, span
from assistant.said import ASK_EVERY_S, FRESH_S, Call, Said, Urgency, call, is_due, times_said
from assistant.timer_calls import timer_calls
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

SOON_S = 60.0  # a hands-on step is announced this long before
MOVED_S = 120.0  # service has to move by more than this to be news
LAST_S = 600.0  # a dish that holds no longer than this is finished last
HEAT_EVERY_S = (30.0, 20.0, 15.0, 10.0)  # rising insistence
OVERDUE_LEAST_S = 60.0
OVERDUE_SHARE = 0.2


def calls(
    view: View, said: Mapping[str, Said], hushed_at: float = float("inf"), *, by_ear: bool = False
) -> list[Call]:
    """The calls to make now, the most urgent first.

    While paused only what is on the heat and timers are called. hushed_at: when the cook last
    asked for quiet (POSIX seconds): what began since then is news afterwards, however old.
    by_ear: the view is one of `by_ear`, and hazards are told before a step begins.
    """
    made = [*_time_up(view, said), *timer_calls(view, said), *_gates(view, said, by_ear=by_ear)]
    covered = {key for one in made for key in one.covers}
    if view.state.paused_at is None:
        made += mark_calls(view, said)
        covered |= {key for one in made for key in one.covers}
        made += _beginnings(view, said, covered, min(view.now - FRESH_S, hushed_at))
        made += _coming_up(view, said, covered, by_ear=by_ear)
        made += _overdue(view, said)
        made += _changes(view, said)
    order = ("heat", "due", "soon", "news")
    return sorted(made, key=lambda one: order.index(one.urgency))


def _time_up(view: View, said: Mapping[str, Said]) -> Iterator[Call]:
    """What the clock ended on the heat, until the cook says anything of it."""
    for item in on_heat(view):
        step, standing = item.step, view.state.steps[item.step.key]
        if not still_on(view, step, standing):
            continue
        key = f"heat:{step.key}:{standing.ended_at:.0f}"
        begun = [after for after in followers(view.steps, step.key) if _begun(view, after)]
        covers = tuple(_begin_key(after, view.state.steps[after.key]) for after in begun)
        if not is_due(said, key, view.now, HEAT_EVERY_S):
            continue
        times = times_said(said, key)
        do = " ".join(after.say for after in begun)
        over = view.now - (standing.ended_at or view.now)
        if times == 0:
            words = f"Time is up: {step.name}. {do}"
        elif times < 3:
            words = f"Still on the heat: {step.name}. {do}"
        else:
            words = f"{span(over)} over, still on the heat: {step.name}. See to it now."
        yield call(key, "heat", words.strip(), times, covers)


def _begun(view: View, step: Step) -> bool:
    return view.state.steps[step.key].status == "running"


def _gates(view: View, said: Mapping[str, Said], *, by_ear: bool) -> Iterator[Call]:
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
        if is_due(said, key, view.now, ASK_EVERY_S):
            anew = "Once more: tell" if by_ear else "Look again: tell"
            again = anew if key in said else "Tell"
            words = f"{again} me when {gate.shown}."
            urgency: Urgency = "heat" if running and step.on_heat else "due"
            yield call(key, urgency, words, times_said(said, key))


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
        if is_due(said, key, view.now, ASK_EVERY_S if view.heats(step.key) else ()):
            mark = mark_of(view, step)
            go, show = ("Go: ", f" {shows(view, mark)}") if mark else ("", "")
            words = go + _last_of_all(view, step) + step.say + show
            yield call(key, "due", words, times_said(said, key))


def _last_of_all(view: View, step: Step) -> str:
    """A word before the step that finishes a dish which cannot wait."""
    dishes = {dish.name: dish for dish in view.menu.dishes}
    dish = dishes.get(step.dish)
    if dish is None or dish.hold_s > LAST_S:
        return ""
    last = all(view.state.steps[other.key].over for other in dish.steps if other.key != step.key)
    return "Last thing before serving: " if last and len(dish.steps) > 1 else ""


def _coming_up(
    view: View, said: Mapping[str, Said], covered: set[str], *, by_ear: bool
) -> Iterator[Call]:
    """A minute's notice of what needs the hands, unless the hands are already on that dish."""
    in_hand = {step.dish for step in view.running() if step.attention == "hands-on"}
    for step in next_steps(view, 3):
        key = f"soon:{step.key}"
        wait = starts_at(view, step.key) - view.now
        if step.attention != "hands-on" or step.dish in in_hand or not 5 < wait <= SOON_S:
            continue
        if key not in covered and is_due(said, key, view.now):
            words = f"In {span(wait)}: {step.name}."
            if by_ear:
                length = f"It takes about {span(step.duration.likely_s)}."
                words = " ".join((words, length, *step.cautions))
            yield call(key, "soon", words)
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
        if late and is_due(said, key, view.now, ASK_EVERY_S):
            words = f"Done yet: {step.name}? Tell me when."
            yield call(key, "soon", words, times_said(said, key))


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
            if is_due(said, key, view.now):
                words = f"Ready: {dish.title}. It holds for {span(dish.hold_s)}."
                yield call(key, "news", words)
    if view.why_not and is_due(said, f"stuck:{view.why_not}", view.now):
        words = f"The plan no longer works: {'; '.join(view.why_not)}."
        yield call(f"stuck:{view.why_not}", "due", words)
        return
    yield from _service_moved(view, said)


def _service_key(view: View) -> str:
    return f"service:{view.state.wanted_at}"


def service_told(view: View, said: Mapping[str, Said]) -> dict[str, Said]:
    """The cook has just been told in a reply when we eat: only a further change is news."""
    key = _service_key(view)
    return {**said, key: Said(times_said(said, key), view.now, value=service_at(view))}


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
        yield call(key, "news", words, times_said(said, key), value=told + moved)


def _serve_courses(view: View, said: Mapping[str, Said], served: list[Course]) -> Iterator[Call]:
    for course in served:
        key = "serve:" + ",".join(dish.name for dish in course.dishes)
        due = -FRESH_S < course.at - view.now <= MOVED_S
        if course.ready and due and is_due(said, key, view.now):
            yield call(key, "due", f"Serve {_dishes(course)} now.")


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
        if is_due(said, "early", view.now):
            early = span(wanted - view.now)
            words = f"Everything is ready, {early} early. Keep it warm."
            yield call("early", "news", words)
    elif is_due(said, "serve", view.now):
        yield call("serve", "due", "Everything is ready. Serve now.")
