"""The live schedule's truth: the state is a pure fold over the events.

An event that the state does not allow has no effect on it but stays in the log, so that taking
back an earlier event also lets go of what only followed from it.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from domain.menu import Menu, Step
from scheduling.batches import in_batches
from scheduling.effects import EFFECTS
from scheduling.events import Event, State, StepState
from scheduling.hands import settled
from scheduling.log import effective
from scheduling.menu_now import CHANGES_MENU, StepsOf, menu_now, own_steps
from scheduling.refusals import refuse


@dataclass(frozen=True)
class Told:
    """What the events tell: the state, and the menu and its steps as they have become.

    loaded: the menu before any event. steps_of: every step of a menu by key, those that heat
    ovens included.
    """

    loaded: Menu
    steps_of: StepsOf
    menu: Menu
    steps: Mapping[str, Step]
    state: State

    def after(self, event: Event) -> "Told":
        """With one more event; steps that are no longer there are let go of."""
        state = take(self.steps, self.state, event)
        if event.kind not in CHANGES_MENU:
            return replace(self, state=state)
        menu = menu_now(self.loaded, state)
        steps = self.steps_of(menu)
        return replace(self, menu=menu, steps=steps, state=_fitted(steps, state))


def _fitted(steps: Mapping[str, Step], state: State) -> State:
    """The state of exactly these steps: those it knows as they stand, the others still to come."""

    def standing(step: Step) -> StepState:
        return StepState("skipped") if step.dish in state.dropped else StepState()

    kept = {key: state.steps.get(key) or standing(step) for key, step in steps.items()}
    return replace(state, steps=kept)


def initial(menu: Menu, steps: Mapping[str, Step], cooks: int = 1) -> State:
    """The state before any event."""
    fresh = {key: StepState() for key in steps}
    return State(steps=fresh, servings=menu.servings, kitchen_cooks=cooks)


def tell(
    menu: Menu,
    events: Iterable[Event],
    steps_of: StepsOf = own_steps,
    cooks: int = 1,
    wanted_at: float | None = None,
) -> Told:
    """What the stored events tell of this menu as loaded, whatever their order or batching.

    cooks: how many the kitchen has. wanted_at: service, POSIX seconds, until an event tells.
    """
    log, first = list(events), in_batches(menu, menu.servings)
    steps = steps_of(first)
    state = replace(initial(first, steps, cooks), wanted_at=wanted_at)
    told = Told(menu, steps_of, first, steps, state)
    for event in effective(log):
        told = told.after(event)
    last = max((event.seq for event in log), default=0)
    return replace(told, state=replace(told.state, last_seq=last))


def fold(
    menu: Menu, events: Iterable[Event], steps_of: StepsOf = own_steps, cooks: int = 1
) -> State:
    """The state that the stored events tell; see `tell`."""
    return tell(menu, events, steps_of, cooks).state


def take(steps: Mapping[str, Step], state: State, event: Event) -> State:
    """The state after one more event; only its seq is noted when the state refuses it.

    `Told.after` also sees to what the event makes of the menu.
    """
    seq = max(state.last_seq, event.seq)
    if event.kind != "undone" and refuse(steps, state, event) is None:
        state = EFFECTS[event.kind](steps, state, event)
        if event.kind not in CHANGES_MENU:
            taken_up = event.subject if event.kind == "taken_up" else None
            state = settled(steps, state, event.at, taken_up)
    return replace(state, last_seq=seq)
