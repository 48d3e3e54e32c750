"""A plan as JSON."""

from collections.abc import Sequence
from dataclasses import asdict
from datetime import datetime
from typing import Any

from assistant.foretold import forecast_of
from assistant.wiring import Request
from scheduling.compose import Timetable


def as_json(request: Request, timetable: Timetable, why: Sequence[str]) -> dict[str, Any]:
    """The plan as one JSON object; times in ISO 8601 with the local offset."""
    return {
        "menu": request.menu.name,
        "kitchen": request.kitchen.name,
        "servings": request.menu.servings,
        "service": _iso(timetable.service_at),
        "wanted": _iso(timetable.wanted_at) if timetable.wanted_at else None,
        "late_s": round(timetable.late_s),
        "proven": timetable.proven,
        "reasons": list(why),
        "missed": list(timetable.missed),
        "serve": {
            name: _iso(timetable.serve_at.get(name, timetable.service_at))
            for name in timetable.ready_at
        },
        "forecast": _forecast(request, timetable),
        "learned": {
            "in_use": [asdict(offer) for offer in request.learned.in_use],
            "offered": [asdict(offer) for offer in request.learned.offered],
        },
        "guesses": {
            dish.name: [asdict(guess) for guess in dish.guesses]
            for dish in request.menu.dishes
            if dish.guesses
        },
        "ready": {name: _iso(at) for name, at in timetable.ready_at.items()},
        "levels": [
            {
                "name": level.name,
                "cost": level.cost,
                "bound": level.bound,
                "took_s": round(level.took_s, 3),
            }
            for level in timetable.levels
        ],
        "steps": [
            {
                "step": slot.key,
                "start": _iso(slot.start_at),
                "end": _iso(slot.end_at),
                "cook": slot.cook,
                "cooks": list(dict.fromkeys(slot.cooks)) if slot.cook else [],
                "oven": slot.oven,
                "way": slot.way,
                "breaks": [{"from": _iso(at), "until": _iso(until)} for at, until in slot.breaks],
            }
            for slot in timetable.slots.values()
        ],
    }


def _forecast(request: Request, timetable: Timetable) -> dict[str, Any]:
    """When we shall probably eat; low and high: nine of ten evenings are later, and earlier."""
    likely, _ = forecast_of(request, timetable)
    return {
        "chance": likely.chance,
        "expected": _iso(likely.expected_at),
        "low": _iso(likely.low_at),
        "high": _iso(likely.high_at),
        "decided_by": [{"step": key, "share": round(s, 3)} for key, s in likely.decided_by],
    }


def _iso(at: float) -> str:
    return datetime.fromtimestamp(at).astimezone().isoformat(timespec="seconds")
