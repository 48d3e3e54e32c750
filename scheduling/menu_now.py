"""The menu as the events have made it, and how an added dish is written into an event."""

from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import lru_cache

from pydantic import TypeAdapter, ValidationError

from domain.menu import Dish, Menu, Step
from scheduling.batches import in_batches
from scheduling.events import Event, State

StepsOf = Callable[[Menu], Mapping[str, Step]]

_DISH = TypeAdapter(Dish)
# What makes other steps of the menu; after any other event they are as they were.
CHANGES_MENU = frozenset({"dish_added", "servings_changed"})


def added(at: float, dish: Dish) -> Event:
    """The event that adds this dish, whole: its file may change before the next restart."""
    return Event(at, "dish_added", dish.name, note=_DISH.dump_json(dish).decode())


def added_dish(event: Event) -> Dish | None:
    """The dish that an event adds; None where it cannot be read or is not what it says it is."""
    dish = _read(event.note)
    if dish is None or dish.name != event.subject or not dish.steps:
        return None
    names = [step.name for step in dish.steps]
    whole = len(set(names)) == len(names) and all(step.dish == dish.name for step in dish.steps)
    return dish if whole and all(map(_has_length, dish.steps)) else None


def _has_length(step: Step) -> bool:
    return 0 < step.duration.low_s <= step.duration.likely_s <= step.duration.high_s


@lru_cache(maxsize=64)  # every fold of the same log reads the same few dishes
def _read(note: str) -> Dish | None:
    try:
        return _DISH.validate_json(note)
    except ValidationError:
        return None


def menu_now(menu: Menu, state: State) -> Menu:
    """The menu as loaded, with the dishes added since, in batches for the people there now.

    One added anew takes its old place.
    """
    there = {dish.name for dish in menu.dishes}
    kept = [state.added.get(dish.name, dish) for dish in menu.dishes]
    new = [dish for name, dish in state.added.items() if name not in there]
    keys = {step.key for dish in (*kept, *new) for step in dish.steps}
    marks = tuple(mark for mark in menu.marks if mark.step in keys)
    return in_batches(replace(menu, dishes=(*kept, *new), marks=marks), state.servings)


def own_steps(menu: Menu) -> dict[str, Step]:
    """The steps of the menu's dishes by key, without any heating of ovens."""
    return {step.key: step for step in menu.steps}
