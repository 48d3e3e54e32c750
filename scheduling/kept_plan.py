"""The latest plan as text, so that a restart goes on with it."""

import json
from dataclasses import asdict, dataclass
from typing import Any

from scheduling.timetable import Slot, Timetable


@dataclass(frozen=True)
class KeptPlan:
    """A timetable, the first plan's service (POSIX seconds), and the last event it knew of."""

    timetable: Timetable
    first_service_at: float
    seq: int

    def text(self) -> str:
        """JSON; how well the plan was proven is not kept."""
        plan = asdict(self)
        del plan["timetable"]["levels"]
        return json.dumps(plan)


def read_plan(text: str | None) -> KeptPlan | None:
    """The plan in a kept text; None when there is none or it is from another version."""
    if not text:
        return None
    try:
        plan = json.loads(text)
        table = plan.pop("timetable")
        slots = {key: _slot(slot) for key, slot in table.pop("slots").items()}
        missed = tuple(table.pop("missed"))
        return KeptPlan(Timetable(slots=slots, missed=missed, **table), **plan)
    except (ValueError, KeyError, TypeError, AttributeError):
        return None


def _slot(kept: dict[str, Any]) -> Slot:
    """JSON has lists where a slot has tuples."""
    breaks, then = tuple(map(tuple, kept["breaks"])), tuple(kept.get("then", ()))
    return Slot(**{**kept, "breaks": breaks, "then": then})
