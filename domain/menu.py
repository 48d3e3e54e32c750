"""Menus and dishes as typed, frozen values.

Times are whole seconds; temperatures are degrees Celsius. `domain.cookbook` finds and reads them.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Literal

Attention = Literal["hands-on", "watched", "unattended"]
Moment = Literal["start", "end"]


@dataclass(frozen=True)
class Duration:
    """How long a step takes, in seconds: low_s <= likely_s <= high_s."""

    likely_s: int
    low_s: int
    high_s: int


@dataclass(frozen=True)
class Ingredient:
    """One ingredient line of a dish, for `Dish.serves` people.

    value is None for "to taste"; unit is a unit name of `domain.units`, or None for a count.
    written: the line as the recipe has it that the dish was made from, "" for none.
    """

    name: str
    value: float | None = None
    high: float | None = None
    unit: str | None = None
    prep: str = ""
    also: tuple[str, ...] = ()
    written: str = ""


@dataclass(frozen=True)
class Use:
    """What a step occupies while it runs.

    what: "ring", "oven", or the name of a piece of equipment in the kitchen.
    count: rings, oven shelves, or pieces. celsius and tolerance only for an oven. holds: how many
    servings go in at a time, None for any; more are done in batches.
    """

    what: str
    count: int = 1
    celsius: float | None = None
    tolerance: float = 10.0
    holds: int | None = None


@dataclass(frozen=True)
class Follow:
    """From the `since` moment of `step` to the `until` moment of this step lie between least_s and
    most_s seconds (most_s None: any time).

    step is "step" within the dish or "dish/step" across dishes, always stored in full. The gap
    is of these two moments alone: a step that has to end after another one's end may begin first.
    Nothing is held back so that it ends later: a step is begun when its likely time lets its end
    meet the gap.
    """

    step: str
    least_s: int = 0
    most_s: int | None = None
    since: Moment = "end"
    until: Moment = "start"

    @property
    def in_turn(self) -> bool:
        """True when the step before has to be over before this one begins."""
        return self.since == "end" and self.until == "start"


@dataclass(frozen=True)
class Gate:
    """A thing only the cook can observe that starts or ends the step.

    moment: which end of the step waits for it. shown: "the water boils". says: phrasings
    that report it ("it boils", "it is boiling").
    """

    moment: Moment
    shown: str
    says: tuple[str, ...] = ()


@dataclass(frozen=True)
class Cues:
    """What done is like, by sense; "" where the dish file says nothing."""

    sight: str = ""
    sound: str = ""
    smell: str = ""
    feel: str = ""


@dataclass(frozen=True)
class Way:
    """Another way to do a step ("in the oven"), with its own words, time and places."""

    name: str
    say: str
    duration: Duration
    attention: Attention
    uses: tuple[Use, ...] = ()


@dataclass(frozen=True)
class Step:
    """One action of a dish. `name` is unique in its dish; `key` ("dish/step") in a menu.

    ways: other ways to do it; way: the name of the one it is told as, "" as first written.
    pausable: the cook may break it off and come back to it. beforehand: it may be done long
    before the rest, the day before even. batch: which batch it is of how many.
    """

    name: str
    dish: str
    say: str
    duration: Duration
    attention: Attention
    uses: tuple[Use, ...] = ()
    follows: tuple[Follow, ...] = ()
    gate: Gate | None = None
    ingredients: tuple[str, ...] = ()
    cues: Cues = field(default_factory=Cues)
    cautions: tuple[str, ...] = ()
    more: str = ""
    also: tuple[str, ...] = ()
    ways: tuple[Way, ...] = ()
    way: str = ""
    pausable: bool = False
    beforehand: bool = False
    batch: tuple[int, int] = (1, 1)

    @property
    def key(self) -> str:
        return f"{self.dish}/{self.name}"

    def done_by(self, way: str) -> "Step":
        """The step as it is done in the way of this name; as it is told for any other name."""
        for other in self.ways:
            if other.name == way:
                return replace(
                    self,
                    way=way,
                    say=other.say,
                    duration=other.duration,
                    attention=other.attention,
                    uses=other.uses,
                )
        return self

    def in_all_ways(self) -> tuple["Step", ...]:
        """The step in each way it can be done, the one it is told as first."""
        return (self, *(self.done_by(other.name) for other in self.ways if other.name != self.way))

    @property
    def on_heat(self) -> bool:
        """True when the step occupies a ring or the oven."""
        return any(use.what in ("ring", "oven") for use in self.uses)


@dataclass(frozen=True)
class Guess:
    """A value that the cook has yet to check: a field of a step or an ingredient.

    where: which of them, "" for the dish itself. why: what the value was made from.
    """

    where: str
    field: str
    why: str


@dataclass(frozen=True)
class Dish:
    """A dish: `hold_s` is how long it may wait between its last step and service.

    spoils: how much a minute's wait costs it against other dishes (1.0 is usual).
    keeps: how leftovers are stored. ahead: what must be done the day or hours before.
    guesses: what nobody has checked yet; unread: what of a recipe found no place in the dish.
    """

    name: str
    title: str
    serves: int
    hold_s: int
    ingredients: tuple[Ingredient, ...]
    steps: tuple[Step, ...]
    also: tuple[str, ...] = ()
    spoils: float = 1.0
    keeps: str = ""
    ahead: tuple[str, ...] = ()
    guesses: tuple[Guess, ...] = ()
    unread: tuple[str, ...] = ()

    def step(self, name: str) -> Step:
        return next(step for step in self.steps if step.name == name)


@dataclass(frozen=True)
class Mark:
    """A fixed mark: the step's moment happens at_s seconds after the menu's start."""

    step: str
    at_s: int
    shown: str = ""


@dataclass(frozen=True)
class Menu:
    """Dishes served together, or in courses.

    service: "HH:MM" by the kitchen clock. service_after_s: instead, seconds from the start of
    cooking (a demonstration that lasts half an hour). Both None: as soon as possible.
    courses: by dish, seconds after service that it is served, negative before it; the others are
    served at service. wash_up: by piece of equipment, seconds of a cook's hands to wash it before
    another dish may have it; the others need no washing.
    """

    name: str
    title: str
    servings: int
    dishes: tuple[Dish, ...]
    service: str | None = None
    kitchen: str | None = None
    marks: tuple[Mark, ...] = ()
    service_after_s: int | None = None
    courses: Mapping[str, int] = field(default_factory=dict)
    wash_up: Mapping[str, int] = field(default_factory=dict)

    @property
    def steps(self) -> tuple[Step, ...]:
        return tuple(step for dish in self.dishes for step in dish.steps)

    def step(self, key: str) -> Step:
        """The step with this "dish/step" key. Raises KeyError."""
        for step in self.steps:
            if step.key == key:
                return step
        raise KeyError(key)

    def dish(self, name: str) -> Dish:
        """The dish with this name. Raises KeyError."""
        for dish in self.dishes:
            if dish.name == name:
                return dish
        raise KeyError(name)
