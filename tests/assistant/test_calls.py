"""What is called, when, how often, and what is not."""

from dataclasses import replace
from itertools import pairwise

import pytest

from assistant.calls import calls, service_told
from assistant.said import Call, Said, acknowledged, noted
from domain.kitchen import Kitchen, Oven
from domain.menu import Dish, Duration, Follow, Gate, Menu, Step, Use
from scheduling.clock import SimulatedClock
from scheduling.events import Event
from scheduling.live_schedule import LiveSchedule, MemoryStore
from scheduling.view import View

NOON = 1_700_000_000.0


def step(dish: str, name: str, minutes: int, attention="hands-on", **more) -> Step:
    likely = minutes * 60
    say = f"{name.capitalize()}, now."
    return Step(name, dish, say, Duration(likely, likely, likely), attention, **more)


MILLET = Dish(
    "millet",
    "Millet",
    2,
    1800,
    (),
    (
        step("millet", "toast the millet", 3, uses=(Use("ring"),)),
        step(
            "millet",
            "bring it to the boil",
            4,
            "watched",
            uses=(Use("ring"),),
            follows=(Follow("millet/toast the millet", 0, 0),),
            gate=Gate("end", "the millet boils", ("it boils",)),
        ),
        step(
            "millet",
            "simmer the millet",
            15,
            "unattended",
            uses=(Use("ring"),),
            follows=(Follow("millet/bring it to the boil", 0, 0),),
        ),
        step(
            "millet",
            "take the millet off",
            5,
            "unattended",
            follows=(Follow("millet/simmer the millet", 0, 0),),
        ),
    ),
)
SALAD = Dish(
    "salad",
    "Cress salad",
    2,
    300,
    (),
    (
        step("salad", "wash the cress", 4),
        step("salad", "dress the cress", 2, follows=(Follow("salad/wash the cress"),)),
    ),
)
MENU = Menu("lunch", "Lunch", 2, (MILLET, SALAD))
KITCHEN = Kitchen("hut", "The hut", 2, (Oven("oven", 2, 600, 60),), {}, ("cook",))


class Session:
    """A live schedule whose calls are made every ten seconds, and all noted."""

    def __init__(self, wanted_s: float | None = 3600, menu: Menu = MENU) -> None:
        self.clock = SimulatedClock(NOON)
        self.live = LiveSchedule(menu, KITCHEN, self.clock, MemoryStore())
        self.said: dict[str, Said] = {}
        wanted = None if wanted_s is None else NOON + wanted_s
        self.tell("cook_started", value=wanted)

    def tell(self, kind, subject="", value=None):
        return self.live.apply(Event(self.clock.now(), kind, subject, value))

    def made(self) -> list[Call]:
        self.live.tick()
        made = calls(self.live.snapshot(), self.said)
        self.said = noted(self.said, made, self.clock.now())
        return made

    def wait(self, seconds: float) -> list[Call]:
        """All calls of this stretch of time."""
        every = []
        for _ in range(round(seconds / 10)):
            self.clock.advance(10)
            every += self.made()
        return every

    def until(self, key: str, most_s: float = 7200) -> list[Call]:
        """Let time pass until the step has begun."""
        every = []
        for _ in range(round(most_s / 10)):
            every += self.wait(10)
            if self.live.snapshot().state.steps[key].began_at is not None:
                return every
        raise AssertionError(f"{key} never began")

    def simmering(self) -> None:
        """Up to the simmering of the millet."""
        self.tell("finished", "millet/toast the millet")
        self.tell("gate_seen", "millet/bring it to the boil")
        self.tell("began", "millet/simmer the millet")


def keys(made: list[Call]) -> list[str]:
    return [call.key.rsplit(":", 1)[0] for call in made]


def test_a_step_that_is_due_is_called_once_in_its_own_words() -> None:
    session = Session(wanted_s=None)
    first = session.made()
    assert [call.spoken for call in first if call.urgency == "due"] == ["Toast the millet, now."]
    assert not [call for call in session.wait(30) if call.key == first[0].key]


def test_a_step_that_the_cook_began_is_not_called() -> None:
    session = Session()
    session.tell("began", "salad/wash the cress")
    assert session.made() == []


def test_hands_get_a_minutes_notice() -> None:
    session = Session(wanted_s=3600)
    made = session.wait(3600)
    soon = next(i for i, call in enumerate(made) if call.key.startswith("soon"))
    due = next(i for i, call in enumerate(made) if call.key.startswith("begin"))
    assert soon < due
    assert made[soon].key.removeprefix("soon:") in made[due].key
    assert made[soon].spoken.startswith("In ")


def test_time_up_on_the_heat_repeats_ever_sooner_until_the_cook_speaks() -> None:
    session = Session()
    session.simmering()
    session.clock.advance(14 * 60)
    session.wait(50)
    heat = []
    times = []
    for _ in range(18):
        for call in session.wait(10):
            if call.urgency == "heat":
                heat.append(call)
                times.append(session.clock.now())
    gaps = [later - earlier for earlier, later in pairwise(times)]
    assert len(heat) >= 6
    assert gaps == sorted(gaps, reverse=True)
    assert heat[0].spoken == "Time is up: simmer the millet. Take the millet off, now."
    assert heat[1].spoken.startswith("Still on the heat")
    assert heat[-1].spoken.endswith("See to it now.")
    session.tell("began", "millet/take the millet off")
    assert not [call for call in session.wait(60) if call.urgency == "heat"]


def test_an_acknowledged_call_does_not_repeat() -> None:
    session = Session()
    session.simmering()
    session.wait(15 * 60)
    session.said = acknowledged(session.said)
    assert not [call for call in session.wait(120) if call.urgency == "heat"]


def test_time_up_covers_the_call_of_what_comes_next() -> None:
    session = Session()
    session.simmering()
    made = session.wait(16 * 60)
    assert not [c for c in made if c.key.startswith("begin:millet/take the millet off")]


def test_a_gate_is_asked_after_only_once_it_should_have_been_seen() -> None:
    session = Session()
    session.tell("finished", "millet/toast the millet")
    session.tell("began", "millet/bring it to the boil")
    assert not [c for c in session.wait(230) if c.key.startswith("gate")]
    asked = [c for c in session.wait(60) if c.key.startswith("gate")]
    assert [c.spoken for c in asked] == ["Tell me when the millet boils."]
    assert asked[0].urgency == "heat"
    again = [c for c in session.wait(120) if c.key.startswith("gate")]
    assert again[0].spoken == "Look again: tell me when the millet boils."


def test_not_yet_puts_the_question_off() -> None:
    session = Session()
    session.tell("finished", "millet/toast the millet")
    session.tell("began", "millet/bring it to the boil")
    session.wait(260)
    session.tell("longer", "millet/bring it to the boil", 180.0)
    assert not [c for c in session.wait(170) if c.key.startswith("gate")]
    assert [c for c in session.wait(60) if c.key.startswith("gate")]


def test_an_overdue_hands_on_step_is_asked_after() -> None:
    session = Session(wanted_s=None)
    made = session.wait(5 * 60)
    assert "Done yet: toast the millet? Tell me when." in [call.spoken for call in made]


def test_a_timer_rings_until_it_is_acknowledged() -> None:
    session = Session()
    session.tell("timer_set", "tea", NOON + 60)
    rings = [call for call in session.wait(120) if call.key.startswith("timer")]
    assert [call.spoken for call in rings[:2]] == ["Tea is up.", "Tea is still up."]
    session.tell("timer_acknowledged", "tea")
    assert not [call for call in session.wait(120) if call.key.startswith("timer")]


def test_service_that_moves_by_over_two_minutes_is_news_once() -> None:
    session = Session(wanted_s=None)
    session.made()
    session.tell("longer", "millet/toast the millet", 90.0)
    assert not [call for call in session.made() if call.urgency == "news"]
    session.tell("longer", "millet/toast the millet", 240.0)
    news = [call for call in session.wait(20) if call.urgency == "news"]
    assert len(news) == 1
    assert news[0].spoken.startswith("We eat at ")
    assert news[0].spoken.endswith(" later.")
    assert news[0].shown != news[0].spoken  # figures to read, words to hear


def test_service_told_in_a_reply_is_no_news() -> None:
    session = Session(wanted_s=None)
    session.made()
    session.tell("longer", "millet/toast the millet", 600.0)
    session.said = service_told(session.live.snapshot(), session.said)
    assert not [call for call in session.wait(20) if call.urgency == "news"]


def test_a_moved_service_is_no_news_to_the_one_who_moved_it() -> None:
    session = Session()
    session.made()
    session.tell("service_moved", value=NOON + 2 * 3600)
    assert not [call for call in session.wait(20) if call.key.startswith("service")]


def test_while_paused_only_heat_and_timers_call() -> None:
    session = Session()
    session.simmering()
    session.tell("timer_set", "tea", NOON + 60)
    session.tell("paused")
    made = session.wait(17 * 60)
    assert {call.key.split(":")[0] for call in made} == {"heat", "timer"}


def test_the_most_urgent_comes_first() -> None:
    session = Session()
    session.simmering()
    session.clock.advance(15 * 60 + 5)
    session.tell("timer_set", "tea", session.clock.now() + 5)
    session.clock.advance(10)
    order = [call.urgency for call in session.made()]
    assert order == sorted(order, key=["heat", "due", "soon", "news"].index)
    assert order[0] == "heat"


def test_dressing_comes_last_and_is_said_so() -> None:
    session = Session(wanted_s=None)
    session.simmering()
    session.tell("finished", "salad/wash the cress")
    made = session.until("salad/dress the cress")
    dress = [c for c in made if c.key.startswith("begin:salad/dress")]
    assert [c.spoken for c in dress] == ["Last thing before serving: Dress the cress, now."]


def test_ready_and_then_serve() -> None:
    session = Session(wanted_s=None)
    for one in MILLET.steps:
        session.tell("finished", one.key)
    ready = [call.spoken for call in session.made() if call.key.startswith("ready")]
    assert ready == ["Ready: Millet. It holds for half an hour."]
    for one in SALAD.steps:
        session.tell("finished", one.key)
    assert [call.spoken for call in session.made()] == ["Everything is ready. Serve now."]
    assert session.wait(60) == []


def test_ready_early_says_so_and_serves_at_the_time() -> None:
    session = Session(wanted_s=600)
    for one in MENU.steps:
        session.tell("finished", one.key)
    assert "early" in session.made()[0].spoken
    assert "Everything is ready. Serve now." in [call.spoken for call in session.wait(600)]


def test_each_course_is_served_at_its_own_moment() -> None:
    # The millet at the hour, the salad half an hour later; no word that everything is ready.
    session = Session(menu=replace(MENU, courses={"salad": 1800}))
    for one in (*MILLET.steps, SALAD.steps[0]):
        session.tell("finished", one.key)
    session.wait(55 * 60)
    served = [call.spoken for call in session.wait(5 * 60) if call.key.startswith("serve")]
    assert served == ["Serve Millet now."]
    made = session.until("salad/dress the cress")
    assert session.clock.now() >= NOON + 3600 + 27 * 60
    session.tell("finished", "salad/dress the cress")
    made = session.wait(120)
    assert [call.spoken for call in made if call.key.startswith("serve")] == [
        "Serve Cress salad now."
    ]
    assert not [call for call in made if "Everything" in call.spoken]
    assert session.wait(1800) == []


def test_a_later_course_that_slips_is_told_by_its_own_time() -> None:
    session = Session(menu=replace(MENU, courses={"salad": 600}))
    for one in (*MILLET.steps, SALAD.steps[0]):
        session.tell("finished", one.key)
    session.wait(3700)
    session.tell("longer", "salad/dress the cress", 600.0)
    news = [call.spoken for call in session.wait(60) if call.key.startswith("service")]
    assert len(news) == 1
    assert news[0].startswith("We serve Cress salad at ")
    assert news[0].endswith(" later.")


def test_no_plan_any_more_is_said_once() -> None:
    session = Session()
    session.made()
    session.tell("equipment_changed", "ring", 0.0)
    stuck = [call for call in session.wait(60) if call.key.startswith("stuck")]
    assert len(stuck) == 1
    assert "ring" in stuck[0].spoken


def begun_by_the_clock() -> View:
    session = Session()
    session.tell("began", "millet/toast the millet")
    view = session.live.snapshot()
    standing = replace(view.state.steps["millet/toast the millet"], began_by="clock")
    steps = {**view.state.steps, "millet/toast the millet": standing}
    return replace(view, state=replace(view.state, steps=steps))


def test_after_a_restart_old_beginnings_are_no_news() -> None:
    view = begun_by_the_clock()
    assert keys(calls(view, {})) == ["begin:millet/toast the millet"]
    assert not [
        call for call in calls(replace(view, now=NOON + 900), {}) if call.key.startswith("begin")
    ]


def test_what_began_while_the_cook_wanted_quiet_is_news_afterwards_however_old() -> None:
    view = begun_by_the_clock()
    later = replace(view, now=NOON + 900)
    assert "begin:millet/toast the millet" in keys(calls(later, {}, hushed_at=NOON - 1))
    assert "begin:millet/toast the millet" not in keys(calls(later, {}, hushed_at=NOON + 1))


def test_calls_do_not_change_anything() -> None:
    session = Session(wanted_s=None)
    view = session.live.snapshot()
    assert calls(view, {}) == calls(view, {})


@pytest.mark.parametrize("hear", [None, ["a"]])
def test_acknowledging_all_or_some(hear) -> None:
    said = noted({}, [Call("a", "due", "A.", "A."), Call("b", "due", "B.", "B.")], NOON)
    after = acknowledged(said, hear)
    assert after["a"].heard
    assert after["b"].heard == (hear is None)
