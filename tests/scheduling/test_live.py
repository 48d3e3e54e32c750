"""The state is a pure fold over the events, and what cannot be is refused in words."""

from dataclasses import replace
from functools import reduce

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from small_cook import MENU, NOON, with_gate_at_start

from scheduling.events import Event
from scheduling.live import fold, take
from scheduling.log import effective
from scheduling.refusals import refuse

STEPS = {step.key: step for step in MENU.steps}
GATED = with_gate_at_start()
GATED_STEPS = {step.key: step for step in GATED.steps}

step_events = st.builds(
    Event,
    at=st.floats(NOON, NOON + 4000),
    kind=st.sampled_from(["began", "finished", "longer", "gate_seen", "skipped"]),
    subject=st.sampled_from([*STEPS, "leaves/gone"]),
    value=st.sampled_from([None, 60.0, 300.0]),
    by=st.sampled_from(["cook", "cook", "clock"]),
)
other_events = st.builds(
    Event,
    at=st.floats(NOON, NOON + 4000),
    kind=st.sampled_from(
        [
            "cook_started",
            "dish_dropped",
            "paused",
            "resumed",
            "service_moved",
            "servings_changed",
            "equipment_changed",
            "cooks_changed",
            "timer_set",
            "timer_cancelled",
            "timer_acknowledged",
        ]
    ),
    subject=st.sampled_from(["pears", "leaves", "ring", "tea", ""]),
    value=st.sampled_from([None, 0.0, 1.0, 6.0, NOON + 5000]),
)
undos = st.builds(
    Event, at=st.just(NOON), kind=st.just("undone"), value=st.integers(1, 25).map(float)
)


def numbered(events: list[Event]) -> list[Event]:
    return [replace(event, seq=i + 1) for i, event in enumerate(events)]


logs = st.lists(step_events | step_events | other_events | undos, max_size=25).map(numbered)


@given(logs, st.randoms())
def test_order_and_repetition_do_not_matter(log, random) -> None:
    shuffled = log + log[::2]
    random.shuffle(shuffled)
    assert fold(GATED, shuffled) == fold(GATED, log)


@given(st.lists(step_events | other_events, max_size=25).map(numbered), st.integers(0, 25))
def test_any_batching_gives_the_same_state(log, cut) -> None:
    first, second = log[:cut], log[cut:]
    assert reduce(lambda s, e: take(STEPS, s, e), second, fold(MENU, first)) == fold(MENU, log)


@given(logs)
def test_undoing_the_last_event_gives_the_state_before(log) -> None:
    done = effective(log)
    if not done:
        return
    last = done[-1]
    undo = Event(NOON + 5000, "undone", value=float(last.seq), seq=len(log) + 1)
    kept = {e.seq for e in done}
    before = fold(MENU, [e for e in log if e.seq in kept - {last.seq}])
    assert replace(fold(MENU, [*log, undo]), last_seq=0) == replace(before, last_seq=0)


@given(logs)
def test_undoing_an_undo_brings_the_event_back(log) -> None:
    if not effective(log):
        return
    n = len(log)
    last = effective(log)[-1].seq
    undo = Event(NOON, "undone", value=float(last), seq=n + 1)
    redo = Event(NOON, "undone", value=float(n + 1), seq=n + 2)
    assert replace(fold(MENU, [*log, undo, redo]), last_seq=0) == replace(
        fold(MENU, log), last_seq=0
    )


@given(logs)
def test_a_refused_event_changes_nothing_and_a_taken_one_something(log) -> None:
    state = fold(GATED, [])
    for event in log:
        if event.kind == "undone":
            continue
        after = take(GATED_STEPS, state, event)
        if refuse(GATED_STEPS, state, event):
            assert replace(after, last_seq=0) == replace(state, last_seq=0)
        state = after


@given(logs)
def test_what_the_state_says_makes_sense(log) -> None:
    for standing in fold(GATED, log).steps.values():
        if standing.status == "waiting":
            assert standing.began_at is None
            assert standing.ended_at is None
        if standing.status == "running":
            assert standing.began_at is not None
            assert standing.ended_at is None
        if standing.status == "done":
            assert standing.ended_at is not None
            assert standing.began_at is None or standing.began_at <= standing.ended_at


def told(*events: Event):
    return fold(MENU, numbered(list(events)))


def status(state, key: str) -> str:
    return state.steps[key].status


def test_beginning_what_follows_ends_what_came_before() -> None:
    state = told(
        Event(NOON, "began", "pears/halve"),
        Event(NOON + 200, "began", "pears/bake"),
    )
    assert state.steps["pears/halve"].status == "done"
    assert state.steps["pears/halve"].ended_at == NOON + 200


def test_what_is_done_was_preceded_by_all_that_it_follows() -> None:
    state = told(
        Event(NOON, "began", "barley/rinse"),
        Event(NOON + 2000, "finished", "barley/fluff"),
    )
    barley = [state.steps[step.key] for step in MENU.dish("barley").steps]
    assert [(s.status, s.began_at) for s in barley] == [
        ("done", NOON),
        ("done", None),
        ("done", None),
        ("done", None),
    ]
    assert status(state, "pears/halve") == "waiting"


def test_undoing_done_also_lets_go_of_what_the_clock_began_after_it() -> None:
    log = [
        Event(NOON, "began", "pears/halve"),
        Event(NOON + 200, "finished", "pears/halve"),
        Event(NOON + 201, "began", "pears/bake", by="clock"),
        Event(NOON + 300, "undone", value=2.0),
    ]
    state = told(*log)
    assert status(state, "pears/halve") == "running"
    assert status(state, "pears/bake") == "waiting"


def test_a_seen_gate_ends_the_step() -> None:
    state = told(Event(NOON, "began", "barley/boil"), Event(NOON + 400, "gate_seen", "barley/boil"))
    assert state.steps["barley/boil"].status == "done"
    assert state.steps["barley/boil"].ended_at == NOON + 400


def test_longer_adds_to_what_is_left() -> None:
    begun = Event(NOON, "began", "barley/simmer")
    early = told(begun, Event(NOON + 60, "longer", "barley/simmer", 300.0))
    assert early.steps["barley/simmer"].extra_s == 300
    overdue = told(begun, Event(NOON + 1260, "longer", "barley/simmer", 300.0))
    assert overdue.steps["barley/simmer"].extra_s == 60 + 300  # five minutes from now


def test_longer_brings_back_what_the_clock_ended() -> None:
    log = [
        Event(NOON, "began", "pears/bake"),
        Event(NOON + 900, "finished", "pears/bake", by="clock"),
        Event(NOON + 900, "began", "pears/plate", by="clock"),
        Event(NOON + 930, "longer", "pears/bake", 300.0),
    ]
    state = told(*log)
    assert status(state, "pears/bake") == "running"
    assert state.steps["pears/bake"].extra_s == 330
    assert status(state, "pears/plate") == "waiting"


def test_longer_is_refused_once_the_cook_has_gone_on() -> None:
    state = told(
        Event(NOON, "began", "pears/bake"),
        Event(NOON + 900, "finished", "pears/bake", by="clock"),
        Event(NOON + 905, "began", "pears/plate"),
    )
    why = refuse(STEPS, state, Event(NOON + 930, "longer", "pears/bake", 300.0))
    assert why is not None
    assert "plate" in why


def test_the_cook_may_correct_and_confirm_what_the_clock_took() -> None:
    state = told(
        Event(NOON, "began", "pears/halve", by="clock"),
        Event(NOON + 90, "began", "pears/halve"),
    )
    assert state.steps["pears/halve"].began_at == NOON + 90
    state = told(
        Event(NOON, "began", "pears/bake"),
        Event(NOON + 900, "finished", "pears/bake", by="clock"),
        Event(NOON + 960, "finished", "pears/bake"),
    )
    assert state.steps["pears/bake"].ended_by == "cook"
    assert state.steps["pears/bake"].ended_at == NOON + 900


def test_a_pause_holds_the_hands_and_not_the_heat() -> None:
    state = told(
        Event(NOON, "began", "pears/halve"),
        Event(NOON, "began", "barley/simmer"),
        Event(NOON + 60, "paused"),
        Event(NOON + 360, "resumed"),
    )
    assert state.steps["pears/halve"].extra_s == 300
    assert state.steps["barley/simmer"].extra_s == 0


def test_a_dropped_dish_is_left_out_and_its_steps_are_gone() -> None:
    state = told(Event(NOON, "dish_dropped", "leaves"))
    assert {status(state, "leaves/wash"), status(state, "leaves/dress")} == {"skipped"}
    why = refuse(STEPS, state, Event(NOON, "began", "leaves/wash"))
    assert why == "“wash” is gone: that dish has been left out."


def test_a_timer_rings_until_it_is_acknowledged() -> None:
    set_ = Event(NOON, "timer_set", "tea", NOON + 240)
    early = refuse(STEPS, told(set_), Event(NOON + 100, "timer_acknowledged", "tea"))
    assert early == "The timer “tea” is still running."
    assert told(set_, Event(NOON + 250, "timer_acknowledged", "tea")).timers["tea"].acknowledged
    assert told(set_, Event(NOON + 100, "timer_cancelled", "tea")).timers == {}
    moved = told(set_, Event(NOON + 100, "timer_set", "tea", NOON + 600))
    assert moved.timers["tea"].ends_at == NOON + 600


DAY_S = 86400.0
REFUSED = [
    ([], Event(NOON, "began", "soup/stir"), "no step “soup/stir”"),
    ([], Event(NOON, "dish_dropped", "soup"), "no dish “soup”"),
    ([], Event(NOON, "gate_seen", "pears/bake"), "does not wait for anything"),
    ([], Event(NOON, "longer", "pears/bake"), "How much longer"),
    ([], Event(NOON, "longer", "pears/bake", -60.0), "How much longer"),
    ([], Event(NOON, "resumed"), "not paused"),
    ([Event(NOON, "paused")], Event(NOON, "paused"), "already paused"),
    ([], Event(NOON, "service_moved", value=NOON - 60), "already passed"),
    ([], Event(NOON, "servings_changed", value=0.0), "how many people"),
    ([], Event(NOON, "cooks_changed", value=0.0), "Somebody has to cook"),
    ([], Event(NOON, "equipment_changed", "ring", -1.0), "how many are left"),
    ([], Event(NOON, "servings_changed", value=1e9), "1000 at most"),
    ([], Event(NOON, "cooks_changed", value=1e9), "20 at most"),
    ([], Event(NOON, "equipment_changed", "ring", 1e9), "100 at most"),
    ([], Event(NOON, "service_moved", value=NOON + 365 * DAY_S), "within a week"),
    ([], Event(NOON, "cook_started", value=NOON + 365 * DAY_S), "within a week"),
    ([], Event(NOON, "timer_set", "tea", NOON + 365 * DAY_S), "a week at most"),
    ([], Event(NOON, "longer", "pears/halve", 3 * DAY_S), "up to a day"),
    ([], Event(NOON, "course_moved", "pears", 14 * DAY_S), "up to a day"),
    (
        [Event(NOON, "cook_started")],
        Event(NOON - 3 * 365 * DAY_S, "finished", "pears/halve"),
        "long before this cook began",
    ),
    ([], Event(NOON, "timer_set", "tea", NOON - 1), "time still to come"),
    ([], Event(NOON, "timer_cancelled", "tea"), "no timer called “tea”"),
    ([], Event(NOON, "undone"), "nothing to take back"),
    ([], Event(NOON, "undone", value=9.0), "nothing to take back"),
    ([Event(NOON, "cook_started")], Event(NOON, "cook_started"), "already started"),
    (
        [Event(NOON, "began", "pears/halve")],
        Event(NOON + 1, "began", "pears/halve"),
        "already begun",
    ),
    (
        [Event(NOON, "finished", "pears/halve")],
        Event(NOON + 1, "finished", "pears/halve"),
        "already done",
    ),
    (
        [Event(NOON, "began", "pears/halve")],
        Event(NOON - 60, "finished", "pears/halve"),
        "before it began",
    ),
    (
        [Event(NOON, "skipped", "pears/halve")],
        Event(NOON, "skipped", "pears/halve"),
        "already left out",
    ),
]


@pytest.mark.parametrize(("before", "event", "words"), REFUSED)
def test_what_cannot_be_is_refused_in_words(before, event, words) -> None:
    why = refuse(STEPS, told(*before), event)
    assert why is not None
    assert words in why


@settings(max_examples=20)
@given(st.integers(0, 20))
def test_nothing_is_lost_when_a_refused_event_is_in_the_log(n) -> None:
    log = numbered([Event(NOON, "resumed")] * n + [Event(NOON, "began", "pears/halve")])
    state = fold(MENU, log)
    assert status(state, "pears/halve") == "running"
    assert state.last_seq == n + 1
