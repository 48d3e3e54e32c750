"""What is to be planned: a menu, a kitchen, a moment, and how far the cook has got."""

import math
from dataclasses import dataclass, field
from functools import cached_property

from domain.kitchen import Kitchen, Oven
from domain.menu import Dish, Menu, Step
from scheduling.heating import Setting, heating_dish, heating_name, heating_steps, settings
from scheduling.timetable import ATTENTION_PER_COOK, Progress, Timetable
from scheduling.washing import Wash, left_dirty, washes, washing_steps

SERVICE = "service"
BEGIN = "begin"  # when the cook is first needed


def all_steps(menu: Menu, kitchen: Kitchen) -> tuple[Step, ...]:
    """The menu's steps, the heating of its ovens and the washing up.

    What is of no dish gets a slot in a plan only where it is needed.
    """
    return menu.steps + heating_steps(menu, kitchen) + washing_steps(menu)


@dataclass(frozen=True)
class Case:
    """What is to be planned. soft: gaps and marks that collide are broken by as little as can be.

    last: the timetable so far, of which a re-plan moves little. now and wanted_at are POSIX
    seconds; wanted_at is None for as soon as possible.
    """

    menu: Menu
    kitchen: Kitchen
    now: float
    wanted_at: float | None = None
    progress: Progress = field(default_factory=Progress)
    soft: bool = False
    last: Timetable | None = None

    @cached_property
    def steps(self) -> dict[str, Step]:
        return {step.key: step for step in all_steps(self.menu, self.kitchen)}

    @cached_property
    def settings(self) -> tuple[Setting, ...]:
        return settings(self.menu)

    @cached_property
    def ovens(self) -> tuple[Oven, ...]:
        """The ovens that can be used: when some are lost, the first ones are left."""
        return self.kitchen.ovens[: self.progress.equipment.get("oven", len(self.kitchen.ovens))]

    @cached_property
    def washes(self) -> tuple[Wash, ...]:
        there = {**self.kitchen.equipment, **self.progress.equipment}
        return washes(self.menu, self.progress, there)

    @cached_property
    def _own_pieces(self) -> dict[tuple[str, str], str]:
        return {(key, wash.piece): wash.own for wash in self.washes for key in wash.keys}

    def place(self, step: Step, what: str) -> str:
        """The resource that a step takes: its dish's own where the piece is washed afterwards."""
        return self._own_pieces.get((step.key, what), what)

    def kept_waiting(self, step: Step) -> dict[str, int]:
        """The marks of the pieces that this step would wait for in the sink."""
        return {left_dirty(wash.piece): 0 for wash in self.washes if step in wash.others}

    @property
    def cooks(self) -> int:
        changed = self.progress.cooks
        return len(self.kitchen.cooks) if changed is None else changed

    @cached_property
    def capacities(self) -> dict[str, int]:
        """Of every resource; ovens are counted in shelves."""
        return {
            **self.kitchen.equipment,
            "ring": self.kitchen.rings,
            **{name: n for name, n in self.progress.equipment.items() if name != "oven"},
            "hands": self.cooks,
            "attention": self.cooks * ATTENTION_PER_COOK,
            **{on_oven(oven): oven.shelves for oven in self.ovens},
            **{wash.own: wash.count for wash in self.washes},
        }

    def begun(self, key: str) -> bool:
        return key in self.progress.done or key in self.progress.running

    def after_now(self, at: float) -> int:
        """Whole seconds from now, rounded up so that nothing is asked for too soon."""
        return math.ceil(at - self.now - 1e-6)

    @property
    def wanted_s(self) -> int:
        return 0 if self.wanted_at is None else max(0, math.floor(self.wanted_at - self.now + 1e-6))

    def course_s(self, dish: str) -> int:
        """How long after the task SERVICE a dish is served, seconds; negative before it."""
        return self.progress.course_s(self.menu, dish) - self.since_service_s

    @cached_property
    def since_service_s(self) -> int:
        """Seconds since service, when only later courses are left; 0 before.

        The task SERVICE cannot lie in the past: from then on it stands for this long after
        service, and is late by as much as the later courses are.
        """
        due = [
            step for step in self.menu.steps if self.progress.course_s(self.menu, step.dish) <= 0
        ]
        due = [step for step in due if not self.progress.absent(step)]
        if any(step.key not in self.progress.done for step in due):
            return 0
        served = [
            self.progress.done[step.key][1] - self.progress.course_s(self.menu, step.dish)
            for step in due
        ]
        wanted = [] if self.wanted_at is None else [self.wanted_at]
        return max(0, -self.after_now(max(served + wanted, default=self.now)))

    def setting_of(self, key: str) -> Setting | None:
        return next((setting for setting in self.settings if key in setting.keys), None)

    def heat_key(self, oven: Oven, setting: Setting) -> str:
        return f"{heating_dish(self.kitchen, oven)}/{heating_name(self.kitchen, setting)}"

    def last_steps(self, dish: Dish) -> list[Step]:
        """The steps of a dish that nothing else in it follows, of those to be done or done."""
        there = [step for step in dish.steps if not self.progress.absent(step)]
        followed = {follow.step for step in there for follow in step.follows}
        return [step for step in there if step.key not in followed]


def whole_second(now: float) -> float:
    """Where a plan counts from: service at a whole minute is then a whole number of seconds away.

    Counted from within a second, such a service would be planned up to a second before it.
    """
    return float(math.floor(now))


def on_oven(oven: Oven) -> str:
    """The resource of an oven's shelves."""
    return f"oven:{oven.name}"


def at_setting(oven: Oven, setting: Setting) -> str:
    """A resource of no capacity that marks what runs in this oven at this setting."""
    return f"oven:{oven.name}@{setting.name}"


def ready_task(dish: Dish) -> str:
    return f"ready:{dish.name}"
