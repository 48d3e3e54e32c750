"""A plan as text for a terminal and as JSON."""

from collections.abc import Iterator
from datetime import datetime
from typing import Any

from assistant.wiring import Request
from scheduling.compose import Timetable, all_steps


def as_text(request: Request, timetable: Timetable) -> str:
    """The plan as a table: when, how long, who, what."""
    return "\n".join(_rows(request, timetable))


def _rows(request: Request, timetable: Timetable) -> Iterator[str]:
    steps = {step.key: step for step in all_steps(request.menu, request.kitchen)}
    proven = "proven best" if timetable.proven else "the best found in the time given"
    yield f"{request.menu.title}, for {request.menu.servings}, in {request.kitchen.title}"
    yield f"Service at {_clock(timetable.service_at)} ({proven})"
    if timetable.late_s >= 60:
        wanted = timetable.wanted_at or 0.0
        yield f"Not by {_clock(wanted)}: {_clock(timetable.service_at)} is the earliest."
    yield from (f"  {limit}" for limit in timetable.missed)
    yield ""
    titles = {dish.name: dish.title for dish in request.menu.dishes}
    for slot in timetable.slots.values():
        step = steps[slot.key]
        length = f"{(slot.end_at - slot.start_at) / 60:.3g} min"
        how = {"hands-on": "●", "watched": "○", "unattended": "·"}[step.attention]
        where = "".join(f"  [{use.what}]" for use in step.uses if use.what in ("ring", "oven"))
        dish = titles.get(step.dish, "")
        lead = f"{_clock(slot.start_at)}  {length:>8}  {how} "
        yield f"{lead}{step.name}{f' ({dish})' if dish else ''}{where}"
    yield f"{_clock(timetable.service_at)}            service"
    yield ""
    yield "● needs your hands   ○ needs an eye   · runs by itself"


def as_json(request: Request, timetable: Timetable) -> dict[str, Any]:
    """The plan as one JSON object; times in ISO 8601 with the local offset."""
    return {
        "menu": request.menu.name,
        "kitchen": request.kitchen.name,
        "servings": request.menu.servings,
        "service": _iso(timetable.service_at),
        "wanted": _iso(timetable.wanted_at) if timetable.wanted_at else None,
        "late_s": round(timetable.late_s),
        "proven": timetable.proven,
        "missed": list(timetable.missed),
        "ready": {name: _iso(at) for name, at in timetable.ready_at.items()},
        "levels": [
            {"name": level.name, "cost": level.cost, "bound": level.bound,
             "took_s": round(level.took_s, 3)}
            for level in timetable.levels
        ],
        "steps": [
            {"step": slot.key, "start": _iso(slot.start_at), "end": _iso(slot.end_at),
             "cook": slot.cook, "oven": slot.oven}
            for slot in timetable.slots.values()
        ],
    }


def _clock(at: float) -> str:
    return datetime.fromtimestamp(at).strftime("%H:%M")


def _iso(at: float) -> str:
    return datetime.fromtimestamp(at).astimezone().isoformat(timespec="seconds")
