"""The rules of ovens: one temperature at a time, heated first, with time to change."""

from collections.abc import Iterator, Mapping

from domain.kitchen import Oven
from scheduling.case import Case, Choice, at_setting, on_oven
from scheduling.heating import Setting, heat_s
from scheduling.tasks import ORIGIN, Apart, Lag, Mode, Task


def needs_heating(case: Case, oven: Oven) -> list[Setting]:
    """The settings that this oven is not at now and that steps not yet begun may ask for."""
    current = current_setting(case, oven)
    return [
        setting
        for setting in case.settings
        if setting != current
        and any(
            not case.begun(key) and not case.progress.absent(case.steps[key])
            for key in case.baking(oven, setting)
        )
    ]


def current_setting(case: Case, oven: Oven) -> Setting | None:
    """What the oven was last set to: by heating it, or by beginning a step in it."""
    begun = {**case.progress.done, **case.progress.running}
    latest: list[tuple[float, float, str, Setting]] = []
    for setting in case.settings:
        baked = [key for key, way in setting.bakes if case.progress.ways.get(key, "") == way]
        for key in (case.heat_key(oven, setting), *baked):
            there = case.progress.ovens.get(key, case.kitchen.ovens[0].name)
            if key in begun and (key not in baked or there == oven.name):
                latest.append((*begun[key], key, setting))
    return max(latest)[-1] if latest else None


def oven_marks(case: Case, choice: Choice) -> tuple[str, ...]:
    """The resources of no capacity that tell what is baked in which oven at which setting."""
    setting = case.setting_of(choice.step)
    if choice.oven is None or setting is None:
        return ()
    return _marks(case, choice.oven, choice.step.key, setting)


def heating_tasks(case: Case) -> Iterator[Task]:
    """Heating still to be done, and heating under way, which is waited for."""
    return (task for _, _, task in _heatings(case))


def heating_lags(case: Case) -> Iterator[Lag]:
    """No heating ends sooner than it takes from now."""
    for oven in case.ovens:
        current = current_setting(case, oven)
        for setting in needs_heating(case, oven):
            key = case.heat_key(oven, setting)
            takes_s = heat_s(oven, setting.celsius, current.celsius if current else None)
            takes_s += case.progress.extra_s.get(key, 0)
            yield Lag(ORIGIN, key, takes_s, after_moment="end")


def heated_before(case: Case) -> Iterator[Lag]:
    """An oven is heated before what can only be baked in it at that setting."""
    yield from (Lag(heat, key) for heat, key, _, only in _heated(case) if only)


def heated_first(case: Case) -> Iterator[Apart]:
    """The oven and setting that a step is given, of several, is heated before it."""
    for heat, key, setting, only in _heated(case):
        if not only:
            yield Apart(heat, key, setting, 0, None)


def _heated(case: Case) -> Iterator[tuple[str, str, str, bool]]:
    """Heating, what it is for, their mark, and whether that cannot be done without it."""
    for oven, setting, task in _heatings(case):
        for key in case.baking(oven, setting):
            if not case.begun(key):
                only = len(case.ovens) == 1 and all(
                    case.setting_of(choice.step) == setting for choice in case.choices[key]
                )
                yield task.name, key, at_setting(oven, setting), only


def _heatings(case: Case) -> Iterator[tuple[Oven, Setting, Task]]:
    for oven in case.ovens:
        needed = needs_heating(case, oven)
        for setting in case.settings:
            key = case.heat_key(oven, setting)
            marks = on_oven(oven), *_marks(case, oven, key, setting)
            demands = tuple((mark, 0) for mark in marks)
            if setting in needed:
                takes_s = case.steps[key].duration.low_s + case.progress.extra_s.get(key, 0)
                yield oven, setting, Task(key, (Mode(takes_s, demands),))
            elif key in case.progress.running:
                left_s = max(0, case.after_now(case.progress.running[key][1]))
                yield oven, setting, Task(key, (Mode(left_s, demands),), pinned_s=0)


def unused_heating(case: Case, chosen: Mapping[str, int]) -> Iterator[Task]:
    """Heating that no step needs that is done as chosen: by key, the index of its choice."""
    for oven, setting, task in _heatings(case):
        picked = (case.choices[key][chosen.get(key, 0)] for key in case.baking(oven, setting))
        if not any(c.oven == oven and case.setting_of(c.step) == setting for c in picked):
            yield task


def one_temperature(case: Case) -> Iterator[Apart]:
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

    def mark(first: str, second: str) -> str:
        return _mark_of_two(case, oven, (first, one), (second, other))

    here, there = case.baking(oven, one), case.baking(oven, other)
    for first in here:
        for second in there:
            if first == second or (case.begun(first) and case.begun(second)):
                continue  # one step in two ways, or too late to mind
            yield Apart(first, second, mark(first, second), change_s, change_s, order)
    if other in heated:
        heat = case.heat_key(oven, other)
        gap_s = max(0, change_s - case.steps[heat].duration.low_s)
        for key in here:
            yield Apart(key, heat, mark(key, heat), gap_s, 0, order)
    if one in heated:
        heat = case.heat_key(oven, one)
        gap_s = max(0, change_s - case.steps[heat].duration.low_s)
        for key in there:
            yield Apart(heat, key, mark(heat, key), 0, gap_s, order)


def _marks(case: Case, oven: Oven, task: str, setting: Setting) -> tuple[str, ...]:
    """The marks of a task in an oven at a setting: of that, and of it beside each other task."""
    here = task, setting
    two = [
        _mark_of_two(case, oven, here, (key, other))
        for other in case.settings
        if other != setting
        for key in (*case.baking(oven, other), case.heat_key(oven, other))
        if key != task
    ]
    return (at_setting(oven, setting), *(mark for mark in two if mark != on_oven(oven)))


def _mark_of_two(
    case: Case, oven: Oven, one: tuple[str, Setting], other: tuple[str, Setting]
) -> str:
    """The resource that both tasks run on when they are in the oven at these settings.

    That of its shelves, unless one of them may be in it at some other setting.
    """
    if not case.baked_variously & {one[0], other[0]}:
        return on_oven(oven)
    names = sorted(f"{task} at {setting.name}" for task, setting in (one, other))
    return f"{on_oven(oven)}: {' or '.join(names)}"
