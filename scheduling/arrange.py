"""Plans without a solver: placing tasks one by one, and moving them later or earlier.

Quick enough to answer at once; the solver starts from what these find.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from heapq import heappop, heappush

from scheduling.board import Board
from scheduling.plan import Plan, Scheduled
from scheduling.problem import Problem, earliest_starts
from scheduling.tasks import ORIGIN, ContradictoryLags, Hammock
from scheduling.timeline import FAR_S

PUSHES = 20  # how often, for each task, one may be pushed later before a start is given up


def serial_plan(problem: Problem, before: Plan | None = None) -> Plan:
    """Places each task as early as the ones placed before it allow (serial schedule generation).

    before: an earlier plan, whose order, modes and times are kept where they still can be.
    When a task comes too late after one that it must soon follow, that one is pushed later: it is
    taken up and placed anew, and so is what it then comes too late for. Tasks that must soon
    follow each other are placed anew together, before what they push: or two such chains could
    push each other later for ever. Check the result with `violations`.
    """
    order = _order(problem, before)
    old = before.tasks if before else {}
    earliest = _floors(problem, {name: old[name].start_s for name in order if name in old})
    board = Board(problem)
    turn = {name: index for index, name in enumerate(order)}
    leader = _leaders(problem, order)
    rank = dict(turn)  # of each leader
    waiting = [(index, index) for index in turn.values()]  # a heap
    pushes = PUSHES * len(order)
    while waiting:
        name = order[heappop(waiting)[1]]
        task = board.tasks[name]
        gone = [n for n in task.latest_of if not board.holds(n)]
        if gone:  # what it is the latest of has been pushed, and comes up again before it does
            heappush(waiting, (max(rank[leader[n]] for n in gone), turn[name]))
            continue
        mode = old[name].mode if name in old and old[name].mode < len(task.modes) else 0
        slot = board.earliest(task, mode, earliest[name])
        board.place(slot)
        for other, floor in board.pushes(slot) if pushes > 0 else ():
            pushes -= 1
            earliest[other] = max(earliest[other], floor)
            board.take_up(other)
            ahead, behind = leader[name], leader[other]
            if ahead != behind:
                rank[behind] = max(rank[behind], rank[ahead] + 1)
            heappush(waiting, (rank[behind], turn[other]))
    return board.plan()


def _leaders(problem: Problem, order: list[str]) -> dict[str, str]:
    """For each task, the first in order of all that are bound to it by most-lags, one by one."""
    bound: dict[str, list[str]] = defaultdict(list)
    for lag in problem.lags:
        if lag.most_s is not None and ORIGIN not in (lag.before, lag.after):
            bound[lag.before].append(lag.after)
            bound[lag.after].append(lag.before)
    leaders: dict[str, str] = {}
    for name in order:
        new = [] if name in leaders else [name]
        while new:
            at = new.pop()
            leaders[at] = name
            new += [other for other in bound[at] if other not in leaders]
    return leaders


def _floors(problem: Problem, floors: Mapping[str, int]) -> dict[str, int]:
    """The earliest starts, from these on where the lags allow that."""
    try:
        return earliest_starts(problem, floors)
    except ContradictoryLags:
        return earliest_starts(problem)


def shifted(plan: Plan, by_s: int) -> Plan:
    """The plan with everything by_s later."""
    slots = plan.tasks.values()
    return Plan(
        {s.task: Scheduled(s.task, s.start_s + by_s, s.end_s + by_s, s.mode) for s in slots}
    )


def moved_later(problem: Problem, plan: Plan, names: Iterable[str]) -> Plan:
    """The plan with these tasks moved as late as the others, where they stand, allow.

    What most-lags bind together moves together first, then each on its own.
    """
    wanted = set(names)
    board = Board(problem, plan, movable=wanted)
    leader = _leaders(problem, list(plan.tasks))
    bound: dict[str, list[str]] = defaultdict(list)
    for name in plan.tasks:
        bound[leader[name]].append(name)
    for slot in sorted(plan.tasks.values(), key=lambda s: (-s.end_s, -s.start_s, s.task)):
        if slot.task in wanted:
            together = bound.pop(leader[slot.task], [])
            if len(together) > 1 and wanted.issuperset(together):
                _move_later(board, together)
            _move_later(board, [slot.task])
    return board.plan()


def _move_later(board: Board, names: list[str]) -> None:
    """Moves these tasks later by the same time, as much as the others allow."""
    slots = [board.take_up(name) for name in names]
    later_s: int | None = FAR_S
    while later_s is not None:
        each = [board.latest(slot, later_s).start_s - slot.start_s for slot in slots]
        if min(each) == later_s or len(slots) == 1:
            later_s = _place_later(board, slots, each)
        else:
            later_s = min(each)


def _place_later(board: Board, slots: list[Scheduled], each: list[int]) -> int | None:
    """Places each slot by so much later. Where one does not fit beside the others, which may be
    when they overlap, none is placed, and it tells by how much at most that one can be later."""
    placed: list[str] = []
    for slot, own_s in zip(slots, each, strict=True):
        by_s = board.latest(slot, own_s).start_s - slot.start_s if placed else own_s
        if by_s != own_s:
            for name in placed:
                board.take_up(name)
            return by_s
        board.place(Scheduled(slot.task, slot.start_s + by_s, slot.end_s + by_s, slot.mode))
        placed.append(slot.task)
    return None


def moved_earlier(problem: Problem, plan: Plan, names: Iterable[str], from_s: int = 0) -> Plan:
    """The plan with these tasks moved as early as the others allow, none before from_s."""
    board = Board(problem, plan)
    wanted = set(names)
    for slot in sorted(plan.tasks.values(), key=lambda s: (s.start_s, s.end_s, s.task)):
        if slot.task in wanted and slot.start_s > from_s:
            board.take_up(slot.task)
            better = board.earliest(board.tasks[slot.task], slot.mode, from_s)
            board.place(better if better.start_s < slot.start_s else slot)
    return board.plan()


def _order(problem: Problem, before: Plan | None) -> list[str]:
    """Every task after those it must wait for; among the free ones, the most urgent first.

    What is under way stands where it stands, so it comes before all others. What ends a hammock
    comes soon after what begins it, with all that it waits for: until then it holds what it holds.
    """
    urgency = _urgency(problem, before)
    waits, follows = _waits(problem)
    pinned = {task.name for task in problem.tasks if task.pinned_s is not None}
    begun: dict[str, list[Hammock]] = defaultdict(list)
    for hammock in problem.hammocks:
        begun[hammock.first].append(hammock)
    pressing: set[str] = set()
    free = {name for name, first in waits.items() if not first}
    order: list[str] = []
    name = ORIGIN
    while True:
        for hammock in begun[name]:
            pressing |= _awaited(hammock.last, waits)
        if not waits:
            return order
        # Tasks bound to the same moment wait for each other: then the most urgent goes.
        name = min(
            pinned & waits.keys() or free or waits,
            key=lambda n: (n not in pressing, urgency[n], n),
        )
        order.append(name)
        free.discard(name)
        del waits[name]
        for after in follows[name]:
            if after in waits:
                waits[after].discard(name)
                if not waits[after]:
                    free.add(after)


def _waits(problem: Problem) -> tuple[dict[str, set[str]], dict[str, list[str]]]:
    """Which tasks each task must wait for, and which wait for it."""
    waits: dict[str, set[str]] = {task.name: set() for task in problem.tasks}
    follows: dict[str, list[str]] = defaultdict(list)
    pairs = [(arc.before, arc.after) for arc in problem.arcs if arc.weight_s >= 0]
    pairs += [(apart.first, apart.second) for apart in problem.aparts if apart.second_gap_s is None]
    for before, after in pairs:
        if ORIGIN not in (before, after):
            waits[after].add(before)
            follows[before].append(after)
    return waits, follows


def _awaited(name: str, waits: Mapping[str, set[str]]) -> set[str]:
    """The task and all that it waits for, directly or not."""
    found: set[str] = set()
    new = {name} & waits.keys()
    while new:
        found |= new
        new = set().union(*(waits[n] for n in new)) - found
    return found


def _urgency(problem: Problem, before: Plan | None) -> dict[str, int]:
    """The start in the plan before; without one, the latest start by the lags (LST rule)."""
    if before is not None:
        known = {name: slot.start_s for name, slot in before.tasks.items()}
        return {task.name: known.get(task.name, 0) for task in problem.tasks}
    tails = {task.name: task.shortest_s for task in problem.tasks}
    edges = [arc for arc in problem.arcs if ORIGIN not in (arc.before, arc.after)]
    for _ in tails:
        changed = False
        for arc in edges:
            if tails[arc.after] + arc.weight_s > tails[arc.before]:
                tails[arc.before] = tails[arc.after] + arc.weight_s
                changed = True
        if not changed:
            break
    return {name: -tail for name, tail in tails.items()}
