"""Shall we make it? The chance of service in time, told by cooking the plan many times over."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from domain.kitchen import Kitchen
from domain.menu import Menu, Step
from scheduling.case import all_steps
from scheduling.events import StepState, expected_end
from scheduling.live import initial
from scheduling.queries import course_s, paused_s
from scheduling.simulation import Floats, rules_of, simulate
from scheduling.timetable import MOVED_S, Timetable
from scheduling.view import View, length_s

CHANCE_ALONE = 10.0  # times 1/runs: the share that steps without any effect seldom exceed


@dataclass(frozen=True)
class Forecast:
    """When we shall probably eat. Times are POSIX seconds; infinite when the plan cannot go on.

    services: of each run, in order. chance: of service no more than MOVED_S after the wanted
    time, 0 to 1; None when no time is wanted. low_at, high_at: nine runs of ten are later, and
    earlier. decided_by: steps by key, with the share of the spread of service that goes with
    each one's own time, the largest first; a step whose time does not matter is not named.
    """

    services: tuple[float, ...]
    chance: float | None
    expected_at: float
    low_at: float
    high_at: float
    decided_by: tuple[tuple[str, float], ...] = ()


def forecast(view: View, runs: int = 1000, seed: int = 0) -> Forecast:
    """Cook what is left of a view's plan `runs` times, by the rule of `scheduling.simulation`.

    Each step's time is drawn on its own from the triangular distribution of its duration's low,
    likely and high: the usual choice where no more is known than these three (D. Johnson, "The
    triangular distribution as a proxy for the beta distribution in risk analysis", The
    Statistician 46 (3), 1997), and its tails are heavier than PERT's, so it errs to the cautious
    side. Done steps stay as they are; one under way takes at least what it has taken. A step's
    luck depends on the seed and the menu alone: forecasts of one cook compare run by run.

    The plan is kept as it is, while the live schedule plans anew after a surprise. On the sample
    menus 40 cooks of the live schedule ate within half a minute of the forecast on average.

    The share in `decided_by` is the square of the cruciality index, the correlation of a step's
    time with the whole (T. M. Williams, "Criticality in stochastic networks", Journal of the
    Operational Research Society 43 (4), 1992); how often a step is on the longest chain says
    nothing, as the last one always is.
    """
    if runs < 1:
        raise ValueError(f"a forecast takes at least one run, not {runs}")
    rules = rules_of(view)
    luck = np.random.default_rng(seed).random((len(view.steps), runs))
    row = {key: n for n, key in enumerate(view.steps)}
    lengths = np.empty((runs, len(rules.keys)))
    for n, key in enumerate(rules.keys):
        lengths[:, n] = _lengths(view, view.steps[key], luck[row[key]])
    _, ended = simulate(rules, lengths)
    services = _services(view, rules.keys, ended)
    at = np.sort(services)
    wanted = view.state.wanted_at
    return Forecast(
        tuple(at.tolist()),
        None if wanted is None else float((at <= wanted + MOVED_S).mean()),
        float(at.mean()),
        float(np.quantile(at, 0.1, method="inverted_cdf")),
        float(np.quantile(at, 0.9, method="inverted_cdf")),
        _decided_by(rules.keys, lengths, services),
    )


def view_of_plan(menu: Menu, kitchen: Kitchen, timetable: Timetable, now: float) -> View:
    """A plan before anything has begun, as `forecast` takes it. now: POSIX seconds."""
    steps: Mapping[str, Step] = {step.key: step for step in all_steps(menu, kitchen)}
    state = replace(initial(menu, steps), wanted_at=timetable.wanted_at)
    return View(
        menu, kitchen, timetable.as_done(steps), state, timetable, now, timetable.service_at
    )


def triangular(low: float, likely: float, high: float, luck: Floats) -> Floats:
    """The values below which the triangular distribution lies with these chances (0 to 1).

    The inverse of its cumulative distribution function, in the unit of low, likely and high.
    """
    if high <= low:
        return np.full(luck.shape, likely)
    split = (likely - low) / (high - low)
    below = low + np.sqrt(luck * (high - low) * (likely - low))
    above = high - np.sqrt((1 - luck) * (high - low) * (high - likely))
    return np.where(luck < split, below, above)


def _chance_below(low: float, likely: float, high: float, value: float) -> float:
    """The triangular distribution's cumulative distribution function."""
    if value <= low:
        return 0.0
    if value >= high:
        return 1.0
    if value <= likely:
        return (value - low) ** 2 / ((high - low) * (likely - low))
    return 1 - (high - value) ** 2 / ((high - low) * (high - likely))


def _lengths(view: View, step: Step, luck: Floats) -> Floats:
    """How long a step takes in each run, from its beginning, with what the cook gave it more.

    Heating takes what the plan says: its range is between warm and cold. What stood still while
    paused, or lay still for other work, is added to a step under way that needs hands; so are the
    breaks that are planned.
    """
    standing = view.state.steps[step.key]
    planned = standing.length_s if standing.length_s is not None else length_s(view, step.key)
    if planned is not None:
        return np.full(luck.shape, planned + standing.extra_s)
    ends = (step.duration.low_s, step.duration.likely_s, step.duration.high_s)
    low, likely, high = (end + standing.extra_s for end in ends)
    if standing.began_at is None:
        return triangular(low, likely, high, luck) + view.breaks_to_come_s(step.key)
    still = paused_s(view) if step.attention == "hands-on" else 0.0
    if standing.put_down_at is not None:
        still = max(still, view.now - standing.put_down_at)
    still += standing.still_s
    taken = view.now - still - standing.began_at
    if taken >= high:
        return np.full(luck.shape, _overdue_s(view, step, standing))
    breaks_s = view.breaks_to_come_s(step.key)
    passed = _chance_below(low, likely, high, taken)
    return triangular(low, likely, high, passed + (1 - passed) * luck) + still + breaks_s


def _overdue_s(view: View, step: Step, standing: StepState) -> float:
    """What a step beyond its range is given, as the live schedule gives it."""
    assert standing.began_at is not None
    return expected_end(step, standing, view.now) - standing.began_at


def _services(view: View, keys: tuple[str, ...], ended: Floats) -> Floats:
    """When each run eats, POSIX seconds: once no dish misses its course, nor before the wanted
    time."""
    done = [
        standing.ended_at - course_s(view, step.dish)
        for step in view.menu.steps
        if (standing := view.state.steps[step.key]).status == "done"
        and standing.ended_at is not None
    ]
    floor = max(max(done, default=view.now), view.state.wanted_at or 0.0)
    of_dishes = [n for n, key in enumerate(keys) if not view.of_no_dish(key)]
    served_s = [course_s(view, view.steps[keys[n]].dish) for n in of_dishes]
    last: Floats = (ended[:, of_dishes] - served_s).max(axis=1, initial=-np.inf)
    return np.maximum(view.now + last, floor)


def _decided_by(
    keys: tuple[str, ...], lengths: Floats, services: Floats
) -> tuple[tuple[str, float], ...]:
    runs = len(services)
    if not np.isfinite(services).all() or np.ptp(services) == 0:
        return ()
    spread = services - services.mean()
    shares = []
    for n, key in enumerate(keys):
        own = lengths[:, n] - lengths[:, n].mean()
        if np.ptp(lengths[:, n]) > 0:
            share = float((own @ spread) ** 2 / ((own @ own) * (spread @ spread)))
            shares.append((key, share))
    named = [(key, share) for key, share in shares if share > CHANCE_ALONE / runs]
    return tuple(sorted(named, key=lambda item: (-item[1], item[0])))
