"""The timetable's own checker, written from the menu and the kitchen alone."""

from collections.abc import Container, Iterator, Mapping
from dataclasses import dataclass
from itertools import combinations, pairwise

from domain.kitchen import Kitchen
from domain.menu import Menu, Step
from scheduling.timetable import (
    ATTENTION,
    ATTENTION_PER_COOK,
    LONGEST_BREAK_S,
    WASH_UP,
    Progress,
    Slot,
    Timetable,
    oven_use,
    temperatures_meet,
    wash_key,
)


def timetable_violations(
    menu: Menu, kitchen: Kitchen, timetable: Timetable, progress: Progress | None = None
) -> list[str]:
    """Every rule of the menu or the kitchen that the timetable breaks, one sentence each.

    Written from the menu and the kitchen alone: no solver and no `Problem`. Steps that are
    done or running are taken as they are.
    """
    so_far = progress or Progress()
    steps = [step for step in menu.steps if not so_far.absent(step)]
    missing = [step.key for step in steps if step.key not in timetable.slots]
    if missing:
        return [f"“{key}” is not in the timetable" for key in missing]
    wrong = [
        f"“{step.key}” is not done in the way it was begun"
        for step in steps
        if step.key in {**so_far.done, **so_far.running}
        and timetable.slots[step.key].way != so_far.ways.get(step.key, "")
    ]
    steps = [step.done_by(timetable.slots[step.key].way) for step in steps]
    return [
        *wrong,
        *_length_violations(steps, timetable, so_far),
        *_break_violations(menu, timetable, so_far),
        *_follow_violations(steps, timetable, so_far),
        *_batch_violations(steps, timetable, so_far),
        *_capacity_violations(steps, kitchen, timetable, so_far),
        *_oven_violations(steps, kitchen, timetable),
        *_service_violations(menu, steps, timetable, so_far),
        *_cook_violations(
            [*(s.key for s in steps if s.attention == "hands-on"), *_washing(timetable)], timetable
        ),
        *_dirty_violations(menu, kitchen, timetable, so_far),
    ]


def _length_violations(
    steps: list[Step], timetable: Timetable, progress: Progress
) -> Iterator[str]:
    for step in steps:
        slot = timetable.slots[step.key]
        begun = step.key in progress.done or step.key in progress.running
        worked_s = sum(until - since for since, until in _at_work(slot))
        if not begun and round(worked_s) != step.duration.likely_s:
            yield f"“{step.key}” does not last its {step.duration.likely_s} s"


def _break_violations(menu: Menu, timetable: Timetable, progress: Progress) -> Iterator[str]:
    """What the cook put down lies still as long as the cook will."""
    pausable = {step.key for step in menu.steps if step.pausable}
    for slot in timetable.slots.values():
        if slot.then and len(slot.then) != len(slot.breaks):
            yield f"“{slot.key}” goes on {len(slot.then)} times after {len(slot.breaks)} breaks"
        if slot.breaks and slot.key not in pausable:
            yield f"“{slot.key}” cannot be broken off"
        if any(since >= until for since, until in _at_work(slot) if slot.breaks):
            yield f"“{slot.key}” is broken off when it is not in hand"
        too_long = any(until - since > LONGEST_BREAK_S + 0.5 for since, until in slot.breaks)
        if too_long and slot.key not in progress.aside:
            yield f"“{slot.key}” lies still too long"


def _at_work(slot: Slot) -> list[tuple[float, float]]:
    """When a slot takes hands, as (from, until), in order of time: not in its breaks."""
    edges = [slot.start_at, *(at for pause in slot.breaks for at in pause), slot.end_at]
    return list(zip(edges[::2], edges[1::2], strict=True))


def _follow_violations(
    steps: list[Step], timetable: Timetable, progress: Progress
) -> Iterator[str]:
    """What is over cannot be otherwise, nor can the beginning of what is under way."""
    settled = {(key, moment) for key in progress.done for moment in ("start", "end")}
    settled |= {(key, "start") for key in progress.running}
    under_way = {(key, "end") for key in progress.running}
    for step in steps:
        for follow in step.follows:
            since, until = (follow.step, follow.since), (step.key, follow.until)
            fixed = since in settled | under_way and until in under_way
            if until in settled or fixed or follow.step not in timetable.slots:
                continue
            # Plans are in whole seconds from now.
            before, after = timetable.slots[follow.step], timetable.slots[step.key]
            gap_s = round(after.at(follow.until) - before.at(follow.since))
            what = f"“{step.key}” {'ends' if follow.until == 'end' else 'is'}"
            whose = f"{'the start of ' if follow.since == 'start' else ''}“{follow.step}”"
            if gap_s < follow.least_s - 1:
                yield f"{what} too soon after {whose}: {gap_s} s"
            if follow.most_s is not None and gap_s > follow.most_s + 1:
                yield f"{what} too long after {whose}: {gap_s} s"


def _batch_violations(steps: list[Step], timetable: Timetable, progress: Progress) -> Iterator[str]:
    waiting = [s for s in steps if s.key not in progress.done and s.key not in progress.running]
    for one, other in pairwise(waiting):
        later = timetable.slots[one.key].start_at - timetable.slots[other.key].start_at
        of_one = one.dish == other.dish and other.batch[0] == one.batch[0] + 1
        if of_one and later > 0.5:
            yield f"“{other.key}” begins before “{one.key}”"


def _capacity_violations(
    steps: list[Step], kitchen: Kitchen, timetable: Timetable, progress: Progress
) -> Iterator[str]:
    cooks = progress.cooks if progress.cooks is not None else len(kitchen.cooks)
    there = {"ring": kitchen.rings, **kitchen.equipment, **progress.equipment}
    begun = progress.done.keys() | progress.running.keys()
    for name in sorted({use.what for step in steps for use in step.uses} - {"oven"}):
        demands = {s.key: sum(u.count for u in s.uses if u.what == name) for s in steps}
        yield from _over(name, there.get(name, 0), demands, timetable, begun)
    washing = _washing(timetable)
    hands = {step.key: int(step.attention == "hands-on") for step in steps}
    hands |= dict.fromkeys(washing, 1)
    yield from _over("hands", cooks, hands, timetable, begun)
    attention = {step.key: ATTENTION[step.attention] for step in steps}
    attention |= dict.fromkeys(washing, ATTENTION["hands-on"])
    yield from _over("attention", cooks * ATTENTION_PER_COOK, attention, timetable, begun)
    for oven in kitchen.ovens:
        shelves = {
            step.key: use.count
            for step in steps
            if (use := oven_use(step)) and timetable.slots[step.key].oven == oven.name
        }
        yield from _over(oven.name, oven.shelves, shelves, timetable, begun)


def _over(
    name: str,
    capacity: int,
    demands: Mapping[str, int],
    timetable: Timetable,
    begun: Container[str],
) -> Iterator[str]:
    slots = [timetable.slots[key] for key, demand in demands.items() if demand]
    hands = name in ("hands", "attention")
    spans = [
        (slot.key, since, until)
        for slot in slots
        for since, until in (_at_work(slot) if hands else [(slot.start_at, slot.end_at)])
    ]
    for key, at, ends in spans:
        used = sum(demands[k] for k, since, until in spans if since <= at < until)
        if ends > at and used > capacity and key not in begun:
            yield f"“{key}” makes {used} of “{name}” at once, and there are {capacity}"


def _oven_violations(steps: list[Step], kitchen: Kitchen, timetable: Timetable) -> Iterator[str]:
    ovens = {oven.name: oven for oven in kitchen.ovens}
    baking = [(step, use) for step in steps if (use := oven_use(step))]
    for step, _ in baking:
        if timetable.slots[step.key].oven not in ovens:
            yield f"“{step.key}” has no oven"
    for (one, one_use), (other, other_use) in combinations(baking, 2):
        a, b = sorted(
            (timetable.slots[one.key], timetable.slots[other.key]), key=lambda s: s.start_at
        )
        if a.oven != b.oven or a.oven not in ovens or temperatures_meet(one_use, other_use):
            continue
        least = abs((one_use.celsius or 0) - (other_use.celsius or 0))
        least -= one_use.tolerance + other_use.tolerance
        if b.start_at - a.end_at < least / 10 * ovens[a.oven].change_s - 1:
            yield f"“{a.key}” and “{b.key}” need the oven “{a.oven}” at different temperatures"


def _service_violations(
    menu: Menu, steps: list[Step], timetable: Timetable, progress: Progress
) -> Iterator[str]:
    for dish in dict.fromkeys(step.dish for step in steps):
        serve_at = timetable.serve_at.get(dish, timetable.service_at)
        course_s = progress.course_s(menu, dish)
        if abs(serve_at - timetable.service_at - course_s) > 0.5:
            yield f"“{dish}” is not served {course_s} s after service"
        for step in steps:
            if step.dish == dish and timetable.slots[step.key].end_at > serve_at + 0.5:
                yield f"“{step.key}” ends after {'its course' if course_s else 'service'}"


def _cook_violations(hands_on: list[str], timetable: Timetable) -> Iterator[str]:
    busy = [timetable.slots[key] for key in hands_on]
    for one, other in combinations(busy, 2):
        both = {
            cook or "a cook"
            for (begins, ends), cook in zip(_at_work(one), _cooks(one), strict=True)
            for (since, until), other_cook in zip(_at_work(other), _cooks(other), strict=True)
            if cook == other_cook and min(ends, until) - max(begins, since) > 0.5
        }
        for cook in sorted(both):
            yield f"“{one.key}” and “{other.key}” both need {cook}"


def _cooks(slot: Slot) -> list[str | None]:
    """Who has the slot in hand, each time it is."""
    known = len(slot.then) == len(slot.breaks)
    return [slot.cook, *(slot.then if known else [slot.cook] * len(slot.breaks))]


def _washing(timetable: Timetable) -> list[str]:
    return [key for key in timetable.slots if key.startswith(f"{WASH_UP}/")]


@dataclass(frozen=True)
class _Kept:
    """So many pieces that are in use by a dish, or dirty from it, from `start_at` until `until`."""

    first: str
    start_at: float
    until: float
    count: int


def _dirty_violations(
    menu: Menu, kitchen: Kitchen, timetable: Timetable, progress: Progress
) -> Iterator[str]:
    """No dish has what another has used, before a cook has washed it."""
    begun = progress.done.keys() | progress.running.keys()
    for piece, takes_s in menu.wash_up.items():
        there = {**kitchen.equipment, **progress.equipment}.get(piece, 0)
        all_kept = []
        for dish, uses in _uses(menu, piece, timetable, progress, there).items():
            kept = _kept(piece, dish, uses, timetable, progress)
            all_kept.append(kept)
            wash = timetable.slots.get(wash_key(piece, dish))
            if wash is None or wash.key in begun:
                continue
            if wash.start_at < max(slot.end_at for slot, _ in uses) - 0.5:
                yield f"“{wash.key}” begins before “{dish}” is done with it"
            if wash.end_at - wash.start_at < takes_s * kept.count - 0.5:
                yield f"“{wash.key}” does not last {takes_s * kept.count} s"
        for kept in all_kept:
            at = kept.start_at
            count = sum(k.count for k in all_kept if k.start_at <= at < k.until)
            if count > there and kept.first not in begun:
                yield f"“{kept.first}” needs a clean {piece}: {count} of {there} are not"


def _uses(
    menu: Menu, piece: str, timetable: Timetable, progress: Progress, there: int
) -> dict[str, list[tuple[Slot, int]]]:
    """The slots that take the piece, each with how many, by dish.

    Where dishes have begun with more than there are, somebody has washed some without a word: what
    the dishes that used them first have used is no matter any more.
    """
    found: dict[str, list[tuple[Slot, int]]] = {}
    for step in menu.steps:
        slot = timetable.slots.get(step.key)
        uses = step.done_by(slot.way).uses if slot else ()
        count = sum(use.count for use in uses if use.what == piece)
        if slot and count:
            found.setdefault(step.dish, []).append((slot, count))
    begun = {**progress.done, **progress.running}
    last = {
        d: max((begun[s.key][0] for s, _ in u if s.key in begun), default=0.0)
        for d, u in found.items()
    }
    for dish in sorted((dish for dish in found if last[dish]), key=lambda dish: -last[dish]):
        if wash_key(piece, dish) in progress.done.keys() | progress.skipped:
            continue
        there -= _most_at_once(found[dish])
        if there < 0:
            found[dish] = [(slot, n) for slot, n in found[dish] if slot.key not in begun]
    return {dish: uses for dish, uses in found.items() if uses}


def _most_at_once(uses: list[tuple[Slot, int]]) -> int:
    return max(
        sum(n for other, n in uses if other.start_at <= slot.start_at < other.end_at)
        for slot, _ in uses
    )


def _kept(
    piece: str,
    dish: str,
    uses: list[tuple[Slot, int]],
    timetable: Timetable,
    progress: Progress,
) -> _Kept:
    """From a dish's first use until it is washed; until its last use where a cook says it needs
    no washing."""
    first = min((slot for slot, _ in uses), key=lambda slot: slot.start_at)
    wash = timetable.slots.get(wash_key(piece, dish))
    until = wash.end_at if wash else float("inf")
    if wash_key(piece, dish) in progress.skipped:
        until = max(slot.end_at for slot, _ in uses)
    return _Kept(first.key, first.start_at, until, _most_at_once(uses))
