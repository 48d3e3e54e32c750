"""How long before it is served a dish should be ready, as what is left of it may take longer."""

from math import sqrt

from domain.menu import Dish
from scheduling.case import Case


def margin_s(case: Case, dish: Dish) -> int:
    """Whole seconds; 0 for as soon as possible, when to wait for a margin would be to eat later.

    As much as what is left of the dish can overrun its likely time, but no longer than it holds.
    The overruns along its longest chain are added as the square root of their summed squares:
    common practice where each step has its own luck, for seldom do all of them run long together.
    Of a step that can be done in several ways, what is longest in any of them counts.
    """
    if case.wanted_at is None:
        return 0
    chains: dict[str, tuple[int, int]] = {}
    last = [_chain(case, step.key, chains) for step in case.last_steps(dish)]
    _, squares = max(last, default=(0, 0))
    return min(dish.hold_s, round(sqrt(squares)))


def _chain(case: Case, key: str, chains: dict[str, tuple[int, int]]) -> tuple[int, int]:
    """What is left of the longest chain up to a step's end: its likely seconds, and the sum of
    the squares of what its steps can overrun."""
    if key not in chains:
        chains[key] = 0, 0  # what is done; and a circle, which no plan can keep, ends here
        if key not in case.progress.done:
            step = case.steps[key]
            before = [(_chain(case, f.step, chains), f.least_s) for f in step.follows]
            length_s, squares = max(
                ((length_s + gap_s, squares) for (length_s, squares), gap_s in before),
                default=(0, 0),
            )
            if not case.progress.absent(step):
                lasts = [choice.step.duration for choice in case.choices[key]]
                length_s += max(one.likely_s for one in lasts)
                squares += max(one.high_s - one.likely_s for one in lasts) ** 2
            chains[key] = length_s, squares
    return chains[key]
