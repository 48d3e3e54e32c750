"""A cook outlives the process, and a file in trouble says so."""

import os
import signal
import sqlite3
import subprocess
import sys
import textwrap
from dataclasses import replace
from pathlib import Path
from typing import get_args

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from assistant.journal import Journal, resume
from domain.errors import FileProblem
from domain.kitchen import Kitchen, Oven
from domain.menu import Cues, Dish, Duration, Follow, Gate, Ingredient, Mark, Menu, Step, Use
from scheduling.clock import Anchor, SimulatedClock
from scheduling.events import Event, EventKind
from scheduling.live import fold
from scheduling.live_schedule import LiveSchedule
from scheduling.menu_now import added
from scheduling.queries import time_left

NOON = 1_700_000_000.0
SOAK = Step("soak", "beans", "Soak the beans.", Duration(600, 500, 700), "unattended")
BOIL = Step(
    "boil",
    "beans",
    "Boil the beans.",
    Duration(1200, 900, 1500),
    "watched",
    uses=(Use("oven", 1, 180.0, 5.0), Use("large pot")),
    follows=(Follow("beans/soak", 0, 60),),
    gate=Gate("end", "a bean crushes", ("they crush",)),
    ingredients=("beans",),
    cues=Cues(feel="soft"),
    cautions=("Boil hard.",),
)
BEANS = Dish("beans", "Beans", 2, 600, (Ingredient("beans", 0.1 + 0.2, unit="gram"),), (SOAK, BOIL))
SHELL = Step("shell", "peas", "Shell the peas.", Duration(300, 200, 400), "hands-on")
PEAS = Dish("peas", "Peas", 2, 600, (), (SHELL,))
MENU = Menu("bean-night", "Bean night", 2, (BEANS,), "19:10", "hut", (Mark("beans/boil", 840),))
KITCHEN = Kitchen("hut", "The hut", 2, (Oven("oven", 2, 600, 60),), {"large pot": 1}, ("cook",))
ANCHOR = Anchor(NOON, 12.5, "a boot")


def begin(folder: Path, at: float = NOON) -> Journal:
    return Journal.create(MENU, KITCHEN, Anchor(at, 12.5, "a boot"), folder)


def test_menu_and_kitchen_come_back_as_they_were(tmp_path: Path) -> None:
    begin(tmp_path).close()
    journal = resume("bean-night", tmp_path)
    assert journal is not None
    assert (journal.menu, journal.kitchen, journal.anchor) == (MENU, KITCHEN, ANCHOR)


@given(
    st.lists(
        st.builds(
            Event,
            at=st.floats(0, 2e9),
            kind=st.sampled_from(["began", "finished", "timer_set", "paused"]),
            subject=st.text(max_size=20),
            value=st.none() | st.floats(allow_nan=False, allow_infinity=False),
            by=st.sampled_from(["cook", "clock"]),
            note=st.text(max_size=20),
        ),
        max_size=8,
    )
)
@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_events_come_back_to_the_last_bit(tmp_path_factory: pytest.TempPathFactory, events) -> None:
    journal = begin(tmp_path_factory.mktemp("cooks"))
    stored = journal.append(events[:3]) + journal.append(events[3:])
    journal.close()
    again = Journal(journal.path)
    assert again.read() == list(stored)
    assert [event.seq for event in stored] == list(range(1, len(events) + 1))
    again.close()


@given(
    st.lists(
        st.tuples(
            st.sampled_from(get_args(EventKind)),
            st.sampled_from(["beans/soak", "beans/boil", "beans", "ring", "tea"]),
            st.integers(0, 1500),
        ),
        max_size=8,
    )
)
@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_a_restart_from_the_file_has_the_same_state(tmp_path_factory, happened) -> None:
    journal, clock = begin(tmp_path_factory.mktemp("cooks")), SimulatedClock(NOON)
    live = LiveSchedule(MENU, KITCHEN, clock, journal)
    live.apply(Event(NOON, "cook_started"))
    for kind, subject, number in happened:
        clock.advance(number / 2)
        event = Event(clock.now(), kind, subject, float(number))
        if kind in ("service_moved", "timer_set"):
            event = replace(event, value=clock.now() + number)
        live.apply(added(clock.now(), PEAS) if kind == "dish_added" else event)
    live.tick()
    before = live.snapshot()
    journal.close()
    again = Journal(journal.path)
    after = LiveSchedule(again.menu, again.kitchen, clock, again).snapshot()
    again.close()
    assert after.state == before.state
    assert (after.menu, after.steps) == (before.menu, before.steps)


def test_latest_unfinished_cook_of_this_menu_is_resumed(tmp_path: Path) -> None:
    for at in (NOON, NOON + 100, NOON + 200):
        journal = begin(tmp_path, at)
        journal.append([Event(at, "cook_started")])
        if at == NOON + 200:
            journal.end(at + 50)
        journal.close()
    found = resume("bean-night", tmp_path)
    assert found is not None
    assert found.read()[0].at == NOON + 100
    assert resume("bean", tmp_path) is None
    assert resume("bean-night", tmp_path, since=NOON + 150) is None


def test_two_cooks_begun_at_one_moment_do_not_share_a_file(tmp_path: Path) -> None:
    assert begin(tmp_path).path != begin(tmp_path).path


def test_a_cook_open_elsewhere_is_refused_in_words(tmp_path: Path) -> None:
    journal = begin(tmp_path)
    with pytest.raises(FileProblem, match="in use by another assistant"):
        Journal(journal.path)
    journal.append([Event(NOON, "cook_started")])  # the first is none the worse
    assert len(journal.read()) == 1


def test_a_damaged_cook_is_named_and_not_passed_over(tmp_path: Path) -> None:
    journal = begin(tmp_path)
    journal.close()
    journal.path.write_bytes(b"not a database at all" * 300)
    with pytest.raises(FileProblem, match="damaged; move it away") as caught:
        resume("bean-night", tmp_path)
    assert caught.value.path == str(journal.path)


def test_a_menu_that_no_longer_reads_is_a_damaged_cook(tmp_path: Path) -> None:
    journal = begin(tmp_path)
    journal.close()
    with sqlite3.connect(journal.path) as db:
        db.execute("""UPDATE cook SET menu = '{"name": 3}'""")
    db.close()
    with pytest.raises(FileProblem, match="damaged"):
        Journal(journal.path)


def test_a_cook_of_another_version_says_which(tmp_path: Path) -> None:
    journal = begin(tmp_path)
    journal.close()
    with sqlite3.connect(journal.path) as db:
        db.execute("PRAGMA user_version = 99")
    db.close()
    with pytest.raises(FileProblem, match="version 99"):
        Journal(journal.path)


def test_a_folder_that_cannot_be_made_is_refused_in_words(tmp_path: Path) -> None:
    (tmp_path / "cooks").write_text("in the way")
    with pytest.raises(FileProblem, match="cannot be written"):
        begin(tmp_path / "cooks")


def test_the_file_is_the_cooks_own(tmp_path: Path) -> None:
    assert begin(tmp_path).path.stat().st_mode & 0o077 == 0


COOK = """
    import sys, time
    from pathlib import Path
    from assistant.journal import Journal
    from scheduling.clock import RealClock
    from scheduling.events import Event
    from tests_menu import MENU, KITCHEN
    clock = RealClock()
    journal = Journal.create(MENU, KITCHEN, clock.anchor, Path(sys.argv[1]))
    for event in (
        Event(clock.now(), "cook_started"),
        Event(clock.now(), "began", "beans/soak"),
        Event(clock.now(), "longer", "beans/soak", 60.0),
    ):
        (stored,) = journal.append([event])
        print(stored.seq, stored.at, flush=True)  # acknowledged
    time.sleep(60)
"""


def test_a_cook_killed_midway_resumes_with_the_right_times_left(tmp_path: Path) -> None:
    here = Path(__file__)
    (tmp_path / "tests_menu.py").symlink_to(here)
    (tmp_path / "cook.py").write_text(textwrap.dedent(COOK))
    env = os.environ | {"PYTHONPATH": os.pathsep.join([str(here.parents[2]), str(tmp_path)])}
    process = subprocess.Popen(
        [sys.executable, "cook.py", str(tmp_path / "cooks")],
        cwd=tmp_path,
        env=env,
        stdout=subprocess.PIPE,
        text=True,
    )
    assert process.stdout is not None
    acknowledged = [process.stdout.readline().split() for _ in range(3)]
    process.send_signal(signal.SIGKILL)
    process.wait()
    process.stdout.close()

    journal = resume("bean-night", tmp_path / "cooks")
    assert journal is not None
    events = journal.read()
    assert [[str(e.seq), str(e.at)] for e in events] == acknowledged
    state = fold(journal.menu, events)
    began = state.steps["beans/soak"].began_at
    assert began is not None
    view = _view(state, began + 100)
    assert time_left(view, "beans/soak") == pytest.approx(600 + 60 - 100)


def test_a_live_cook_goes_on_from_its_file(tmp_path: Path) -> None:
    clock = SimulatedClock(NOON)
    journal = begin(tmp_path)
    live = LiveSchedule(MENU, KITCHEN, clock, journal)
    live.apply(Event(NOON, "cook_started", value=NOON + 2 * 3600))
    live.apply(Event(NOON, "began", "beans/soak"))
    clock.advance(100)
    live.tick()
    before = live.snapshot()
    journal.close()  # the process is gone; the file on the disk stays

    again = resume("bean-night", tmp_path)
    assert again is not None
    after = LiveSchedule(again.menu, again.kitchen, clock, again).snapshot()
    assert after.state == before.state
    assert after.timetable.slots == before.timetable.slots
    assert time_left(after, "beans/soak") == 500


def _view(state, now):
    from scheduling.compose import Timetable
    from scheduling.view import View

    steps = {step.key: step for step in MENU.steps}
    return View(MENU, KITCHEN, steps, state, Timetable({}, now, None, {}), now, now)
