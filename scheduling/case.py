"""What is to be planned: a menu, a kitchen, a moment, and how far the cook has got."""

import math
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property

from domain.kitchen import Kitchen, Oven
from domain.menu import Dish, Follow, Menu, Step
from scheduling.heating import Setting, heating_dish, heating_name, heating_steps, settings
from scheduling.timetable import ATTENTION_PER_COOK, Progress, Slot, Timetable, oven_use
from scheduling.washing import Wash, left_dirty, washes, washing_steps

SERVICE = "service"
BEGIN = "begin"  # when the cook is first needed


def all_steps(menu: Menu, kitchen: Kitchen) -> tuple[Step, ...]:
    """The menu's steps, the heating of its ovens and the washing up.

    What is of no dish gets a slot in a plan only where it is needed.
    """
    return menu.steps + heating_steps(menu, kitchen) + washing_steps(menu)


@dataclass(frozen=True)
class Choice:
    """One way of doing a step, and the oven for it: None where it needs none or has lost it."""

    step: Step
    oven: Oven | None = None


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

    def kept_waiting(self, step: Step) -> frozenset[str]:
        """The marks of the pieces that this step would wait for in the sink."""
        pieces = {use.what for use in step.uses}
        return frozenset(
            left_dirty(wash.piece)
            for wash in self.washes
            if wash.piece in pieces and step.key in {other.key for other in wash.others}
        )

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

    def to_catch(self, step: Step, follow: Follow) -> bool:
        """True when a step is under way and what should come before its end is not begun yet."""
        before = self.steps[follow.step]
        return (
            follow.until == "end"
            and step.key in self.progress.running
            and not (self.begun(before.key) or self.progress.absent(before))
        )

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

    @cached_property
    def choices(self) -> dict[str, tuple[Choice, ...]]:
        """What each step of the menu can be given, in the order of its task's modes.

        A step that has begun stays as it was begun; one that can be done in no way is told by
        `compose.lacks`, and stands here as first written.
        """
        return {step.key: tuple(self._choices(step)) for step in self.menu.steps}

    def _choices(self, step: Step) -> Iterator[Choice]:
        known = None
        if self.begun(step.key):
            ways = [step.done_by(self.progress.ways.get(step.key, ""))]
            known = self.progress.ovens.get(step.key)
        else:
            ways = [way for way in step.in_all_ways() if self.fits(way)] or [step]
        for way in ways:
            use = oven_use(way)
            ovens = [oven for oven in self.ovens if use and use.count <= oven.shelves]
            ovens = ovens or (list(self.ovens) if use else [])
            ovens = [oven for oven in ovens if oven.name == known] or ovens
            yield from (Choice(way, oven) for oven in ovens or (None,))

    def fits(self, step: Step) -> bool:
        """Whether there is ever enough of everything for a step as it is told."""
        there = {**self.capacities, "oven": max((oven.shelves for oven in self.ovens), default=0)}
        if step.attention != "unattended" and not self.cooks:
            return False
        return all(use.count <= there.get(use.what, 0) for use in step.uses)

    def setting_of(self, step: Step) -> Setting | None:
        """The oven setting for a step as it is told."""
        bake = step.key, step.way
        return next((setting for setting in self.settings if bake in setting.bakes), None)

    def at_work(self, slot: Slot) -> Step:
        """The step of a slot, as it is done there."""
        return self.steps[slot.key].done_by(slot.way)

    def setting_in(self, slot: Slot) -> Setting | None:
        """The setting at which the step of a slot bakes."""
        return self.setting_of(self.at_work(slot))

    def baking(self, oven: Oven, setting: Setting) -> list[str]:
        """The steps, done ones left out, that may be given this oven at this setting."""
        return self._baking.get((oven.name, setting), [])

    @cached_property
    def _baking(self) -> dict[tuple[str, Setting], list[str]]:
        found: dict[tuple[str, Setting], list[str]] = {}
        for key, choices in sorted(self.choices.items()):
            places = [(c.oven.name, self.setting_of(c.step)) for c in choices if c.oven]
            for name, setting in dict.fromkeys(places):
                if setting and key not in self.progress.done:
                    found.setdefault((name, setting), []).append(key)
        return found

    @cached_property
    def baked_variously(self) -> frozenset[str]:
        """The steps that can be baked at one setting or at another, in different ways."""
        known = Counter(key for setting in self.settings for key in dict(setting.bakes))
        return frozenset(key for key, count in known.items() if count > 1)

    def heat_key(self, oven: Oven, setting: Setting) -> str:
        return f"{heating_dish(self.kitchen, oven)}/{heating_name(self.kitchen, setting)}"

    def last_steps(self, dish: Dish) -> list[Step]:
        """The steps of a dish that may end last, of those to be done or done: no other one has to
        end after them."""
        there = [step for step in dish.steps if not self.progress.absent(step)]
        followed = {f.step for step in there for f in step.follows if f.since == "end"}
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
