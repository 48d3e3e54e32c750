"""The simulated cooks go by the rule of the real live schedule, step by step."""

from dataclasses import dataclass

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from small_cook import NOON

from domain.kitchen import Kitchen, Oven
from domain.menu import Dish, Duration, Follow, Gate, Menu, Step, Use
from scheduling.clock import SimulatedClock
from scheduling.events import Event, ends_by_clock
from scheduling.live_schedule import LiveSchedule, MemoryStore
from scheduling.queries import finished
from scheduling.simulation import rules_of, simulate
from scheduling.timetable import Slot, Timetable

KITCHEN = Kitchen("hut", "The hut", 2, (Oven("oven", 2, 600, 60),), {"bowl": 1}, ("cook",))
GRID_S = 10.0


@dataclass
class FixedPlanner:
    """Always the same timetable: what is left to see is the dispatch rule alone."""

    timetable: Timetable

    def steps(self, menu, kitchen):
        return {step.key: step for step in menu.steps}

    def plan(self, menu, kitchen, state, now, last):
        return self.timetable

    def repair(self, menu, kitchen, state, now, last):
        return self.timetable


USES = st.sampled_from(
    [
        (),
        (Use("ring"),),
        (Use("bowl"),),
        (Use("ring", 2),),
        (Use("oven", 1, 180.0),),
        (Use("oven", 1, 220.0),),
        (Use("oven", 2, 180.0),),
        (Use("ring"), Use("bowl")),
    ]
)
# Of a gap: where it is from, and where to.
MOMENTS = [("end", "start"), ("end", "start"), ("start", "start"), ("start", "end"), ("end", "end")]


@st.composite
def cooks(draw):
    """A menu, its timetable, and how long each step will really take.

    Keys are in the order of the plan, as the live schedule takes the first by name of steps
    that may begin at the very same moment. Real lengths differ in their binary fractions, so
    that no two ends fall together.
    """
    steps, slots, at = [], {}, NOON
    lengths = {}
    for n in range(draw(st.integers(2, 8))):
        key = f"dish/{n}"
        likely = 10 * draw(st.integers(2, 12))
        before = draw(st.sets(st.integers(0, n - 1), max_size=2)) if n else set()
        follows = tuple(
            Follow(
                f"dish/{b}",
                10 * draw(st.integers(0, 4)),
                draw(st.none() | st.just(60)),
                *draw(st.sampled_from(MOMENTS)),
            )
            for b in sorted(before)
        )
        attention = draw(st.sampled_from(["hands-on", "unattended", "unattended"]))
        gate = draw(st.sampled_from([None, None, Gate("end", "it boils")]))
        duration = Duration(likely, likely, likely)
        uses = draw(USES)
        steps.append(Step(str(n), "dish", "Do.", duration, attention, uses, follows, gate))
        at += GRID_S * draw(st.integers(0, 8))
        slots[key] = Slot(key, at, at + likely, "cook", "oven")
        lengths[key] = 11 + draw(st.integers(0, 15)) * GRID_S + 2.0 ** -(n + 1)
    # `as_it_happens` tells at once that what the clock ends will take longer. A gap from its end to
    # another's end goes by what is told, and a simulated cook is told nothing: there it takes less.
    told = {f.step for step in steps for f in step.follows if (f.since, f.until) == ("end", "end")}
    for n, step in enumerate(steps):
        if step.key in told and ends_by_clock(step):
            lengths[step.key] = min(lengths[step.key], step.duration.likely_s - 2.0 ** -(n + 1))
    menu = Menu("trial", "A trial", 2, (Dish("dish", "Dish", 2, 600, (), tuple(steps)),))
    return menu, Timetable(slots, at + 1000, None, {}), lengths


def as_it_happens(live, clock, lengths) -> None:
    """A cook whose steps take these times, whatever the plan says of them."""
    told: set[str] = set()
    for _ in range(2000):
        live.tick()
        view = live.snapshot()
        if finished(view):
            return
        for step in view.running():
            longer = lengths[step.key] - step.duration.likely_s
            if ends_by_clock(step) and longer > 0 and step.key not in told:
                live.apply(Event(clock.now(), "longer", step.key, longer))
                told.add(step.key)
        ends = {s.key: view.state.steps[s.key].began_at + lengths[s.key] for s in view.running()}
        grid = NOON + ((view.now - NOON) // GRID_S + 1) * GRID_S
        clock.advance(min([grid, *ends.values()]) - view.now)
        for key, end in ends.items():
            if end == clock.now() and not live.snapshot().state.steps[key].over:
                live.apply(Event(end, "finished", key))
    raise AssertionError("the cook never came to an end")


def _likely(n: int, seconds: int, *uses: Use) -> Step:
    duration = Duration(seconds, seconds, seconds)
    return Step(str(n), "dish", "Do.", duration, "unattended", uses)


def two_ends_at_the_moment_of_a_beginning():
    """Both rings come free just as step 3 is due, and step 2, planned before, waits for both."""
    one, two = Use("ring"), Use("ring", 2)
    uses = (one, one, two, one)
    steps = tuple(_likely(n, 20, use) for n, use in enumerate(uses))
    menu = Menu("trial", "A trial", 2, (Dish("dish", "Dish", 2, 600, (), steps),))
    starts = (NOON, NOON, NOON + 10, NOON + 20)
    slots = {f"dish/{n}": Slot(f"dish/{n}", at, at + 20) for n, at in enumerate(starts)}
    return menu, Timetable(slots, NOON + 100, None, {}), dict.fromkeys(slots, 20.0)


@given(cooks())
@example(two_ends_at_the_moment_of_a_beginning())
@settings(max_examples=60, deadline=None)
def test_every_step_begins_and_ends_as_in_the_live_schedule(cook) -> None:
    menu, timetable, lengths = cook
    clock = SimulatedClock(NOON)
    live = LiveSchedule(menu, KITCHEN, clock, MemoryStore(), FixedPlanner(timetable))
    live.apply(Event(NOON, "cook_started"))
    rules = rules_of(live.snapshot())
    order = rules.keys
    as_it_happens(live, clock, lengths)
    real = live.snapshot().state.steps
    row = np.array([[lengths[key] for key in order]])
    began, ended = simulate(rules, row)
    assert {k: NOON + at for k, at in zip(order, began[0], strict=True)} == {
        key: pytest.approx(standing.began_at, abs=1e-6) for key, standing in real.items()
    }
    assert {k: NOON + at for k, at in zip(order, ended[0], strict=True)} == {
        key: pytest.approx(standing.ended_at, abs=1e-6) for key, standing in real.items()
    }


def test_a_cook_watches_only_so_much_at_once() -> None:
    steps = tuple(Step(str(n), "dish", "Do.", Duration(60, 60, 60), "watched") for n in range(5))
    menu = Menu("trial", "A trial", 2, (Dish("dish", "Dish", 2, 600, (), steps),))
    slots = {s.key: Slot(s.key, NOON, NOON + 60) for s in steps}
    live = LiveSchedule(
        menu,
        KITCHEN,
        SimulatedClock(NOON),
        MemoryStore(),
        FixedPlanner(Timetable(slots, NOON + 60, None, {})),
    )
    lengths = np.array([[50.0, 30.0, 40.0, 60.0, 10.0], [50.0, 30.0, 70.0, 25.0, 10.0]])
    began, ended = simulate(rules_of(live.snapshot()), lengths)
    assert began.tolist() == [[0, 0, 0, 0, 30], [0, 0, 0, 0, 25]]
    assert ended[:, 4].tolist() == [40, 35]


def test_what_nothing_lets_begin_never_does() -> None:
    menu, timetable, lengths = two_ends_at_the_moment_of_a_beginning()
    kitchen = Kitchen("hut", "The hut", 1, (), {"bowl": 1}, ("cook",))
    live = LiveSchedule(menu, kitchen, SimulatedClock(NOON), MemoryStore(), FixedPlanner(timetable))
    began, _ = simulate(rules_of(live.snapshot()), np.array([[*lengths.values()]]))
    assert began.tolist() == [[0, 20, np.inf, 40]]
