"""A menu with the steps that its vessels cannot hold at once done in batches.

Planning, calling and printing all go by this menu; what is loaded and kept stays as written.
"""

from dataclasses import replace
from math import ceil

from domain.menu import Follow, Menu, Step, Use


def in_batches(menu: Menu, servings: int) -> Menu:
    """The menu for this many servings, each step as often as its vessels must be filled.

    The first batch keeps the step's name, so that all that is said of the step holds for it. The
    batches are alike, and one begins no sooner than the one before it. A step waits for those
    batches before it that its own part of the servings comes from, and a longest gap binds where
    the two can meet it: the first batch that needs the last of those. A step with several ways is
    done in as many batches as the smallest vessel of any of them asks for.
    """
    many = {step.key: _batches(step, servings) for step in menu.steps}
    if set(many.values()) <= {1}:
        return menu
    dishes = (
        replace(
            dish,
            steps=tuple(
                _batch(step, nth, many)
                for step in dish.steps
                for nth in range(1, many[step.key] + 1)
            ),
        )
        for dish in menu.dishes
    )
    return replace(menu, dishes=tuple(dishes))


def _batches(step: Step, servings: int) -> int:
    """How often a step is done; 1 for what is a batch already."""
    if step.batch != (1, 1):
        return 1
    uses = [use for way in step.in_all_ways() for use in way.uses]
    return max((_fillings(use, servings) for use in uses), default=1)


def _fillings(use: Use, servings: int) -> int:
    return 1 if use.holds is None else max(1, ceil(servings / (use.holds * use.count)))


def _batch(step: Step, nth: int, many: dict[str, int]) -> Step:
    follows = tuple(
        wait for follow in step.follows for wait in _waits(follow, nth, many[step.key], many)
    )
    step = replace(step, follows=follows)
    last = many[step.key]
    if last == 1:
        return step
    told = f"Batch {nth} of {last}."
    step = replace(
        step,
        say=f"{step.say} {told}",
        ways=tuple(replace(way, say=f"{way.say} {told}") for way in step.ways),
        batch=(nth, last),
    )
    if nth == 1:
        return step
    return replace(step, name=batch_name(step.name, nth), also=(step.name, *step.also))


def batch_name(name: str, nth: int) -> str:
    """What the nth batch of a step, or its key, is called."""
    return name if nth == 1 else f"{name}, batch {nth}"


def _waits(follow: Follow, nth: int, last: int, many: dict[str, int]) -> list[Follow]:
    """What the nth of `last` batches waits for, where it followed one step."""
    before = many.get(follow.step, 1)
    needed = _needed(nth, last, before)
    earlier = _needed(nth - 1, last, before)[-1] if nth > 1 else 0
    return [
        replace(
            follow,
            step=batch_name(follow.step, other),
            most_s=follow.most_s if other == needed[-1] != earlier else None,
        )
        for other in needed
    ]


def _needed(nth: int, last: int, before: int) -> list[int]:
    """The batches of `before` that share servings with the nth of `last`, counted from 1."""
    return [
        other
        for other in range(1, before + 1)
        if (nth - 1) * before < other * last and (other - 1) * last < nth * before
    ]
