"""How long steps really took, and the times that this suggests for the next plan."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from statistics import median

from domain.menu import Dish, Duration, Menu, Step
from scheduling.batches import in_batches
from scheduling.events import Event, State, StepState, ends_by_clock
from scheduling.live import tell
from scheduling.log import effective

# Common practice, not published figures.
LEAST_COUNT = 3  # with fewer, one odd evening would be half of what is known
MOST_COUNT = 10  # of the latest: hands get quicker
WRITTEN_COUNTS = 2  # the written time weighs as much as so many cooks
MATTERS_S, MATTERS_SHARE = 60.0, 0.1  # a difference below either is no news
MISREPORTED = 4.0  # times outside the written range: two steps told at once, or a word too late
SAME_MOMENT_S = 2.0

# Makes the median absolute deviation the standard deviation where that is normal: P. J. Rousseeuw
# and C. Croux, "Alternatives to the Median Absolute Deviation", Journal of the American
# Statistical Association 88 (424), 1993.
MAD_TO_SIGMA = 1.4826


@dataclass(frozen=True)
class Cooked:
    """A cook that is over: the menu as it was, for how many people, and what its steps took.

    took: seconds of each step that was done, by key; None where the cook did not tell. by: the
    cook whom the plan gave each step, by key, where there were several.
    """

    menu: Menu
    servings: int
    took: dict[str, float | None]
    by: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Offer:
    """A time to plan with instead of the written one, in whole seconds.

    It holds for a menu for as many people, and as long as the dish says written_s. count: how
    many evenings it rests on. cook: whose time it is where a kitchen has several, else "".
    """

    key: str
    written_s: int
    learned_s: int
    low_s: int
    high_s: int
    count: int
    servings: int
    cook: str = ""


def cooked(menu: Menu, events: Iterable[Event]) -> Cooked:
    """What a cook's events tell of its steps' times.

    Only what the cook told counts: an end said or confirmed, or a step given longer; a beginning
    said, or one that the clock took from what the cook told at that moment. While the cook
    paused, hands stood still and pots did not.
    """
    log = effective(events)
    told = tell(menu, log)
    state = told.state
    done = [step for step in told.menu.steps if state.steps[step.key].status == "done"]
    took = {step.key: _took_s(step, state, log) for step in done}
    by = {event.subject: event.note for event in log if event.kind == "began" and event.note}
    return Cooked(told.menu, state.servings, took, by)


def _took_s(step: Step, state: State, log: list[Event]) -> float | None:
    standing = state.steps[step.key]
    began_at, ended_at = standing.began_at, standing.ended_at
    told = [event for event in log if event.by == "cook"]
    if began_at is None or ended_at is None or ended_at <= began_at:
        return None
    if not (_begin_told(standing, told) and _end_told(step, standing, told)):
        return None
    still = _paused_s(log, began_at, ended_at) if step.attention == "hands-on" else 0.0
    return ended_at - began_at - still - standing.still_s


def _begin_told(standing: StepState, told: list[Event]) -> bool:
    return standing.began_by == "cook" or any(
        event.kind in ("began", "finished", "gate_seen", "resumed")
        and standing.began_at is not None
        and abs(event.at - standing.began_at) <= SAME_MOMENT_S
        for event in told
    )


def _end_told(step: Step, standing: StepState, told: list[Event]) -> bool:
    """What only followed from a later step's beginning was not told of this one."""
    kinds = {event.kind for event in told if event.subject == step.key}
    gated = step.gate is not None and step.gate.moment == "end"
    if "finished" in kinds or (gated and "gate_seen" in kinds):
        return True
    return "longer" in kinds and standing.ended_by == "clock"


def _paused_s(log: list[Event], since: float, until: float) -> float:
    """How much of this stretch of time the cook had paused, in seconds."""
    total, paused_at = 0.0, None
    for event in log:
        if event.kind == "paused":
            paused_at = event.at
        elif event.kind == "resumed" and paused_at is not None:
            total += max(0.0, min(until, event.at) - max(since, paused_at))
            paused_at = None
    return total


def offers(
    menu: Menu,
    cooks: Sequence[Cooked],
    accepted: Iterable[Offer] = (),
    names: Sequence[str] = (),
) -> list[Offer]:
    """The steps whose times in the latest cooks differ from the plan's by what matters.

    menu: as written; cooks: the latest last; accepted: what is in use instead of the written;
    names: the cooks of the kitchen. Several cooks are each offered their own times.
    Only cooks of the very same step for as many people count, at least LEAST_COUNT of them, and
    at least half of those in which it was done: where the cook mostly says nothing, the written
    time was right. The time offered is the median, drawn towards the written one; its range is
    two standard deviations by the median absolute deviation, drawn likewise.
    """
    in_use = list(accepted)
    found = []
    for cook in names if len(names) > 1 else ("",):
        planned = with_learned(menu, [o for o in in_use if o.cook in ("", cook)], (cook,))
        for step in in_batches(menu, menu.servings).steps:
            if step.batch[0] > 1 or step.ways:
                continue  # it takes what the first batch does; or in which way is not known
            times = list(_times(step, menu.servings, cooks, cook))
            offer = _offer(step, menu.servings, times, cook)
            now_s = planned.step(step.key).duration.likely_s
            if offer and abs(offer.learned_s - now_s) >= max(MATTERS_S, MATTERS_SHARE * now_s):
                found.append(offer)
    return found


def _times(step: Step, servings: int, cooks: Sequence[Cooked], name: str) -> Iterator[float | None]:
    """What the step took in each cook of it, None where the cook did not tell; name: by whom."""
    for cook in cooks:
        if cook.servings != servings or step.key not in cook.took:
            continue
        if name and cook.by.get(step.key) != name:
            continue
        if replace(cook.menu.step(step.key), duration=step.duration) == step:
            yield cook.took[step.key]


def _offer(step: Step, servings: int, times: list[float | None], cook: str) -> Offer | None:
    written = step.duration
    least_s, most_s = written.low_s / MISREPORTED, written.high_s * MISREPORTED
    recent = times[-MOST_COUNT:]
    told = [time for time in recent if time is not None and least_s <= time <= most_s]
    if len(told) < LEAST_COUNT or 2 * len(told) < len(recent):
        return None
    middle = median(told)
    spread_s = 2 * MAD_TO_SIGMA * median(abs(time - middle) for time in told)
    # What cooks by the clock is never planned shorter than written: it may have to boil so long.
    floor_s = written.low_s if ends_by_clock(step) else 10
    learned_s = max(floor_s, _drawn(middle, written.likely_s, len(told)))
    low_s = max(floor_s, _drawn(middle - spread_s, written.low_s, len(told)))
    high_s = _drawn(middle + spread_s, written.high_s, len(told))
    return Offer(
        step.key,
        written.likely_s,
        learned_s,
        min(low_s, learned_s),
        max(high_s, learned_s),
        len(told),
        servings,
        cook,
    )


def _drawn(observed_s: float, written_s: float, count: int) -> int:
    """The observed value drawn towards the written one, the less the more cooks; to ten seconds."""
    total = observed_s * count + written_s * WRITTEN_COUNTS
    return 10 * round(total / (count + WRITTEN_COUNTS) / 10)


def with_learned(menu: Menu, accepted: Iterable[Offer], names: Sequence[str] = ()) -> Menu:
    """The menu with the accepted times where the dishes still say what they said then.

    names: the cooks of the kitchen. Of several cooks' times the longest is planned with, so that
    the plan holds whoever does the step.
    """
    by_key: dict[str, Offer] = {}
    for offer in sorted(accepted, key=lambda offer: offer.learned_s):
        if offer.servings == menu.servings and (not offer.cook or offer.cook in names):
            by_key[offer.key] = offer

    def learned(step: Step) -> Step:
        offer = by_key.get(step.key)
        if offer is None or offer.written_s != step.duration.likely_s:
            return step
        return replace(step, duration=Duration(offer.learned_s, offer.low_s, offer.high_s))

    def all_learned(dish: Dish) -> Dish:
        return replace(dish, steps=tuple(map(learned, dish.steps)))

    return replace(menu, dishes=tuple(map(all_learned, menu.dishes)))
