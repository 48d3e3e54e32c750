"""Does the plan still fit what has happened? And how far does a new one move it."""

from dataclasses import dataclass, replace

from domain.kitchen import Kitchen
from scheduling.events import State, planned_end
from scheduling.timetable import MOVED_S, Slot, Timetable
from scheduling.view import View

SAME_S = 2.0  # ends this close to the plan are as planned
GRACE_S = 10.0  # the cook's word comes a little after the end
STALE_S = 30.0  # a step this late in beginning has made the plan slide


@dataclass(frozen=True)
class Basis:
    """What a plan was made for, besides the steps under way."""

    over: frozenset[str] = frozenset()
    skipped: frozenset[str] = frozenset()
    extras: tuple[tuple[str, float], ...] = ()
    wanted_at: float | None = None
    equipment: tuple[tuple[str, int], ...] = ()
    cooks: int | None = None
    courses: tuple[tuple[str, int], ...] = ()
    there: frozenset[str] = frozenset()  # every step
    aside: frozenset[str] = frozenset()


def basis_of(state: State) -> Basis:
    """What a plan made now would be made for."""
    over = {key for key, standing in state.steps.items() if standing.over}
    return Basis(
        frozenset(over),
        frozenset(key for key in over if state.steps[key].status == "skipped"),
        tuple(
            sorted((k, s.extra_s) for k, s in state.steps.items() if s.extra_s and k not in over)
        ),
        state.wanted_at,
        tuple(sorted(state.equipment.items())),
        state.cooks,
        tuple(sorted(state.courses.items())),
        frozenset(state.steps),
        frozenset(key for key, standing in state.steps.items() if standing.aside),
    )


def keeps_up(view: View, basis: Basis) -> bool:
    """True when the plan, made for `basis`, needs no change for what has happened since.

    A step that ended as planned changes nothing; one that ended early, late, or is overdue does.
    """
    told = basis_of(view.state)
    if replace(told, over=basis.over) != basis:
        return False
    if basis.over - told.over:  # taken back
        return False
    slots = view.timetable.slots
    for key in told.over - basis.over:
        ended_at = view.state.steps[key].ended_at
        if key not in slots or ended_at is None or abs(ended_at - slots[key].end_at) > SAME_S:
            return False
    return all(_step_keeps_up(view, key) for key in view.state.steps)


def _step_keeps_up(view: View, key: str) -> bool:
    standing, slot = view.state.steps[key], view.timetable.slots.get(key)
    if standing.over:
        return True
    if slot is None:
        return standing.status == "waiting" and view.of_no_dish(key)  # it is not needed
    if standing.status == "waiting":
        return slot.start_at >= view.now - STALE_S
    if slot.way != view.steps[key].way:
        return False
    if standing.aside:
        return _goes_on_as_planned(view, slot)
    if standing.began_at is None or abs(slot.start_at - standing.began_at) > SAME_S:
        return False
    planned = view.planned_end_of(key)
    if planned > view.now:
        return abs(slot.end_at - planned) <= SAME_S
    return slot.end_at >= view.now - GRACE_S


def _goes_on_as_planned(view: View, slot: Slot) -> bool:
    """Whether what the cook put down is planned to go on, and for what is left of it."""
    standing = view.state.steps[slot.key]
    if standing.put_down_at is None or not slot.breaks:
        return False
    left_s = planned_end(view.steps[slot.key], standing) - standing.put_down_at
    _, goes_on_at = slot.breaks[-1]
    same = abs(slot.end_at - goes_on_at - left_s) <= SAME_S
    return same and goes_on_at >= view.now - STALE_S


def kitchen_now(kitchen: Kitchen, state: State) -> Kitchen:
    """The kitchen with what was reported lost or gained, and as many cooks as there are."""
    rings, ovens, equipment = kitchen.rings, kitchen.ovens, dict(kitchen.equipment)
    for what, count in state.equipment.items():
        if what == "ring":
            rings = count
        elif what == "oven":
            ovens = ovens[:count]
        elif any(oven.name == what for oven in ovens):
            ovens = tuple(oven for oven in ovens if oven.name != what or count > 0)
        else:
            equipment[what] = count
    cooks = kitchen.cooks
    if state.cooks is not None:
        helpers = tuple(f"helper {n}" for n in range(1, state.cooks + 1))
        cooks = (cooks + helpers)[: state.cooks]
    return replace(kitchen, rings=rings, ovens=ovens, equipment=equipment, cooks=cooks)


def moved_share(before: Timetable, after: Timetable, state: State) -> float:
    """The share of steps still waiting whose start moves by over two minutes, 0 to 1.

    When service itself moves, what stays, goes along with it, or comes to lie between the two
    has not moved.
    """
    along_s = after.service_at - before.service_at
    moves_s = [
        after.slots[key].start_at - before.slots[key].start_at
        for key, standing in state.steps.items()
        if standing.status == "waiting" and key in before.slots and key in after.slots
    ]
    earliest, latest = min(0.0, along_s) - MOVED_S, max(0.0, along_s) + MOVED_S
    moved = sum(not earliest <= move <= latest for move in moves_s)
    return moved / len(moves_s) if moves_s else 0.0
