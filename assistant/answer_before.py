"""Answers from before the cooking."""

import re

from assistant.advised import danger_asked
from assistant.answer_now import SOON_S
from assistant.answer_time import clock_moment
from assistant.figures import short
from assistant.meaning import Understood
from assistant.measures import amount, amount_line, capital, clock, listed, scaled, span
from assistant.reply import Reply
from assistant.scene import Scene
from assistant.subject import steps_meant, topic
from assistant.wording import plain
from domain.menu import Dish, Ingredient, Step
from domain.rounding import kitchen
from domain.units import convert, kind_of
from scheduling.events import Event
from scheduling.queries import left_to_do, service_at, starts_at
from scheduling.reason_words import Manner
from scheduling.reasons import why_late
from scheduling.replanning import progress, with_extras
from scheduling.slack import can_start as whether
from scheduling.slack import slack
from scheduling.timetable import is_heating

_ON_TIME_S = 60.0  # within a minute of a mark is on it; our own choice
_WHY = re.compile(r"\bwhy\b")
_LATEST = re.compile(r"\b(?:latest|how late|by when)\b")
_WHEN = re.compile(r"\b(?:when|what time)\b")


def can_we(ask: Understood, scene: Scene) -> Reply:
    """Whether this kitchen can land the menu at the time named or wanted; else the earliest."""
    live = scene.live
    named = next((t for a in ask.amounts if (t := clock_moment(a, scene.now)) is not None), None)
    if named is not None:
        return _could_be_at(named, scene, why=bool(_WHY.search(plain(ask.text))))
    if live.why_not:
        return Reply("No, not as things stand.", more=" ".join(map(_sentence, live.why_not)))
    at, wanted = service_at(live), live.state.wanted_at
    if wanted is not None and at > wanted + _ON_TIME_S:
        return _not_by(scene, wanted, at)
    first = min((slot.start_at for slot in live.timetable.slots.values()), default=live.now)
    return Reply(f"Yes. Start at {clock(first)} and we eat at {clock(at)}.")


def _could_be_at(named: float, scene: Scene, *, why: bool) -> Reply:
    """Whether service could be at a time that is only asked about; nothing is moved."""
    found = scene.what_if(Event(scene.now, "service_moved", value=named), solve=True)
    if found.refused or found.after.why_not:
        return Reply(found.refused or "No, not as things stand.")
    at = service_at(found.after)
    if at > named + _ON_TIME_S:
        return _not_by(scene, named, at, reasons_first=why)
    return Reply(f"Yes, we could eat at {clock(named)}. Nothing is changed.")


def _not_by(scene: Scene, wanted: float, at: float, *, reasons_first: bool = False) -> Reply:
    """The earliest service, what would make the wanted one possible, and on "more" why."""
    live = scene.live
    so_far = progress(live.steps, live.state, live.now, live.timetable)
    menu = with_extras(live.menu, live.state)
    why = why_late(menu, live.kitchen, now=live.now, wanted_at=wanted, progress=so_far)
    told = why.sentences(Manner(span, clock, amount)) if why else live.timetable.missed
    earliest = f"Not by {clock(wanted)}. The earliest is {clock(at)}."
    reasons = list(map(_sentence, told))
    ways = reasons.pop() if why is not None and why.in_time else ""
    first, then = (reasons, [ways]) if reasons_first else ([ways], reasons)
    return Reply(" ".join(filter(None, (earliest, *first))), more=" ".join(filter(None, then)))


def can_start(ask: Understood, scene: Scene) -> Reply:
    """Whether the thing named can begin now, and what it would do to the rest; or when it does, or
    when it has to at the latest."""
    danger = danger_asked(ask, scene)
    if danger:
        return danger
    ref = topic(ask, scene)
    steps = steps_meant(ref, scene) if ref else []
    states = scene.live.state.steps
    waiting = [step for step in steps if states[step.key].status == "waiting"]
    if ref is None or not steps:
        return Reply("Start what?")
    if any(states[step.key].status == "running" for step in steps) and not waiting:
        return Reply("That is under way already.")
    if not waiting:
        return Reply("That is done already.")
    if _LATEST.search(plain(ask.text)):
        return _when_at_the_latest(_going_where(ask, waiting, scene), scene)
    if _WHEN.search(plain(ask.text)):
        return _when_it_begins(_going_where(ask, waiting, scene), scene)
    return Reply(start_verdict(waiting[0], scene), more=f"The step is: {waiting[0].say}")


def _going_where(ask: Understood, waiting: list[Step], scene: Scene) -> Step:
    """What puts the thing "in" or "on", for a cook who asks when it goes there; else the first."""
    asked = set(plain(ask.text).split())
    place = "oven" if asked & {"in", "oven"} else "ring" if asked & {"on", "hob"} else None
    dishes = {step.dish for step in waiting}
    states = scene.live.state.steps
    there = [
        step
        for step in scene.live.steps.values()
        if step.dish in dishes
        and states[step.key].status == "waiting"
        and any(use.what == place and use.count for use in step.uses)
    ]
    return min(there or waiting, key=lambda step: starts_at(scene.live, step.key))


def _when_it_begins(step: Step, scene: Scene) -> Reply:
    at = starts_at(scene.live, step.key)
    more = f"The step is: {step.say}"
    if at - scene.now < SOON_S:
        return Reply(f"Now: {step.name}.", more=more)
    return Reply(f"At {clock(at)}, in {span(at - scene.now)}: {step.name}.", more=more)


def start_verdict(step: Step, scene: Scene) -> str:
    """Whether a waiting step can begin now, with what speaks against it."""
    verdict = whether(scene.live, step.key)
    if not verdict.yes:
        line = f"Not yet: {verdict.why}."
        return line if short(line) else f"Not yet. {capital(verdict.why)}."
    if verdict.hurts:
        return f"You can, but {verdict.why}."
    return f"Yes, start now: {step.name}."


def _when_at_the_latest(step: Step, scene: Scene) -> Reply:
    """The latest start that leaves service, and what else the plan has in order, where it is."""
    planned = starts_at(scene.live, step.key)
    at = max(planned, planned + slack(scene.live)[step.key])
    more = f"It is planned for {clock(planned)}. The step is: {step.say}"
    if at - scene.now < SOON_S:
        return Reply(f"Now, or we eat later: {step.name}.", more=more)
    return Reply(f"At {clock(at)} at the latest, or we eat later: {step.name}.", more=more)


def shopping(_: Understood, scene: Scene) -> Reply:
    """Everything to buy, the same food of several dishes added up, for the people expected."""
    lines: dict[str, list[tuple[Ingredient, Dish]]] = {}
    for dish in scene.menu.dishes:
        for line in dish.ingredients:
            if line.name != "water":
                lines.setdefault(line.name, []).append((line, dish))
    parts = [_bought(name, uses, scene) for name, uses in sorted(lines.items())]
    return Reply(
        f"{len(parts)} things to buy. Say more to hear them.",
        more="; ".join(parts) + ".",
        shown="\n".join(["To buy:", *(f"  {part}" for part in parts)]),
    )


def set_out(_: Understood, scene: Scene) -> Reply:
    """The equipment that the steps ask for, with how many are in use at the busiest moment."""
    return listed("Set out", _equipment(scene))


def do_ahead(_: Understood, scene: Scene) -> Reply:
    """What the dishes say must or can be done before."""
    ahead = [line for dish in scene.menu.dishes for line in dish.ahead]
    states = scene.live.state.steps
    free = [
        step.name
        for step in scene.live.steps.values()
        if step.beforehand and states[step.key].status == "waiting" and not step.follows
    ]
    if free:
        ahead.append(listed("You can" if ahead else "Nothing has to be. You can", free).shown)
    if not ahead:
        return Reply("Nothing has to be done ahead.")
    return Reply(ahead[0], more=" ".join(ahead[1:]), shown=" ".join(ahead))


def preheat(_: Understood, scene: Scene) -> Reply:
    """Each heating of an oven: to what, and when."""
    heating = [step for step in scene.live.steps.values() if is_heating(step)]
    if not heating:
        return Reply("Nothing to preheat.")
    parts = []
    for step in sorted(heating, key=lambda step: starts_at(scene.live, step.key)):
        standing = scene.live.state.steps[step.key]
        when = f"at {clock(starts_at(scene.live, step.key))}"
        done = {"running": "heating now", "done": "done"}.get(standing.status, when)
        parts.append(f"{step.say.rstrip('.')}, {done}")
    return Reply(
        f"{parts[0]}.",
        more=" ".join(f"{part}." for part in parts[1:]),
        shown=" ".join(f"{part}." for part in parts),
    )


def read_plan(_: Understood, scene: Scene) -> Reply:
    """Every step still to come with its time; the first three spoken, the rest on "more"."""
    left = sorted(left_to_do(scene.live), key=lambda step: starts_at(scene.live, step.key))
    if not left:
        return Reply("The plan is done.")
    lines = [f"{clock(starts_at(scene.live, step.key))}: {step.name}" for step in left]
    lines.append(f"{clock(service_at(scene.live))}: service")
    return Reply(
        ". ".join(lines[:3]) + ".", more=". ".join(lines[3:]) + ".", shown="\n".join(lines)
    )


def _bought(name: str, uses: list[tuple[Ingredient, Dish]], scene: Scene) -> str:
    """One shopping line: amounts of one kind added up, others side by side."""
    if len(uses) == 1:
        return amount_line(*uses[0], scene)
    known = [(scaled(line, dish, scene), line.unit) for line, dish in uses if line.value]
    kinds = {kind_of(unit) if unit else "count" for _, unit in known}
    if len(known) == len(uses) and len(kinds) == 1:
        first = known[0][1]
        total = sum(convert(v, u, first).value if u and first else v for v, u in known)
        tidy = kitchen(total, first).value if first else total
        return f"{amount(tidy, first)} {name}"
    return "; ".join(amount_line(line, dish, scene) for line, dish in uses)


def _equipment(scene: Scene) -> list[str]:
    """Named equipment with the most that runs at once by the plan."""
    moments: dict[str, list[tuple[float, int]]] = {}
    for key, slot in scene.live.timetable.slots.items():
        step = scene.live.steps.get(key)
        for use in step.uses if step else ():
            if use.what not in ("ring", "oven"):
                moments.setdefault(use.what, []).extend(
                    [(slot.start_at, use.count), (slot.end_at, -use.count)]
                )
    parts = []
    for what, changes in sorted(moments.items()):
        running = most = 0
        for _, change in sorted(changes):
            running += change
            most = max(most, running)
        parts.append(what if most < 2 else f"{most} × {what}")
    return parts or ["nothing special"]


def _sentence(text: str) -> str:
    return capital(text.rstrip(".")) + "."
