"""Why a menu cannot be cooked here at any time, and what would change that."""

import time
from dataclasses import replace

from domain.kitchen import in_need
from domain.menu import Use
from domain.yamlfile import nearest
from scheduling.case import Case
from scheduling.changes import changed, changes, soonest
from scheduling.collision import collision
from scheduling.reason_words import called, changes_told, collision_told, count

MOST_HELPS = 3
_ONE_TRY_S = 0.2  # no change that takes longer to check is told


def lacks(case: Case) -> tuple[str, ...]:
    """What steps to be done need and the kitchen has not, or not enough of, in kitchen words.

    Of a step that can be done in several ways, what the first one needs, and only when none fits.
    """
    there = {**case.capacities, "oven": max((oven.shelves for oven in case.ovens), default=0)}
    found: dict[str, list[str]] = {}
    for step in case.menu.steps:
        if case.begun(step.key) or case.progress.absent(step):
            continue
        if any(case.fits(way) for way in step.in_all_ways()):
            continue
        lacking = [_lack(case, use, there) for use in step.uses if use.count > _has(use, there)]
        if step.attention != "unattended" and not case.cooks:
            lacking.insert(0, "a cook, and there is none")
        for lack in dict.fromkeys(lacking):
            found.setdefault(lack, []).append(called(case, step.key))
    return tuple(f"{in_need(steps)} {lack}" for lack, steps in found.items())


def why_never(case: Case, limit_s: float = 1.0) -> tuple[str, ...]:
    """The limits that collide whenever service is, and what would help, each checked by solving.

    Empty when that cannot be told in limit_s seconds, or when there is a plan after all.
    """
    until = time.monotonic() + limit_s
    case = replace(case, wanted_at=None)
    found = collision(case, limit_s=limit_s / 2)
    if found is None:
        return ()
    helps: list[str] = []
    for change in changes(case):
        left_s = min(_ONE_TRY_S, until - time.monotonic())
        if left_s <= 0 or len(helps) == MOST_HELPS:
            break
        if change.kind != "later" and soonest(changed(case, change), left_s):
            helps.append(changes_told(case, (change,)))
    told = collision_told(found)
    if helps:
        return (f"{told}; what would help: {', or '.join(helps)}",)
    return (f"{told}; correct one of them in its dish or menu",)


def _has(use: Use, there: dict[str, int]) -> int:
    return there.get(use.what, 0)


def _lack(case: Case, use: Use, there: dict[str, int]) -> str:
    there_is = _has(use, there)
    if there_is:
        what = "oven shelf" if use.what == "oven" else use.what
        verb = "is" if there_is == 1 else "are"
        return f"{count(use.count, what)} at once, and there {verb} {count(there_is, what)}"
    close = nearest(use.what, [name for name, number in case.kitchen.equipment.items() if number])
    hint = f"did you mean “{close}”?" if close else "use another kitchen, or leave that dish out"
    return f"“{use.what}”, which is not there; {hint}"
