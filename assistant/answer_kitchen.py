"""Answers about the kitchen: where things stand, what is in what, and how much of it is needed."""

import re
from collections.abc import Callable
from itertools import chain

from assistant.answer_now import whats_on_heat
from assistant.figures import joined
from assistant.meaning import Ref, Understood
from assistant.measures import capital, clock, listed, span
from assistant.reply import Reply
from assistant.scene import Scene
from assistant.subject import steps_meant, topic
from assistant.wording import plain
from domain.menu import Step
from scheduling.events import Event
from scheduling.queries import left_to_do, now_steps, service_at, starts_at, time_left
from scheduling.reason_words import count as count_told
from scheduling.view import cook_of, oven_of

_SHELF = re.compile(r"\b(?:upper|lower|middle|top|bottom) shelf\b")
_HEAT = frozenset({"ring", "oven"})
_NO_VESSEL = _HEAT | {"thermometer", "hand blender", "sieve", "colander"}
_RINGS = re.compile(r"\b(?:rings?|burners?|hobs?)\b")
_OVENS = re.compile(r"\b(?:ovens?|shelf|shelves)\b")
_HANDS = re.compile(r"\b(?:hands?|cooks?|people|person|alone|own|help|helper|somebody)\b")
_PANS = re.compile(r"\b(?:pans?|pots?|trays?|dish|dishes)\b")
_WHO = re.compile(
    r"\bwho\b|\b(?:jobs?|share|split|divide)\b|\bwhat (?:does|do|can) (?:my|the other)\b"
)
# Service that moves by less is no later, and by less than so much hardly; our own choice.
_LATER_S, _MUCH_LATER_S = 60.0, 300.0
_ONLY_YOU = "Which {thing}, only you know: I do not keep that."


def where_is(ask: Understood, scene: Scene) -> Reply:
    """Where the thing named stands; what a piece of equipment named has in it; or all of it."""
    vessels = [ref.name for ref in ask.refs if ref.kind == "equipment"]
    food = [ref for ref in ask.refs if ref.kind not in ("equipment", "timer")]
    if food:
        return _where(food[0], ask, scene)
    inside = [name for name in vessels if name not in _HEAT]
    if inside:
        return _inside(inside, scene)
    if vessels:
        return whats_on_heat(ask, scene)
    ref = topic(ask, scene)
    if ref is not None and ref.kind not in ("equipment", "timer"):
        return _where(ref, ask, scene)
    parts = [f"{step.name}, {place(step, scene)}" for step in now_steps(scene.live) if step.uses]
    return listed("Where things are", parts) if parts else Reply("Nothing stands anywhere yet.")


def _where(ref: Ref, ask: Understood, scene: Scene) -> Reply:
    steps = [step for step in steps_meant(ref, scene) if step.uses]
    if not steps:
        return Reply(f"The recipe gives no place for {ref.text}.")
    status = {step.key: scene.live.state.steps[step.key].status for step in steps}
    going = [step for step in steps if status[step.key] == "running"]
    done = [step for step in steps if status[step.key] == "done"]
    which = _only_you(ask)
    if going:
        return Reply(f"{capital(place(going[0], scene))}: {going[0].name}.", more=which)
    waiting = [step for step in steps if status[step.key] == "waiting"]
    hot = next((step for step in waiting if step.on_heat), None)
    later = f"At {clock(starts_at(scene.live, hot.key))}, {place(hot, scene)}." if hot else ""
    if done:
        last = max(done, key=lambda step: scene.live.state.steps[step.key].ended_at or 0.0)
        vessel = _vessel(last) or "where you put it"
        return Reply(f"{capital(vessel)}, since you did: {last.name}.", more=later or which)
    if hot:
        return Reply(f"Not on yet. {later}", more=which)
    return Reply(f"Not begun. It goes {place(steps[0], scene)}.")


def _only_you(ask: Understood) -> str:
    match = re.search(r"\b(?:ring|burner|shelf)\b", plain(ask.text))
    return _ONLY_YOU.format(thing=match[0]) if match else ""


def place(step: Step, scene: Scene) -> str:
    """Where a step's food stands: "in the small pan, on a ring"."""
    parts = [_vessel(step)]
    used = {use.what for use in step.uses}
    if "ring" in used:
        parts.append("on a ring")
    if "oven" in used:
        parts.append(f"in the {oven_of(scene.live, step.key)}{_shelf(step, scene)}")
    return ", ".join(filter(None, parts))


def _vessel(step: Step) -> str:
    named = [use.what for use in step.uses if use.what not in _NO_VESSEL]
    return joined([f"{'on' if name.endswith('tray') else 'in'} the {name}" for name in named])


def _shelf(step: Step, scene: Scene) -> str:
    """The shelf that the dish's own words put it on."""
    dish = next((dish for dish in scene.menu.dishes if dish.name == step.dish), None)
    said = chain.from_iterable(_SHELF.findall(other.say) for other in dish.steps) if dish else ()
    shelf = next(iter(said), "")
    return f", {shelf}" if shelf else ""


def _inside(vessels: list[str], scene: Scene) -> Reply:
    """What is in these pans or on these trays, or when something will be."""
    names = list(dict.fromkeys(vessels))
    now = [told for name in names if (told := _held(name, scene))]
    if now:
        side = len(names) > 1
        return Reply(" ".join(now), more=_ONLY_YOU.format(thing="one stands where") if side else "")
    to_come = [
        step for step in left_to_do(scene.live) if any(use.what in names for use in step.uses)
    ]
    free = f"Nothing is in the {joined(names, 'or')} now."
    if not to_come:
        return Reply(free)
    at = clock(starts_at(scene.live, to_come[0].key))
    return Reply(f"{free} From {at}: {to_come[0].name}.")


def _held(vessel: str, scene: Scene) -> str:
    """What has this vessel now: a step under way, or what was done last and goes on later."""
    users = [s for s in scene.live.steps.values() if any(u.what == vessel for u in s.uses)]
    states = scene.live.state.steps
    going = [step for step in users if states[step.key].status == "running"]
    if going:
        left_s = time_left(scene.live, going[-1].key) or 0.0
        left = f"{span(left_s)} left" if left_s > 0 else "its time is up"
        return f"{capital(vessel)}: {going[-1].name}, {left}."
    done = [step for step in users if states[step.key].status == "done"]
    if not done:
        return ""
    last = max(done, key=lambda step: states[step.key].ended_at or 0.0)
    goes_on = any(s.dish == last.dish and not states[s.key].over for s in users)
    return f"{capital(vessel)}: done, {last.name}." if goes_on else ""


def kitchen_needs(ask: Understood, scene: Scene) -> Reply:
    """How many rings, hands, ovens or pans the plan takes at once, or who does what."""
    said = plain(ask.text)
    if _WHO.search(said):
        return _who_does_what(scene)
    asked: tuple[tuple[re.Pattern[str], Callable[[Understood, Scene], Reply]], ...] = (
        (_RINGS, _rings),
        (_OVENS, _ovens),
        (_PANS, _pans),
        (_HANDS, _hands),
    )
    for pattern, answer in asked:
        if pattern.search(said):
            return answer(ask, scene)
    parts = [answer(ask, scene) for _, answer in asked]
    return Reply(parts[0].spoken, parts[0].shown, " ".join(part.spoken for part in parts[1:]))


def _rings(ask: Understood, scene: Scene) -> Reply:
    most, at, steps = _busiest(scene, lambda step: _count(step, "ring"))
    counts = [a.value for a in ask.amounts if a.kind == "count" and isinstance(a.value, float)]
    if counts and 0 < counts[0] < most:
        return _with_rings(counts[0], most, scene)
    have = scene.kitchen.rings
    enough = "Yes: " if counts else ""
    if not most:
        return Reply("No ring at all.")
    return Reply(
        capital(f"{enough}{count_told(most, 'ring')} at once, at {clock(at)}; there are {have}."),
        more=f"Then on the rings: {'; '.join(step.name for step in steps)}.",
    )


def _with_rings(count: float, most: int, scene: Scene) -> Reply:
    """What fewer rings than the plan takes would do to service.

    A quick repair answers where it is hardly later; a full plan, seconds long, where it is.
    """
    fewer = Event(scene.now, "equipment_changed", "ring", count)
    found, bound = scene.what_if(fewer), "at most "  # a full plan could only be sooner
    if not found.refused and (found.after.why_not or found.moved_s >= _MUCH_LATER_S):
        found, bound = scene.what_if(fewer, solve=True), ""
    if found.refused or found.after.why_not:
        return Reply(f"No. The plan takes {count_told(most, 'ring')} at once.")
    at, later = service_at(found.after), found.moved_s
    when = f"{bound}{span(later)} later than now" if later >= _LATER_S else "no later than now"
    return Reply(f"Yes: with {count_told(int(count), 'ring')} we eat at {clock(at)}, {when}.")


def _ovens(_: Understood, scene: Scene) -> Reply:
    steps_there = (step for step in scene.live.steps.values() if _count(step, "oven"))
    used = {oven_of(scene.live, step.key) for step in steps_there} - {None}
    if not used:
        return Reply("No oven at all.")
    most, at, steps = _busiest(scene, lambda step: _count(step, "oven"))
    shelves = sum(oven.shelves for oven in scene.kitchen.ovens)
    names = joined([f"the {name}" for name in sorted(filter(None, used))])
    shelf = "shelf" if most == 1 else "shelves"
    return Reply(
        f"{capital(names)}, at most {most} {shelf} at once of {shelves}.",
        more=f"That is at {clock(at)}: {'; '.join(step.name for step in steps)}.",
    )


def _pans(_: Understood, scene: Scene) -> Reply:
    named = {u.what for step in scene.live.steps.values() for u in step.uses} - _NO_VESSEL
    needed = {
        what: _busiest(scene, lambda step, what=what: _count(step, what))[0]  # type: ignore[misc]
        for what in sorted(named)
    }
    parts = [count_told(most, what) for what, most in needed.items() if most]
    return listed("At once", parts) if parts else Reply("No pan and no tray.")


def _hands(_: Understood, scene: Scene) -> Reply:
    most, at, _steps = _busiest(scene, lambda step: int(step.attention == "hands-on"))
    cooks = len(scene.kitchen.cooks)
    work = sum(s.duration.likely_s for s in scene.live.steps.values() if s.attention == "hands-on")
    if most <= 1:
        return Reply("One pair of hands will do.", more=f"They have {span(work)} of work.")
    return Reply(
        f"{capital(count_told(most, 'pair'))} of hands at once, at {clock(at)}; there are {cooks}.",
        more=f"In all {span(work)} of work by hand.",
    )


def _who_does_what(scene: Scene) -> Reply:
    if len(scene.kitchen.cooks) < 2:
        more = "Tell me when another pair of hands comes, and I share it out."
        return Reply("You do it all: there is one cook.", more=more)
    jobs: dict[str, list[str]] = {name: [] for name in scene.kitchen.cooks}
    for step in left_to_do(scene.live):
        who = scene.live.state.steps[step.key].cook or cook_of(scene.live, step.key)
        if step.attention == "hands-on" and who in jobs:
            jobs[who].append(f"{step.name} at {clock(starts_at(scene.live, step.key))}")
    first = [
        f"{capital(who)}: {theirs[0] if theirs else 'nothing more'}."
        for who, theirs in jobs.items()
    ]
    rest = [
        f"{capital(who)} then: {', '.join(theirs[1:])}."
        for who, theirs in jobs.items()
        if theirs[1:]
    ]
    return Reply(" ".join(first), more=" ".join(rest))


def _count(step: Step, what: str) -> int:
    return sum(use.count for use in step.uses if use.what == what)


def _busiest(scene: Scene, weight: Callable[[Step], int]) -> tuple[int, float, list[Step]]:
    """The most that the plan has at once, when first (POSIX seconds), and the steps of that."""
    live = scene.live
    spans = [
        (slot.start_at, slot.end_at, live.steps[key])
        for key, slot in live.timetable.slots.items()
        if key in live.steps and weight(live.steps[key])
    ]
    most, at, steps = 0, scene.now, list[Step]()
    for start in sorted({start for start, _, _ in spans}):
        there = [step for begins, ends, step in spans if begins <= start < ends]
        total = sum(map(weight, there))
        if total > most:
            most, at, steps = total, start, there
    return most, at, steps
