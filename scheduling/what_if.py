"""What would matter to the cook if something happened, read from `LiveSchedule.what_if`.

Spans are seconds.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

from scheduling.outcome import Outcome
from scheduling.queries import ready_at, serve_at
from scheduling.view import View

MATTERS_S = 30.0  # a longer wait than that is worth telling; our own choice


@dataclass(frozen=True)
class Upshot:
    """What would matter of what is supposed to happen.

    refused: why it cannot happen. why_not: why no plan would hold any more. Where either tells
    something nothing else does. moved_s: how much later (+) or earlier (-) service would be.
    missed: limits that would be missed and are not now, or not by as much, each a sentence.
    waits_s: by dish, how much longer than it keeps it would wait, where that is longer than now.
    """

    refused: str | None = None
    why_not: tuple[str, ...] = ()
    moved_s: float = 0.0
    missed: tuple[str, ...] = ()
    waits_s: Mapping[str, float] = field(default_factory=dict)

    @property
    def possible(self) -> bool:
        """Whether it can happen, and what is left could still be done."""
        return self.refused is None and not self.why_not


def upshot(outcome: Outcome) -> Upshot:
    """What would matter of what `LiveSchedule.what_if` found.

    That is the plan as it would be right after the events. What the clock does later, and what
    the cook would then say, is not simulated. A quick repair finds no earlier service, and may
    find a later one than has to be; the full plan (`solve`) knows better.
    """
    before, after = outcome.before, outcome.after
    if outcome.refused or after.why_not:
        return Upshot(outcome.refused, after.why_not)
    known = before.timetable.missed
    over = {dish.name: _over_hold_s(after, dish.name) for dish in after.menu.dishes}
    return Upshot(
        moved_s=outcome.moved_s,
        missed=tuple(limit for limit in after.timetable.missed if limit not in known),
        waits_s={
            dish: over_s
            for dish, over_s in over.items()
            if over_s > _over_hold_s(before, dish) + MATTERS_S
        },
    )


def _over_hold_s(view: View, dish: str) -> float:
    """How much longer than it keeps a dish waits by the plan; 0 where it does not."""
    known = next((known for known in view.menu.dishes if known.name == dish), None)
    ready = ready_at(view, dish) if known else None
    if known is None or ready is None:
        return 0.0
    return max(0.0, serve_at(view, dish) - ready - known.hold_s)
