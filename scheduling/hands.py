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


def in_the_way(steps: Mapping[str, Step], state: State) -> list[str]:
    """What would have to leave the hands for one thing more, besides what can be put down: first
    what only the clock began, of that what it began last."""
    busy = [k for k in in_hand(steps, state) if state.steps[k].moves and not steps[k].pausable]
    busy.sort(key=lambda key: state.steps[key].began_by == "clock")
    return busy[max(0, state.hands - 1) :]


def settled(
    steps: Mapping[str, Step], state: State, at: float, taken_up: str | None = None
) -> State:
    """The state with pausable steps put down, or taken up again, as there are hands for them.

    at: POSIX seconds. What the cook put down stays so. Of several others, those that lie still
    already are put down, then those of the cook who began the latest, then those begun first; last
    of all what the cook has just taken_up. While the cook pauses all hands stand still anyway.
    """
    if state.paused_at is not None:
        return state
    under_way = in_hand(steps, state)
    aside = [key for key in under_way if state.steps[key].aside]
    in_turn = [key for key in under_way if key not in aside]
    too_many = max(0, len(in_turn) - state.hands)
    cook = state.steps[in_turn[-1]].cook if in_turn else ""

    def standing(key: str) -> tuple[bool, bool, bool]:
        one = state.steps[key]
        return key == taken_up, one.put_down_at is None, one.cook != cook

    pausable = sorted((key for key in in_turn if steps[key].pausable), key=standing)
    down = {*aside, *pausable[:too_many]}
    changed = {
        key: _changed(one, key in down, at)
        for key, one in state.steps.items()
        if (one.put_down_at is None) == (key in down)
    }
    return replace(state, steps={**state.steps, **changed}) if changed else state


def _changed(standing: StepState, down: bool, at: float) -> StepState:
    """A step put down, or taken up again."""
    if down:
        return replace(standing, put_down_at=max(at, standing.began_at or at))
    # What ended while it was put down was not taken up again before.
    assert standing.put_down_at is not None
    still = max(0.0, (standing.ended_at or at) - standing.put_down_at)
    return replace(standing, put_down_at=None, still_s=standing.still_s + still, aside=False)
