"""Menus of any number of steps, made from the sample dishes, and kitchens that just hold them.

Every copy of a dish has its own title, times (each step's 0.7 to 1.4 times as long) and oven
temperature (up to 20 °C more or less), so that no two ask for the same. The kitchens grow more
slowly than the menus: hands, rings, ovens and pans are all short of what would be wanted at once.
"""

import math
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from random import Random

from domain.cookbook import load_dish, names
from domain.kitchen import Kitchen, Oven
from domain.menu import Dish, Duration, Follow, Menu, Step, Use

SIZES = (10, 30, 60, 150, 300)
# Cooks, rings and ovens for menus of at most so many steps.
SCALE = {10: (1, 3, 1), 30: (1, 4, 1), 60: (1, 5, 2), 150: (2, 8, 3), 300: (4, 12, 4)}
SERVINGS = 6
_SPREAD = (0.7, 1.4)
_WARMER_C = (-20.0, 0.0, 0.0, 20.0)
_COLD = ("slice", "crush", "soak", "drain", "toss", "rest", "trim", "fold")


def made_menu(steps: int, seed: int) -> tuple[Menu, Kitchen]:
    """A menu of exactly so many steps and the kitchen for it; the same for the same seed.

    steps: 1 to 300 or so.
    """
    chance = Random(f"{steps} steps, {seed}")
    dishes = tuple(_dishes(steps, chance))
    menu = Menu(f"made-{steps}-{seed}", f"Made menu of {steps} steps", SERVINGS, dishes)
    return menu, _kitchen(menu)


def roomy_service_s(menu: Menu, kitchen: Kitchen) -> int:
    """Seconds from now to a service with time to spare: twice the hands' work, and the longest
    dish after it."""
    hands_s = sum(s.duration.likely_s for s in menu.steps if s.attention == "hands-on")
    longest_s = max(sum(s.duration.likely_s for s in dish.steps) for dish in menu.dishes)
    return 60 * round((2 * hands_s / len(kitchen.cooks) + longest_s) / 60)


def _dishes(steps: int, chance: Random) -> Iterator[Dish]:
    """Copies of every sample dish that stands alone, round after round, each round shuffled."""
    samples = [dish for dish in map(load_dish, names("dishes")) if _stands_alone(dish)]
    left, copy = steps, 0
    while left:
        copy += 1
        chance.shuffle(samples)
        fitting = [dish for dish in samples if len(dish.steps) <= left]
        for dish in fitting:
            if len(dish.steps) <= left:
                yield _varied(dish, copy, chance)
                left -= len(dish.steps)
        if not fitting and left:
            yield _varied(_cold_dish(left), copy, chance)
            left = 0


def _stands_alone(dish: Dish) -> bool:
    return all(f.step.startswith(f"{dish.name}/") for step in dish.steps for f in step.follows)


def _cold_dish(steps: int) -> Dish:
    """One dish of so many hands-on steps, one after the other, the last just before service."""
    name, made = "cold-plate", list[Step]()
    for index in range(steps):
        before = (Follow(made[-1].key),) if made else ()
        words = f"{_COLD[index % len(_COLD)]} {index + 1}"
        made.append(Step(words, name, words, Duration(180, 150, 240), "hands-on", follows=before))
    return Dish(name, "Cold plate", SERVINGS, 900, (), tuple(made))


def _varied(dish: Dish, copy: int, chance: Random) -> Dish:
    """The dish under another name, with other times and another temperature."""
    name, warmer = f"{dish.name}-{copy}", chance.choice(_WARMER_C)
    steps = []
    for step in dish.steps:
        times = chance.uniform(*_SPREAD)
        steps.append(
            replace(
                step,
                dish=name,
                duration=_times(step.duration, times),
                follows=tuple(
                    replace(f, step=f"{name}/{f.step.partition('/')[2]}") for f in step.follows
                ),
                uses=tuple(_warmer(use, warmer) for use in step.uses),
            )
        )
    return replace(dish, name=name, title=f"{dish.title}, {copy}", steps=tuple(steps))


def _times(duration: Duration, factor: float) -> Duration:
    """Longer or shorter, in half minutes."""
    likely, low, high = (
        30 * max(1, round(factor * s / 30))
        for s in (duration.likely_s, duration.low_s, duration.high_s)
    )
    return Duration(likely, low, high)


def _warmer(use: Use, degrees: float) -> Use:
    return use if use.celsius is None else replace(use, celsius=use.celsius + degrees)


def _kitchen(menu: Menu) -> Kitchen:
    size = next((size for size in SCALE if len(menu.steps) <= size), max(SCALE))
    cooks, rings, ovens = SCALE[size]
    return Kitchen(
        name=f"made-{size}",
        title=f"A kitchen for {size} steps",
        rings=rings,
        ovens=tuple(Oven(f"oven {n}", 2, 720, 60) for n in range(1, ovens + 1)),
        equipment=_equipment(menu, cooks),
        cooks=tuple(f"cook {n}" for n in range(1, cooks + 1)),
    )


def _equipment(menu: Menu, cooks: int) -> dict[str, int]:
    """As few of each thing as need no longer in all than the cooks' hands do; and as many as any
    one step takes."""
    hands_s = sum(s.duration.likely_s for s in menu.steps if s.attention == "hands-on") / cooks
    taken_s, most = Counter[str](), Counter[str]()
    for step in menu.steps:
        for use in step.uses:
            if use.what not in ("ring", "oven"):
                taken_s[use.what] += use.count * step.duration.likely_s
                most[use.what] = max(most[use.what], use.count)
    return {what: max(most[what], math.ceil(s / hands_s)) for what, s in taken_s.items()}
