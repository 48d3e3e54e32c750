"""A menu, a kitchen and how far the cook has got, as a scheduling problem.

The problem's origin is `now`; its tasks are step keys, and a few milestones.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property

from domain.kitchen import Kitchen, Oven
from domain.menu import Dish, Follow, Menu, Step
from scheduling.heating import Setting, all_steps, heat_s, heating_dish, settings
from scheduling.problem import (
    ORIGIN,
    Apart,
    Excess,
    Lag,
    Level,
    Mode,
    Problem,
    Resource,
    Task,
)
from scheduling.timetable import ATTENTION, ATTENTION_PER_COOK, Progress, oven_use

SERVICE = "service"
BEGIN = "begin"  # when the cook is first needed


@dataclass(frozen=True)
class Case:
    """What is to be planned. soft: gaps and marks that collide are broken by as little as can be.

    now and wanted_at are POSIX seconds; wanted_at is None for as soon as possible.
    """

    menu: Menu
    kitchen: Kitchen
    now: float
    wanted_at: float | None = None
    progress: Progress = field(default_factory=Progress)
    soft: bool = False

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
        }

    def begun(self, key: str) -> bool:
        return key in self.progress.done or key in self.progress.running

    def after_now(self, at: float) -> int:
        """Whole seconds from now, rounded up so that nothing is asked for too soon."""
        return math.ceil(at - self.now - 1e-6)

    @property
    def wanted_s(self) -> int:
        return 0 if self.wanted_at is None else max(0, math.floor(self.wanted_at - self.now + 1e-6))

    def setting_of(self, key: str) -> Setting | None:
        return next((setting for setting in self.settings if key in setting.keys), None)

    def heat_key(self, oven: Oven, setting: Setting) -> str:
        return f"{heating_dish(self.kitchen, oven)}/{setting.name}"

    def last_steps(self, dish: Dish) -> list[Step]:
        """The steps of a dish that nothing else in it follows, of those to be done or done."""
        there = [step for step in dish.steps if not self.progress.absent(step)]
        followed = {follow.step for step in there for follow in step.follows}
        return [step for step in there if step.key not in followed]


def on_oven(oven: Oven) -> str:
    """The resource of an oven's shelves."""
    return f"oven:{oven.name}"


def at_setting(oven: Oven, setting: Setting) -> str:
    """A resource of no capacity that marks what runs in this oven at this setting."""
    return f"oven:{oven.name}@{setting.name}"


def ready_task(dish: Dish) -> str:
    return f"ready:{dish.name}"


def kitchen_problem(case: Case) -> Problem:
    """The problem whose plan is a timetable. Raises ProblemError when the menu cannot fit."""
    resources = [Resource(name, capacity) for name, capacity in case.capacities.items()]
    resources += [
        Resource(at_setting(oven, setting), 0) for oven in case.ovens for setting in case.settings
    ]
    gaps = [*_gaps(case), *_marks(case)]
    return Problem(
        tasks=(*_step_tasks(case), *_heating_tasks(case), *_milestones(case)),
        resources=tuple(resources),
        lags=(*_lags(gaps), *_heating_lags(case), *_service_lags(case)),
        aparts=(*_heated_first(case), *_one_temperature(case)),
        levels=tuple(level for level in _levels(case, gaps) if level.terms),
    )


# --- tasks --------------------------------------------------------------------------------------


def _step_tasks(case: Case) -> Iterator[Task]:
    for step in case.menu.steps:
        if step.key in case.progress.done:
            continue
        if case.progress.absent(step):
            yield Task(step.key, (Mode(0),))  # no time, but what follows still follows
        elif step.key in case.progress.running:
            left_s = max(0, case.after_now(case.progress.running[step.key][1]))
            modes = tuple(_within_capacity(case, mode) for mode in _modes(case, step, left_s))
            yield Task(step.key, modes[:1], pinned_s=0)
        else:
            yield Task(step.key, _modes(case, step, step.duration.likely_s))


def _modes(case: Case, step: Step, duration_s: int) -> tuple[Mode, ...]:
    """One mode, or one for each oven that the step could use."""
    demands: dict[str, int] = {}
    if step.attention == "hands-on":
        demands["hands"] = 1
    if ATTENTION[step.attention]:
        demands["attention"] = ATTENTION[step.attention]
    for taken in step.uses:
        if taken.what != "oven":
            demands[taken.what] = demands.get(taken.what, 0) + taken.count
    use = oven_use(step)
    if use is None:
        return (Mode(duration_s, tuple(demands.items())),)
    setting, modes = case.setting_of(step.key), []
    known = case.progress.ovens.get(step.key)
    fitting = [oven for oven in case.ovens if use.count <= oven.shelves] or list(case.ovens)
    for oven in [o for o in fitting if o.name == known] or fitting:
        heat = {at_setting(oven, setting): 0} if setting else {}
        modes.append(Mode(duration_s, tuple({on_oven(oven): use.count, **demands, **heat}.items())))
    return tuple(modes)


def _within_capacity(case: Case, mode: Mode) -> Mode:
    """What is running keeps what it has, also where the capacity has since been lowered."""
    room = case.capacities
    demands = ((name, min(taken, room.get(name, 0))) for name, taken in mode.demands)
    return Mode(mode.duration_s, tuple((name, n) for name, n in demands if name in room or n))


def _milestones(case: Case) -> Iterator[Task]:
    moment = (Mode(0),)
    yield Task(SERVICE, moment, release_s=case.wanted_s)
    yield Task(BEGIN, moment)
    for dish in case.menu.dishes:
        last = [step.key for step in case.last_steps(dish) if step.key not in case.progress.done]
        if last:
            yield Task(ready_task(dish), moment, latest_of=tuple(last))


# --- gaps and marks -----------------------------------------------------------------------------


@dataclass(frozen=True)
class Gap:
    """A lag between two steps, or from the origin; soft when its most may have to be broken."""

    lag: Lag
    soft: bool


def _gaps(case: Case) -> Iterator[Gap]:
    for step in case.menu.steps:
        if not case.begun(step.key):
            for follow in step.follows:
                yield _gap(case, step, follow)


def _gap(case: Case, step: Step, follow: Follow) -> Gap:
    before = case.steps[follow.step]
    least, most = follow.least_s, follow.most_s
    if case.progress.absent(step) or case.progress.absent(before):
        most = None
    if follow.step in case.progress.done:
        ended = case.progress.done[follow.step][1]
        least = case.after_now(ended + least)
        most = None if most is None else case.after_now(ended + most)
        return Gap(Lag(ORIGIN, step.key, least, most), soft=True)
    soft = case.soft or follow.step in case.progress.running
    return Gap(Lag(follow.step, step.key, least, most), soft)


def _marks(case: Case) -> Iterator[Gap]:
    started = case.progress.started_at
    for mark in case.menu.marks:
        step = case.menu.step(mark.step)
        if not case.begun(step.key) and not case.progress.absent(step):
            at = case.after_now((case.now if started is None else started) + mark.at_s)
            yield Gap(Lag(ORIGIN, step.key, at, at), soft=case.soft or case.progress.begun)


def _lags(gaps: list[Gap]) -> Iterator[Lag]:
    for gap in gaps:
        lag = gap.lag
        yield Lag(lag.before, lag.after, lag.least_s, None) if gap.soft else lag


# --- ovens --------------------------------------------------------------------------------------


def needs_heating(case: Case, oven: Oven) -> list[Setting]:
    """The settings that this oven is not at now and that steps not yet begun ask for."""
    current = current_setting(case, oven)
    return [
        setting
        for setting in case.settings
        if setting != current
        and any(
            not case.begun(key) and not case.progress.absent(case.steps[key])
            for key in setting.keys
        )
    ]


def current_setting(case: Case, oven: Oven) -> Setting | None:
    """What the oven was last set to: by heating it, or by beginning a step in it."""
    begun = {**case.progress.done, **case.progress.running}
    latest: list[tuple[float, float, str, Setting]] = []
    for setting in case.settings:
        for key in (case.heat_key(oven, setting), *setting.keys):
            there = case.progress.ovens.get(key, case.kitchen.ovens[0].name)
            if key in begun and (key not in setting.keys or there == oven.name):
                latest.append((*begun[key], key, setting))
    return max(latest)[-1] if latest else None


def _heating_tasks(case: Case) -> Iterator[Task]:
    for oven in case.ovens:
        for setting in needs_heating(case, oven):
            key = case.heat_key(oven, setting)
            demands = ((on_oven(oven), 0), (at_setting(oven, setting), 0))
            yield Task(key, (Mode(case.steps[key].duration.low_s, demands),))


def _heating_lags(case: Case) -> Iterator[Lag]:
    """No heating ends sooner than it takes from now; running heating is waited for."""
    for oven in case.ovens:
        current = current_setting(case, oven)
        for setting in needs_heating(case, oven):
            takes_s = heat_s(oven, setting.celsius, current.celsius if current else None)
            key = case.heat_key(oven, setting)
            yield Lag(ORIGIN, key, takes_s, after_moment="end")
        heating = case.heat_key(oven, current) if current else ""
        if current and len(case.ovens) == 1 and heating in case.progress.running:
            hot_s = case.after_now(case.progress.running[heating][1])
            for key in current.keys:
                if not case.begun(key):
                    yield Lag(ORIGIN, key, hot_s)


def _heated_first(case: Case) -> Iterator[Apart]:
    """An oven is heated before what is baked in it at that setting."""
    for oven in case.ovens:
        for setting in needs_heating(case, oven):
            for key in sorted(setting.keys):
                if not case.begun(key):
                    heat = case.heat_key(oven, setting)
                    yield Apart(heat, key, at_setting(oven, setting), 0, None)


def _one_temperature(case: Case) -> Iterator[Apart]:
    """All at one setting of an oven goes before all at another, with time to change between."""
    for oven in case.ovens:
        heated = needs_heating(case, oven)
        for index, one in enumerate(case.settings):
            for other in case.settings[index + 1 :]:
                yield from _two_settings(case, oven, one, other, heated)


def _two_settings(
    case: Case, oven: Oven, one: Setting, other: Setting, heated: list[Setting]
) -> Iterator[Apart]:
    change_s = heat_s(oven, one.celsius, other.celsius)
    order = f"{oven.name}: {one.name} or {other.name} first"
    here = [key for key in sorted(one.keys) if key not in case.progress.done]
    there = [key for key in sorted(other.keys) if key not in case.progress.done]
    for first in here:
        for second in there:
            yield Apart(first, second, on_oven(oven), change_s, change_s, order)
    if other in heated:
        heat = case.heat_key(oven, other)
        gap_s = max(0, change_s - case.steps[heat].duration.low_s)
        for key in here:
            yield Apart(key, heat, on_oven(oven), gap_s, 0, order)
    if one in heated:
        heat = case.heat_key(oven, one)
        gap_s = max(0, change_s - case.steps[heat].duration.low_s)
        for key in there:
            yield Apart(heat, key, on_oven(oven), 0, gap_s, order)


# --- service and objective ----------------------------------------------------------------------


def _service_lags(case: Case) -> Iterator[Lag]:
    waiting = {
        follow.step: min(follow.least_s, 0) for step in case.menu.steps for follow in step.follows
    }
    for step in case.menu.steps:
        if step.key in case.progress.done or case.progress.absent(step):
            continue
        if waiting.get(step.key, -1) < 0 or step in case.last_steps(case.menu.dish(step.dish)):
            yield Lag(step.key, SERVICE)
        if step.attention != "unattended" and step.key not in case.progress.running:
            yield Lag(BEGIN, step.key)


def _levels(case: Case, gaps: list[Gap]) -> Iterator[Level]:
    missed = tuple(
        Excess(lag.after, 1, lag.before, lag.most_s, "start", "end")
        for lag in (gap.lag for gap in gaps if gap.soft)
        if lag.most_s is not None
    )
    yield Level("missed", missed)
    yield Level("lateness", (Excess(SERVICE, beyond_s=case.wanted_s),))
    yield Level("hold overrun", tuple(_waits(case, over_hold=True)))
    yield Level("waiting", tuple(_waits(case, over_hold=False)))
    if not case.progress.begun:
        span = Excess(SERVICE, since=BEGIN, since_moment="start")
        yield Level("calm", (span,))


def _waits(case: Case, *, over_hold: bool) -> Iterator[Excess]:
    """From a dish's last step to service; beyond its hold, or weighted by how fast it spoils."""
    tenths = {dish.name: round(10 * dish.spoils) for dish in case.menu.dishes}
    shared = math.gcd(*tenths.values()) or 1
    for dish in case.menu.dishes:
        last = case.last_steps(dish)
        weight = 1 if over_hold else tenths[dish.name] // shared
        hold_s = dish.hold_s if over_hold else 0
        if any(step.key not in case.progress.done for step in last):
            yield Excess(SERVICE, weight, ready_task(dish), hold_s)
        elif last:
            ready_s = case.after_now(max(case.progress.done[step.key][1] for step in last))
            yield Excess(SERVICE, weight, ORIGIN, ready_s + hold_s)
