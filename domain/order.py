"""What the gaps between steps say of their order: which are over before which, and circles."""

from collections.abc import Callable, Sequence
from graphlib import CycleError, TopologicalSorter
from itertools import groupby, pairwise

from domain.errors import FileProblem
from domain.menu import Menu, Moment, Step

Problem = Callable[[str, str], FileProblem]  # (what is wrong, the remedy) -> the error to raise
_Point = tuple[str, Moment]  # a step's key, and its start or its end


def steps_before(menu: Menu) -> dict[str, set[str]]:
    """By key, all steps that are over before each step begins by its gaps, directly or not."""
    waits = _waits(menu.steps)
    known: dict[_Point, set[str]] = {}

    def over_by(point: _Point) -> set[str]:
        if point not in known:
            known[point] = set()
            earlier = waits[point]
            ended = {key for key, moment in earlier if moment == "end"}
            known[point] = ended.union(*map(over_by, earlier))
        return known[point]

    return {step.key: over_by((step.key, "start")) for step in menu.steps}


def refuse_cycles(problem: Problem, steps: Sequence[Step]) -> None:
    """Raises FileProblem when steps wait for each other in a ring, naming them in order."""
    named = {step.key: step.name for step in steps}
    try:
        TopologicalSorter(_waits(steps)).prepare()
    except CycleError as error:
        ring: list[_Point] = error.args[1]  # each is waited for by the next; first equals last
        keys = [key for key, _ in groupby(key for key, _ in reversed(ring))]
        names = [named.get(key, key) for key in keys]
        waits = ", ".join(f"{step} waits for {other}" for step, other in pairwise(names))
        raise problem(waits, "take one of these waits away") from error


def _waits(steps: Sequence[Step]) -> dict[_Point, list[_Point]]:
    """The moments that each moment comes after."""
    waits: dict[_Point, list[_Point]] = {}
    for step in steps:
        waits[step.key, "start"], waits[step.key, "end"] = [], [(step.key, "start")]
        for follow in step.follows:
            waits[step.key, follow.until].append((follow.step, follow.since))
    return waits
