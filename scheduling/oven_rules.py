"""The rules of ovens: one temperature at a time, heated first, with time to change."""

from collections.abc import Iterator

from domain.kitchen import Oven
from scheduling.case import Case, at_setting, on_oven
from scheduling.heating import Setting, heat_s
from scheduling.problem import ORIGIN, Apart, Lag, Mode, Task


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
    """The one oven is heated before what is baked in it at that setting."""
    if len(case.ovens) == 1:
        yield from (Lag(heat, key) for heat, key, _ in _heated(case))


def heated_first(case: Case) -> Iterator[Apart]:
    """Of several ovens, the one that a step is given is heated before it."""
    if len(case.ovens) > 1:
        yield from (Apart(heat, key, setting, 0, None) for heat, key, setting in _heated(case))


def _heated(case: Case) -> Iterator[tuple[str, str, str]]:
    for oven, setting, task in _heatings(case):
        for key in sorted(setting.keys):
            if not case.begun(key):
                yield task.name, key, at_setting(oven, setting)


def _heatings(case: Case) -> Iterator[tuple[Oven, Setting, Task]]:
    for oven in case.ovens:
        needed = needs_heating(case, oven)
        for setting in case.settings:
            key = case.heat_key(oven, setting)
            demands = ((on_oven(oven), 0), (at_setting(oven, setting), 0))
            if setting in needed:
                takes_s = case.steps[key].duration.low_s + case.progress.extra_s.get(key, 0)
                yield oven, setting, Task(key, (Mode(takes_s, demands),))
            elif key in case.progress.running:
                left_s = max(0, case.after_now(case.progress.running[key][1]))
                yield oven, setting, Task(key, (Mode(left_s, demands),), pinned_s=0)


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
    here = [key for key in sorted(one.keys) if key not in case.progress.done]
    there = [key for key in sorted(other.keys) if key not in case.progress.done]
    for first in here:
        for second in there:
            if case.begun(first) and case.begun(second):
                continue  # too late to mind
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
