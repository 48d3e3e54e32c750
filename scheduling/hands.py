"""A cook's own hands: what is put down for other hands-on work stands still meanwhile."""

from collections.abc import Mapping
from dataclasses import replace

from domain.menu import Step
from scheduling.events import State, StepState


def in_hand(steps: Mapping[str, Step], state: State) -> list[str]:
    """The hands-on steps under way, those put down included, in order of their beginning."""
    found = [
        key
        for key, standing in state.steps.items()
        if standing.status == "running" and steps[key].attention == "hands-on"
    ]
    return sorted(found, key=lambda key: state.steps[key].began_at or 0.0)


def settled(steps: Mapping[str, Step], state: State, at: float) -> State:
    """The state with pausable steps put down, or taken up again, as there are hands for them.

    at: POSIX seconds. Of several, those begun first are put down. While the cook pauses all
    hands stand still anyway.
    """
    if state.paused_at is not None:
        return state
    under_way = in_hand(steps, state)
    too_many = max(0, len(under_way) - state.hands)
    down = [key for key in under_way if steps[key].pausable][:too_many]
    changed: dict[str, StepState] = {}
    for key, standing in state.steps.items():
        since = standing.put_down_at
        if key in down and since is None:
            changed[key] = replace(standing, put_down_at=max(at, standing.began_at or at))
        elif key not in down and since is not None:
            # What ended while it was put down was not taken up again before.
            still = max(0.0, (standing.ended_at or at) - since)
            changed[key] = replace(standing, put_down_at=None, still_s=standing.still_s + still)
    return replace(state, steps={**state.steps, **changed}) if changed else state
