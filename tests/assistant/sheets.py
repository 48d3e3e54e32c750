"""A small plan by hand, to write run sheets of."""

from dataclasses import replace
from datetime import datetime

from domain.kitchen import Kitchen, Oven
from domain.menu import Dish, Duration, Follow, Gate, Mark, Menu, Step, Use
from scheduling.compose import Slot, Timetable, heating_steps

SIX = datetime(2026, 3, 14, 18, 0).timestamp()
MINUTE = 60.0


def step(dish: str, name: str, minutes: float, attention: str = "hands-on", **more) -> Step:
    likely = round(minutes * 60)
    return Step(name, dish, f"{name.capitalize()}.", Duration(likely, likely, likely), attention,
                **more)  # fmt: skip


BARLEY = Dish(
    "barley",
    "Herbed barley",
    4,
    900,
    (),
    (
        step("barley", "rinse", 2),
        step(
            "barley", "simmer", 20, "unattended", uses=(Use("ring"),),
            follows=(Follow("barley/rinse"),), gate=Gate("end", "it is tender", ()),
        ),
        step("barley", "fluff", 1, follows=(Follow("barley/simmer"),)),
    ),
)  # fmt: skip
ROOTS = Dish(
    "roots",
    "Roast roots",
    4,
    900,
    (),
    (
        step("roots", "cut", 8),
        step(
            "roots", "roast", 20, "unattended", uses=(Use("oven", 1, 200.0),),
            follows=(Follow("roots/cut"),),
        ),
        step(
            "roots", "toss", 3, "watched", uses=(Use("ring", 2),),
            cautions=("Hot fat; it spits.",), follows=(Follow("roots/roast"),),
        ),
    ),
)  # fmt: skip
MENU = Menu(
    "small", "A small supper", 4, (BARLEY, ROOTS), marks=(Mark("roots/cut", 0, "Show it."),)
)
KITCHEN = Kitchen("hut", "The hut", 2, (Oven("oven", 2, 600, 60),), {}, ("cook",))
(HEAT,) = (heating.key for heating in heating_steps(MENU, KITCHEN))
STARTS = {  # minutes after six, and how long
    HEAT: (0, 10),
    "roots/cut": (0, 8),
    "barley/rinse": (8, 2),
    "barley/simmer": (10, 20),
    "roots/roast": (10, 20),
    "roots/toss": (30, 3),
    "barley/fluff": (33, 1),
}
SERVICE = SIX + 36 * MINUTE
ENDS = {"barley": SIX + 34 * MINUTE, "roots": SIX + 33 * MINUTE}


def timetable(late_s: float = 0.0, **more) -> Timetable:
    slots = {
        key: Slot(
            key,
            SIX + start * MINUTE,
            SIX + (start + long) * MINUTE,
            None if key in (HEAT, "barley/simmer", "roots/roast") else "cook",
            "oven" if key in (HEAT, "roots/roast") else None,
        )
        for key, (start, long) in STARTS.items()
    }
    return Timetable(slots, SERVICE, SERVICE - late_s, ENDS, **more)


def named(title: str, name: str) -> tuple[Menu, Timetable]:
    """The small supper with another dish title and the name of one of its steps."""
    cut = replace(ROOTS.steps[0], name=name, say=name)
    roast = replace(ROOTS.steps[1], follows=(Follow(cut.key),))
    roots = replace(ROOTS, title=title, steps=(cut, roast, *ROOTS.steps[2:]))
    plan = timetable()
    slots = {
        (cut.key if key == "roots/cut" else key): replace(
            slot, key=cut.key if key == "roots/cut" else key
        )
        for key, slot in plan.slots.items()
    }
    return replace(MENU, title=title, dishes=(BARLEY, roots), marks=()), replace(plan, slots=slots)
