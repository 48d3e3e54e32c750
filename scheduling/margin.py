"""How long before it is served a dish should be ready, as what is left of it may take longer."""

from math import sqrt

from domain.menu import Dish, Moment, Step
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
    chains: dict[tuple[str, Moment], tuple[int, int]] = {}
    last = [_chain(case, step.key, "end", chains) for step in case.last_steps(dish)]
    _, squares = max(last, default=(0, 0))
    return min(dish.hold_s, round(sqrt(squares)))


def _chain(
    case: Case, key: str, moment: Moment, chains: dict[tuple[str, Moment], tuple[int, int]]
) -> tuple[int, int]:
    """What is left of the longest chain up to a step's start or end: its likely seconds, and the
    sum of the squares of what its steps can overrun."""
    at = key, moment
    if at not in chains:
        chains[at] = 0, 0  # what is past; and a circle, which no plan can keep, ends here
        if case.progress.known(key, moment) is None:
            step = case.steps[key]
            before = [
                (_chain(case, f.step, f.since, chains), f.least_s)
                for f in step.follows
                if f.until == moment
            ]
            found = [(length_s + gap_s, squares) for (length_s, squares), gap_s in before]
            if moment == "end":
                own_s, own = _own(case, step)
                start_s, squares = _chain(case, key, "start", chains)
                found = [(length_s, sq + own) for length_s, sq in found]
                found.append((start_s + own_s, squares + own))
            chains[at] = max(found, default=(0, 0))
    return chains[at]


def _own(case: Case, step: Step) -> tuple[int, int]:
    """A step's likely seconds, and the square of what it can overrun; nothing where it is left
    out."""
    if case.progress.absent(step):
        return 0, 0
    lasts = [choice.step.duration for choice in case.choices[step.key]]
    longest_s = max(one.likely_s for one in lasts)
    return longest_s, max(one.high_s - one.likely_s for one in lasts) ** 2
