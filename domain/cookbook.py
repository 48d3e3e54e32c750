"""Dishes, menus and kitchens found by name: the cook's own first, then the ones that come along.

A name is a plain word or words joined by hyphens, so that nothing said, typed or sent from
another machine can reach a file elsewhere. A `Path` is a file that the cook named.
"""

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import Literal

from domain import written
from domain.dish_file import read_dish
from domain.errors import FileProblem, KitchenError
from domain.kitchen import Kitchen
from domain.kitchen_file import read_kitchen
from domain.menu import Dish, Mark, Menu
from domain.order import Problem, refuse_cycles
from domain.settings import own_folder
from domain.yamlfile import Entry, read, suggestion

Shelf = Literal["dishes", "menus", "kitchens"]
DISHES_AT_MOST = 20
_SUPPLIED = Path(__file__).parent
_NAME = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
_CLOCK = re.compile(r"([01]?\d|2[0-3])[:.]([0-5]\d)")
_AFTER = " after the start"
_COURSE_REMEDY = "write it like “20 min after” or “15 min before”"
_SERVICE_REMEDY = "write it like “19:30” or “30 min after the start”, or leave it out"


@dataclass
class NotOnShelf(KitchenError):
    """A dish, menu or kitchen that is not there. `known`: the names that are."""

    shelf: Shelf
    name: str
    known: tuple[str, ...]

    def in_file(self) -> tuple[str, str]:
        """What is wrong and the remedy, for the line of a file that names it."""
        kind = {"dishes": "dish", "menus": "menu", "kitchens": "kitchen"}[self.shelf]
        return f"there is no {kind} called “{self.name}”", suggestion(self.name, self.known)

    def __str__(self) -> str:
        return "; ".join(self.in_file())


def names(shelf: Shelf) -> tuple[str, ...]:
    """Every name on a shelf, in alphabetical order."""
    found = {
        path.stem
        for folder in (own_folder(), _SUPPLIED)
        for path in (folder / shelf).glob("*.yaml")
        if _NAME.fullmatch(path.stem)
    }
    return tuple(sorted(found))


def find(shelf: Shelf, name: str) -> Path:
    """The file behind a name. Raises NotOnShelf."""
    if _NAME.fullmatch(name):
        for folder in (own_folder(), _SUPPLIED):
            path = folder / shelf / f"{name}.yaml"
            if path.is_file():
                return path
    raise NotOnShelf(shelf, name, names(shelf))


def load_dish(name: str | Path, beside: Path | None = None) -> Dish:
    """A dish by name, or the one in a file. Raises FileProblem and NotOnShelf.

    beside: a folder to look in first, for a menu file that brings its own dishes.
    """
    if isinstance(name, str) and beside and _NAME.fullmatch(name):
        own = beside / f"{name}.yaml"
        if own.is_file():
            return read_dish(own)
    return read_dish(find("dishes", name) if isinstance(name, str) else name)


def load_kitchen(name: str | Path) -> Kitchen:
    """A kitchen by name, or the one in a file. Raises FileProblem and NotOnShelf."""
    return read_kitchen(find("kitchens", name) if isinstance(name, str) else name)


def load_menu(name: str | Path) -> Menu:
    """A menu by name, or the one in a file. Raises FileProblem and NotOnShelf."""
    path = find("menus", name) if isinstance(name, str) else name
    entry = read(path)
    found = entry.fields(
        required=("title", "servings", "dishes"),
        optional=("service", "kitchen", "marks", "courses", "wash up"),
    )
    entries = found["dishes"].items()
    _refuse_names(found["dishes"].problem, [item.text() for item in entries])
    beside = path.parent if isinstance(name, Path) else None
    dishes: list[Dish] = []
    for item in entries:
        with _named_by(item):
            dishes.append(load_dish(item.text(), beside))
    if "kitchen" in found:
        with _named_by(found["kitchen"]):
            find("kitchens", found["kitchen"].text())
    _refuse_misfits(found["dishes"].problem, dishes)
    clock, after_s = _service(found["service"]) if "service" in found else (None, None)
    menu = Menu(
        name=path.stem,
        title=found["title"].text(),
        servings=found["servings"].whole(1, 100),
        dishes=tuple(dishes),
        service=clock,
        kitchen=found["kitchen"].text() if "kitchen" in found else None,
        service_after_s=after_s,
    )
    return replace(
        menu,
        marks=_marks(found["marks"], menu) if "marks" in found else (),
        courses=_courses(found["courses"], menu) if "courses" in found else {},
        wash_up=_wash_up(found["wash up"], menu) if "wash up" in found else {},
    )


@contextmanager
def _named_by(item: Entry) -> Iterator[None]:
    """Turns NotOnShelf into a FileProblem at the line that names what is not there."""
    try:
        yield
    except NotOnShelf as error:
        raise item.problem(*error.in_file()) from error


def holds_dish(path: Path) -> bool:
    """Whether a file is a dish's, and not a menu's. Raises FileProblem when it cannot be read."""
    return "steps" in read(path).pairs()


def menu_of(dishes: Sequence[str | Path], servings: int, service: str | None = None) -> Menu:
    """A menu put together from dishes by name or file.

    service: "HH:MM", None for as soon as possible.

    Raises FileProblem and NotOnShelf.
    """
    problem = partial(FileProblem, "this menu", 0)
    if not 1 <= servings <= 100:
        remedy = "write a whole number from 1 to 100"
        raise problem("servings", f"{servings} is out of range", remedy)
    clock = _clock(service) if service else None
    if service and not clock:
        remedy = "write it like “19:30”, or leave it out"
        raise problem("service", f"“{service}” is not a time of day", remedy)
    named = [dish.stem if isinstance(dish, Path) else dish for dish in dishes]
    _refuse_names(partial(problem, "dishes"), named)
    found = [load_dish(dish) for dish in dishes]
    _refuse_misfits(partial(problem, "dishes"), found)
    title = ", ".join(dish.title for dish in found)
    return Menu("-".join(named), title, servings, tuple(found), clock)


def _refuse_names(problem: Problem, dishes: Sequence[str]) -> None:
    """Raises FileProblem for no dishes, too many, or one twice, before any is read."""
    if not dishes:
        raise problem("has no dishes", "name at least one")
    if len(dishes) > DISHES_AT_MOST:
        raise problem(f"has {len(dishes)} dishes", f"cook at most {DISHES_AT_MOST} at once")
    for name, times in Counter(dishes).items():
        if times > 1:
            raise problem(f"“{name}” is there {times} times", "name it once and raise servings")


def _refuse_misfits(problem: Problem, dishes: Sequence[Dish]) -> None:
    """Raises FileProblem for what only shows when dishes come together."""
    there = {dish.name for dish in dishes}
    steps = [step for dish in dishes for step in dish.steps]
    keys = {step.key for step in steps}
    for step in steps:
        for follow in step.follows:
            if follow.step not in keys:
                dish = follow.step.partition("/")[0]
                remedy = f"add the dish “{dish}”"
                raise problem(
                    f"“{step.key}” waits for “{follow.step}”, which is in no dish here",
                    suggestion(follow.step, keys) if dish in there else remedy,
                )
    refuse_cycles(problem, steps)


def _clock(written_as: str) -> str | None:
    """ "7:10" as "07:10"; None for what is not a time of day."""
    found = _CLOCK.fullmatch(written_as)
    return f"{int(found[1]):02}:{found[2]}" if found else None


def _service(entry: Entry) -> tuple[str | None, int | None]:
    """ "19:30" as a clock time, or "30 min after the start" as seconds."""
    line = entry.text()
    if clock := _clock(line):
        return clock, None
    if line.endswith(_AFTER):
        after_s = written.length(entry, line.removesuffix(_AFTER))
        if after_s > 0:
            return None, after_s
    raise entry.problem(f"“{line}” is not a time of service", _SERVICE_REMEDY)


def _marks(entry: Entry, menu: Menu) -> tuple[Mark, ...]:
    marks: list[Mark] = []
    keys = [step.key for step in menu.steps]
    for item in entry.items():
        found = item.fields(required=("step", "at"), optional=("shown",))
        step = found["step"].text()
        if step not in keys:
            raise found["step"].problem(f"there is no step “{step}”", suggestion(step, keys))
        if any(mark.step == step for mark in marks):
            raise found["step"].problem(f"“{step}” is marked twice", "mark it once")
        shown = found["shown"].text() if "shown" in found else ""
        marks.append(Mark(step=step, at_s=written.seconds(found["at"]), shown=shown))
    return tuple(marks)


def _courses(entry: Entry, menu: Menu) -> dict[str, int]:
    """By dish, "20 min after" service or "15 min before" it, in seconds."""
    known = [dish.name for dish in menu.dishes]
    courses: dict[str, int] = {}
    for dish, moment in entry.pairs().items():
        if dish not in known:
            raise moment.problem(f"there is no dish “{dish}” here", suggestion(dish, known))
        length, _, side = moment.text().rpartition(" ")
        if side not in ("after", "before"):
            raise moment.problem(f"“{moment.text()}” is not before or after", _COURSE_REMEDY)
        seconds = written.length(moment, length)
        courses[dish] = seconds if side == "after" else -seconds
    return courses


def _wash_up(entry: Entry, menu: Menu) -> dict[str, int]:
    """By piece of equipment, how long it takes to wash, in seconds."""
    uses = [use for step in menu.steps for use in step.uses]
    uses += [use for step in menu.steps for way in step.ways for use in way.uses]
    known = {use.what for use in uses} - {"ring", "oven"}
    wash_up: dict[str, int] = {}
    for piece, takes in entry.pairs().items():
        if piece not in known:
            raise takes.problem(f"no step here uses “{piece}”", suggestion(piece, known))
        wash_up[piece] = written.seconds(takes)
        if not wash_up[piece]:
            remedy = "give it some seconds, or leave it out"
            raise takes.problem("is washed in no time at all", remedy)
    return wash_up
