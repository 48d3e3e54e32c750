"""Tiny menus for the reasons: every collision in them can be worked out by hand."""

from domain.kitchen import Kitchen, Oven
from domain.menu import Dish, Duration, Follow, Mark, Menu, Step, Use

NOW = 1_700_000_000.0
OVEN = Oven("oven", 2, heat_s=720, change_s=60)  # 12 min to 200 °C, 1 min for 10 degrees
HOME = Kitchen("home", "Home", 4, (OVEN,), {"pan": 1, "tray": 4}, ("cook",))


def minutes(number: float) -> Duration:
    length = round(60 * number)
    return Duration(length, length, length)


def step(dish: str, name: str, lasts: float, attention="unattended", **more) -> Step:
    """lasts: minutes."""
    return Step(name, dish, f"{name} the {dish}", minutes(lasts), attention, **more)


def after(key: str, least: float = 0, most: float | None = None) -> tuple[Follow, ...]:
    return (Follow(key, round(60 * least), None if most is None else round(60 * most)),)


def dish(name: str, *steps: Step) -> Dish:
    return Dish(name, name.capitalize(), 4, 3600, (), steps)


def menu(*dishes: Dish, marks: tuple[Mark, ...] = ()) -> Menu:
    return Menu("menu", "Menu", 4, dishes, marks=marks)


def fried(name: str, lasts: float) -> Dish:
    """On a ring, in the one pan."""
    return dish(name, step(name, f"fry the {name}", lasts, uses=(Use("ring"), Use("pan"))))


def chopped(name: str, lasts: float) -> Dish:
    return dish(name, step(name, f"chop the {name}", lasts, "hands-on"))


def baked(name: str, lasts: float, celsius: float) -> Dish:
    use = Use("oven", 1, celsius, 5)
    return dish(name, step(name, f"bake the {name}", lasts, uses=(use,)))


BEANS = dish(
    "beans",
    step("beans", "soak the beans", 60, beforehand=True),
    step("beans", "boil the beans", 30, uses=(Use("ring"),), follows=after("beans/soak the beans")),
)
# Heats 12 min, bakes 30 at 200, cools 4 to 160, bakes 40: 86 min in one oven.
TWO_TEMPERATURES = menu(baked("roast", 30, 200), baked("crumble", 40, 160))
ONE_PAN = menu(fried("fish", 20), fried("eggs", 15))  # 35 min with one pan, 20 with two
ONE_COOK = menu(chopped("kale", 12), chopped("leeks", 9), chopped("dill", 2))  # 23, or 12 with help
