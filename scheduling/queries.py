"""What a cook asks of the live schedule: pure functions on a `View`.

Times are POSIX seconds, spans are seconds.
"""

from dataclasses import dataclass

from domain.menu import Dish, Gate, Step
from scheduling.effects import followers
from scheduling.events import Reminder, StepState, planned_end
from scheduling.obstacles import obstacles
from scheduling.view import View, oven_of

_NOT_YET_S = 1.0  # what has not come is still to come, if only just
_RANK = {"hands-on": 0, "watched": 1, "unattended": 2}


def now_steps(view: View) -> list[Step]:
    """The steps under way: hands-on before watched before unattended, then by what ends first."""
    return sorted(view.running(), key=lambda s: (_RANK[s.attention], view.end_of(s.key)))


def next_steps(view: View, n: int = 1) -> list[Step]:
    """The next n steps to begin, in the plan's order."""
    return _waiting(view)[:n]


def left_to_do(view: View) -> list[Step]:
    """Every step under way or still to come, in order of (planned) beginning."""
    return [*view.running(), *_waiting(view)]


def _waiting(view: View) -> list[Step]:
    waiting = [
        step
        for key, step in view.steps.items()
        if view.state.steps[key].status == "waiting"
        and (key in view.timetable.slots or not view.of_no_dish(key))
    ]
    return sorted(waiting, key=lambda s: (starts_at(view, s.key), view.place(s.key)))


def starts_at(view: View, key: str) -> float:
    """When a step began, or is planned to begin: not before now while it waits."""
    standing = view.state.steps[key]
    if standing.began_at is not None:
        return standing.began_at
    slot = view.timetable.slots.get(key)
    if standing.over or slot is None:
        return standing.ended_at or view.now
    return max(slot.start_at + paused_s(view), view.now)


def paused_s(view: View) -> float:
    """How long the plan has been waiting for the cook to carry on; 0 when it does not."""
    return view.now - view.state.paused_at if view.state.paused_at is not None else 0.0


def time_left(view: View, key: str) -> float | None:
    """Seconds left of a step under way, negative once its time is up; None when not under way.

    A hands-on step stands still while paused, and while it is put down.
    """
    standing = view.state.steps[key]
    if standing.status != "running":
        return None
    step = view.steps[key]
    still = paused_s(view) if step.attention == "hands-on" else 0.0
    if standing.put_down_at is not None:
        still = max(still, view.now - standing.put_down_at)
    return planned_end(step, standing) + still - view.now


def ready_at(view: View, name: str) -> float | None:
    """When a dish (by name) or a step (by key) is or was ready; None when it is left out.

    Raises KeyError for a name that is neither.
    """
    if name in view.steps:
        return _step_ready_at(view, view.steps[name])
    ends = [_step_ready_at(view, view.steps[s.key]) for s in view.menu.dish(name).steps]
    known = [end for end in ends if end is not None]
    return max(known) if known and name not in view.state.dropped else None


def _step_ready_at(view: View, step: Step) -> float | None:
    standing = view.state.steps[step.key]
    if standing.status == "skipped":
        return None
    if standing.status == "done":
        return standing.ended_at
    if standing.status == "running":
        return view.end_of(step.key)
    return starts_at(view, step.key) + view.likely_s(step.key)


def service_at(view: View) -> float:
    """When we eat: as planned, or later if a dish is ready too late for its course."""
    known = [
        end - course_s(view, dish.name)
        for dish in view.menu.dishes
        if (end := ready_at(view, dish.name)) is not None
    ]
    if finished(view):
        return max([*known, view.state.wanted_at or 0.0], default=view.now)
    return max([*known, view.timetable.service_at])


def serve_at(view: View, dish: str) -> float:
    """When a dish is served: at service, or with its course before or after it."""
    return service_at(view) + course_s(view, dish)


def course_s(view: View, dish: str) -> float:
    """How long after service the plan serves a dish, seconds; negative before it."""
    at = view.timetable.service_at
    return view.timetable.serve_at.get(dish, at) - at


@dataclass(frozen=True)
class Course:
    """Dishes served at one moment, POSIX seconds. ready: nothing more is to be done for them."""

    dishes: tuple[Dish, ...]
    at: float
    ready: bool


def courses(view: View) -> list[Course]:
    """The menu's courses in order of serving; dropped dishes are in none."""
    served: dict[float, list[Dish]] = {}
    for dish in view.menu.dishes:
        if dish.name not in view.state.dropped:
            served.setdefault(serve_at(view, dish.name), []).append(dish)
    return [
        Course(
            tuple(dishes),
            at,
            all(view.state.steps[step.key].over for dish in dishes for step in dish.steps),
        )
        for at, dishes in sorted(served.items(), key=lambda item: item[0])
    ]


def finished(view: View) -> bool:
    """True when every step of every dish is done or left out."""
    return all(view.state.steps[step.key].over for step in view.menu.steps)


def pace_s(view: View) -> float:
    """Seconds behind (+) or ahead (-) of the wanted service, or of the first plan's without one."""
    wanted = view.state.wanted_at
    return service_at(view) - (wanted if wanted is not None else view.first_service_at)


@dataclass(frozen=True)
class OnHeat:
    """Something on a ring or in the oven. oven: its name, None for a ring.

    until: when it is due off, POSIX seconds; None when only the cook can tell. over: its time
    is up and nobody has said that it is off.
    """

    step: Step
    oven: str | None
    until: float | None
    over: bool


def on_heat(view: View) -> list[OnHeat]:
    """What is on the heat, what is due off first first.

    That includes what the clock ended and the cook has not yet confirmed or followed up.
    """
    found = []
    for step in view.steps.values():
        standing = view.state.steps[step.key]
        left_on = step.on_heat and still_on(view, step, standing)
        if not step.on_heat or not (standing.status == "running" or left_on):
            continue
        oven = oven_of(view, step.key) if any(u.what == "oven" for u in step.uses) else None
        gated = step.gate is not None and step.gate.moment == "end"
        end = planned_end(step, standing) if standing.began_at is not None else standing.ended_at
        over = left_on or (end is not None and end <= view.now)
        found.append(OnHeat(step, oven, None if gated else end, over))
    return sorted(found, key=lambda item: (item.until is None, item.until or 0.0))


def still_on(view: View, step: Step, standing: StepState) -> bool:
    """The clock ended it on the heat, and the cook has said nothing of it or of what follows.

    What goes on in another step on the heat is that step's to tell.
    """
    if standing.status != "done" or standing.ended_by != "clock" or view.heats(step.key):
        return False
    after = followers(view.steps, step.key)
    if any(other.on_heat and view.state.steps[other.key].status != "waiting" for other in after):
        return False
    return not _told_of_what_follows(view, step.key)


def _told_of_what_follows(view: View, key: str) -> bool:
    """The cook has begun or ended something that comes after this step."""
    for after in followers(view.steps, key):
        standing = view.state.steps[after.key]
        begun = standing.began_at is not None and standing.began_by == "cook"
        if begun or (standing.over and standing.ended_by == "cook"):
            return True
        if _told_of_what_follows(view, after.key):
            return True
    return False


@dataclass(frozen=True)
class Waiting:
    """Something we wait for: a gate to be seen, or an unattended step to be over."""

    step: Step
    gate: Gate | None
    until: float | None


def waiting_for(view: View) -> list[Waiting]:
    """What we are waiting for, what has a time first.

    A gate that starts a step counts once nothing else keeps that step from beginning.
    """
    found = []
    for step in view.running():
        if step.gate and step.gate.moment == "end":
            found.append(Waiting(step, step.gate, view.end_of(step.key)))
        elif step.attention == "unattended":
            found.append(Waiting(step, None, view.end_of(step.key)))
    for step in view.steps.values():
        if view.state.steps[step.key].status == "waiting" and step.gate:
            blocking = obstacles(view, step.key, view.now)
            due = starts_at(view, step.key) <= view.now
            if due and [o.kind for o in blocking] == ["gate"]:
                found.append(Waiting(step, step.gate, None))
    return sorted(found, key=lambda w: (w.gate is not None, w.until or view.now))


def reminder_at(view: View, reminder: Reminder) -> float | None:
    """When to be reminded, POSIX seconds: past once its moment has come; None where it never will.

    A step's own start or end is waited for, however late; what comes before it goes by the plan.
    What is left out reminds as it is left out.
    """
    if not reminder.step:
        return service_at(view) - reminder.before_s
    standing = view.state.steps.get(reminder.step)
    if standing is None:
        return None
    came = standing.at(reminder.moment) if standing.status != "waiting" else None
    if came is not None:
        return came
    if reminder.moment == "start":
        expected = starts_at(view, reminder.step)
    else:
        expected = _step_ready_at(view, view.steps[reminder.step]) or view.now
    if not reminder.before_s:
        return max(expected, view.now + _NOT_YET_S)
    return expected - reminder.before_s


def reminders_ahead(view: View) -> list[tuple[float, Reminder]]:
    """The reminders whose moment is still to come, each with it (POSIX seconds), the next first."""
    moments = [(reminder_at(view, one), one) for one in view.state.reminders]
    ahead = [(at, one) for at, one in moments if at is not None and at > view.now]
    return sorted(ahead, key=lambda told: told[0])


def heating_next(view: View, oven: str | None = None) -> Step | None:
    """An oven's heating under way, else the next to come: what takes longer when it is late.

    oven: its name, None for whichever heats next. None where nothing is heated any more.
    """
    heatings = [
        step
        for step in left_to_do(view)
        if view.heats(step.key) and oven in (None, oven_of(view, step.key))
    ]
    return next(iter(heatings), None)
