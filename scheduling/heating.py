"""The ovens' temperatures: which steps can share one, and the heating that they need first."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from domain.kitchen import Kitchen, Oven
from domain.menu import Duration, Menu, Step, Use
from domain.order import steps_before
from domain.rounding import dial
from domain.units import from_celsius
from scheduling.timetable import oven_use

COLD_C = 20.0  # a cold oven is at room temperature: common practice
FULL_C = 200.0  # `Oven.heat_s` is the time from cold to this


Bake = tuple[str, str]  # a step's key, and the name of the way in which it uses the oven


@dataclass(frozen=True)
class Setting:
    """One stretch of an oven at one temperature; visit counts from 1.

    bakes: the steps that it is for, by key, each with the name of the way that bakes it.
    """

    celsius: float
    visit: int
    bakes: frozenset[Bake]

    @property
    def name(self) -> str:
        return f"heat-{self.celsius:g}" + (f"-{self.visit}" if self.visit > 1 else "")


def heat_s(oven: Oven, celsius: float, from_celsius: float | None = None) -> int:
    """Seconds to bring an oven to a temperature: from cold, or from another temperature."""
    if from_celsius is None:
        return round(oven.heat_s * max(0.0, celsius - COLD_C) / (FULL_C - COLD_C))
    return round(oven.change_s * abs(celsius - from_celsius) / 10)


def settings(menu: Menu) -> tuple[Setting, ...]:
    """The fewest temperatures that suit all oven steps, each within the step's tolerance.

    A dish that comes back to a temperature after another one needs it twice; other steps at that
    temperature then go with the last time, the nearest to service, unless they must be before.
    """
    baking = {
        (way.key, way.way): use
        for step in menu.steps
        for way in step.in_all_ways()
        if (use := oven_use(way)) and use.celsius
    }
    celsius = _shared_celsius(baking)
    before = steps_before(menu)
    visits: dict[tuple[float, int], set[Bake]] = {}
    from_last = {bake: _returns_after(bake, celsius, before) for bake in celsius}
    for bake, level in celsius.items():
        most = max(from_last[other] for other, same in celsius.items() if same == level)
        visits.setdefault((level, 1 + most - from_last[bake]), set()).add(bake)
    return tuple(
        Setting(level, visit, frozenset(bakes)) for (level, visit), bakes in sorted(visits.items())
    )


def heating_steps(menu: Menu, kitchen: Kitchen) -> tuple[Step, ...]:
    """A step for each oven and temperature: set it, and let it heat.

    The likely time is from cold; the least is a change from the nearest other temperature.
    """
    every = settings(menu)
    return tuple(
        _heating_step(kitchen, oven, setting, every) for oven in kitchen.ovens for setting in every
    )


def heating_name(kitchen: Kitchen, setting: Setting) -> str:
    """What the heating step is called: "heat the oven to 200", in the kitchen's own degrees."""
    again = "" if setting.visit == 1 else f", {setting.visit}"
    return f"heat the oven to {dialled(kitchen, setting)[0]:g}{again}"


def dialled(kitchen: Kitchen, setting: Setting) -> tuple[float, str]:
    """The setting as this kitchen's dial shows it, and its scale."""
    if kitchen.units == "us":
        return dial(from_celsius(setting.celsius, "fahrenheit"), "fahrenheit"), "Fahrenheit"
    return setting.celsius, "Celsius"


def heating_dish(kitchen: Kitchen, oven: Oven) -> str:
    """What stands for the dish in the key of an oven's heating steps."""
    return "oven" if len(kitchen.ovens) == 1 else oven.name


def _heating_step(kitchen: Kitchen, oven: Oven, setting: Setting, every: Iterable[Setting]) -> Step:
    dish = heating_dish(kitchen, oven)
    degrees, scale = dialled(kitchen, setting)
    cold = heat_s(oven, setting.celsius)
    changes = [heat_s(oven, setting.celsius, other.celsius) for other in every if other != setting]
    return Step(
        name=heating_name(kitchen, setting),
        dish=dish,
        say=f"Set the {dish.replace('-', ' ')} to {degrees:g} degrees {scale}.",
        duration=Duration(likely_s=cold, low_s=min([cold, *changes]), high_s=cold),
        attention="unattended",
        uses=(Use("oven", count=0, celsius=setting.celsius),),
    )


def _shared_celsius(baking: dict[Bake, Use]) -> dict[Bake, float]:
    """One temperature for each step, as few as there can be (stabbing intervals by upper end)."""
    left = sorted(baking.items(), key=lambda item: (_range(item[1])[1], item[0]))
    chosen: dict[Bake, float] = {}
    while left:
        top = _range(left[0][1])[1]
        group = [(bake, use) for bake, use in left if _range(use)[0] <= top]
        left = [item for item in left if item not in group]
        low = max(_range(use)[0] for _, use in group)
        asked = Counter(use.celsius for _, use in group if use.celsius is not None)
        fitting = [(count, celsius) for celsius, count in asked.items() if low <= celsius <= top]
        level = max(fitting)[1] if fitting else (low + top) / 2  # the hotter of two as common
        for bake, _ in group:
            chosen[bake] = level
    return chosen


def _range(use: Use) -> tuple[float, float]:
    assert use.celsius is not None
    return use.celsius - use.tolerance, use.celsius + use.tolerance


def _returns_after(bake: Bake, celsius: dict[Bake, float], before: dict[str, set[str]]) -> int:
    """How often a chain of steps after this one comes back to its temperature from another."""
    returns = [0]
    for after, level in celsius.items():
        if bake[0] in before[after[0]] and level == celsius[bake]:
            away = any(
                other != level and key in before[after[0]] and bake[0] in before[key]
                for (key, _), other in celsius.items()
            )
            returns.append(int(away) + _returns_after(after, celsius, before))
    return max(returns)
