"""Menus for a small home kitchen, and their timetables, proven and checked."""

from domain.kitchen import Kitchen, Oven
from domain.menu import Dish, Duration, Follow, Mark, Menu, Step, Use
from scheduling.checker import timetable_violations
from scheduling.compose import Timetable, plan_menu

NOW = 1_700_000_000.0
OVEN = Oven("oven", 2, heat_s=720, change_s=60)
HOME = Kitchen("home", "Home", 4, (OVEN,), {"pot": 1}, ("cook",))


def step(dish: str, name: str, minutes: float, attention="hands-on", **more) -> Step:
    likely = round(60 * minutes)
    return Step(
        name, dish, f"{name} the {dish}", Duration(likely, likely, likely), attention, **more
    )


def dish(name: str, *steps: Step, hold: float = 60, spoils: float = 1.0) -> Dish:
    return Dish(name, name.capitalize(), 4, round(60 * hold), (), steps, spoils=spoils)


def menu(*dishes: Dish, marks: tuple[Mark, ...] = ()) -> Menu:
    return Menu("menu", "Menu", 4, dishes, marks=marks)


def after(key: str, least: float = 0, most: float | None = None) -> tuple[Follow, ...]:
    return (Follow(key, round(60 * least), None if most is None else round(60 * most)),)


def baked(
    name: str, minutes: float, celsius: float, shelves: int = 1, tolerance: float = 5
) -> Dish:
    use = Use("oven", shelves, celsius, tolerance)
    return dish(name, step(name, "bake", minutes, "unattended", uses=(use,)))


def timetable(of: Menu, kitchen: Kitchen = HOME, minutes: float | None = None, **more) -> Timetable:
    wanted_at = None if minutes is None else NOW + 60 * minutes
    made = plan_menu(of, kitchen, now=NOW, wanted_at=wanted_at, **more)
    assert isinstance(made, Timetable)
    assert timetable_violations(of, kitchen, made, more.get("progress")) == []
    assert made.proven
    return made


def service(of: Menu, kitchen: Kitchen = HOME, minutes: float | None = None, **more) -> float:
    """Minutes from now to service."""
    return (timetable(of, kitchen, minutes, **more).service_at - NOW) / 60


def start(made: Timetable, key: str) -> float:
    return (made.slots[key].start_at - NOW) / 60


RICE = dish(
    "rice",
    step("rice", "rinse", 2),
    step("rice", "boil", 12, "watched", uses=(Use("ring"),), follows=after("rice/rinse")),
    step("rice", "rest", 5, "unattended", follows=after("rice/boil", 0, 0)),
)
