"""Times of day where clocks change, and a cook on such a night.

The zones are written with their rules (POSIX), as Europe/London and America/New_York have them
in 2026: on from 01:00 UTC on 29 March to 01:00 UTC on 25 October; on from 02:00 EST on 8 March to
02:00 EDT on 1 November.
"""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from icalendar import Calendar
from kitchen import kitchen

from assistant import wiring
from assistant.answer_time import clock_moment
from assistant.journal import Journal, resume
from assistant.meaning import AmountHeard
from assistant.run_sheet import run_sheet
from assistant.run_sheet_calendar import as_calendar
from assistant.wall_clock import next_shown
from scheduling.clock import Anchor, SimulatedClock
from scheduling.events import Event
from scheduling.live_schedule import LiveSchedule
from scheduling.queries import service_at, time_left
from scheduling.replanning import SolvingPlanner

LONDON = "GMT0BST,M3.5.0/1,M10.5.0"
NEW_YORK = "EST5EDT,M3.2.0,M11.1.0"


def utc(written: str) -> float:
    return datetime.fromisoformat(written).replace(tzinfo=UTC).timestamp()


@pytest.mark.parametrize(
    ("zone", "now", "shown", "at"),
    [
        # Clocks go forward meanwhile: half past seven is an hour nearer.
        (LONDON, "2026-03-28 22:00", "07:30", "2026-03-29 06:30"),
        (NEW_YORK, "2026-03-08 03:00", "07:30", "2026-03-08 11:30"),
        # 01:30 is not shown that night: counted as if the clocks had not gone.
        (LONDON, "2026-03-29 00:50", "01:30", "2026-03-29 01:30"),
        (NEW_YORK, "2026-03-08 06:50", "02:30", "2026-03-08 07:30"),
        (LONDON, "2026-03-28 22:00", "01:30", "2026-03-29 01:30"),
        # They have gone, it is 02:10: tomorrow's is meant.
        (LONDON, "2026-03-29 01:10", "01:30", "2026-03-30 00:30"),
        # Clocks go back meanwhile: half past seven is an hour farther.
        (LONDON, "2026-10-24 21:00", "07:30", "2026-10-25 07:30"),
        (NEW_YORK, "2026-11-01 02:00", "07:30", "2026-11-01 12:30"),
        # 01:30 is shown twice: the first time that is still to come.
        (LONDON, "2026-10-25 00:10", "01:30", "2026-10-25 00:30"),
        (LONDON, "2026-10-25 00:45", "01:30", "2026-10-25 01:30"),
        (LONDON, "2026-10-25 01:10", "01:30", "2026-10-25 01:30"),
        (LONDON, "2026-10-25 01:45", "01:30", "2026-10-26 01:30"),
        (NEW_YORK, "2026-11-01 05:10", "01:30", "2026-11-01 05:30"),
        (NEW_YORK, "2026-11-01 05:45", "01:30", "2026-11-01 06:30"),
        # Now is next.
        (LONDON, "2026-10-25 01:30", "01:30", "2026-10-25 01:30"),
    ],
)
def test_a_time_of_day_around_a_change(wall_clock, zone, now, shown, at):
    wall_clock(zone)
    hour, minute = map(int, shown.split(":"))
    assert next_shown(hour, minute, utc(now)) == utc(at)
    assert wiring.next_moment(shown, utc(now)) == utc(at)
    heard = AmountHeard(shown, shown, None, None, "clock", 0, len(shown))
    assert clock_moment(heard, utc(now)) == utc(at)


@given(st.integers(0, 366 * 24 * 60), st.integers(0, 23), st.integers(0, 59))
@settings(max_examples=300, deadline=None)
def test_the_next_time_is_shown_and_none_before_it_is(minutes, hour, minute):
    """Whatever zone this runs in, by trying every minute of the next day and an hour."""
    now = utc("2026-01-01 00:00") + minutes * 60
    at = next_shown(hour, minute, now)

    def shows(moment):
        here = datetime.fromtimestamp(moment)
        return (here.hour, here.minute) == (hour, minute)

    if shows(at):
        assert next(now + m * 60 for m in range(25 * 60 + 1) if shows(now + m * 60)) == at
    else:
        assert not any(shows(now + m * 60) for m in range(round((at - now) / 60)))


def test_a_cook_goes_on_evenly_while_the_clocks_go_forward(wall_clock):
    wall_clock(LONDON)
    here = kitchen(start=utc("2026-03-29 00:40"))
    assert here.ask("when_eat").shown == "We eat at 02:43, in 1 h 3 min."  # after 00:59 comes 02:00
    here.ask("timer_set", "set a timer for thirty minutes")
    here.clock.advance(25 * 60)
    assert here.ask("what_time").shown == "It is 02:05."
    assert here.ask("timer_left", "timers").shown == "Timers: timer, 5 min."
    moved = here.ask("move_service", "let's eat at half past three")
    assert [event.value for event in moved.events] == [utc("2026-03-29 02:30")]


def test_a_run_sheet_in_the_night_of_a_change_has_the_right_moments(wall_clock):
    wall_clock(LONDON)
    here = kitchen(start=utc("2026-10-25 00:20"))
    view = here.live.snapshot()
    made = run_sheet(view.menu, view.kitchen, view.timetable)
    events = Calendar.from_ical(as_calendar(made, made_at=view.now)).events
    moves = [move for move in made.moves if move.begins]
    assert len(events) == len(moves) + 1
    for move, event in zip(moves, events, strict=False):
        assert event["dtstart"].dt == datetime.fromtimestamp(round(move.start_at), UTC)
        assert event["dtend"].dt - event["dtstart"].dt == timedelta(
            seconds=round(move.end_at) - round(move.start_at)
        )
    assert events[-1]["dtstart"].dt.timestamp() == view.timetable.service_at
    # 01:20 in summer time, and service 63 minutes on, when it is 01:23 once more
    assert datetime.fromtimestamp(view.timetable.service_at).strftime("%H:%M") == "01:23"


@pytest.mark.parametrize(
    ("before", "after"),
    [("2026-03-29 00:50", "2026-03-29 01:10"), ("2026-10-25 00:50", "2026-10-25 01:10")],
)
def test_a_restart_across_the_change_has_the_right_times_left(wall_clock, tmp_path, before, after):
    wall_clock(LONDON)
    small = kitchen()
    menu, place = small.live.snapshot().menu, small.live.snapshot().kitchen
    clock = SimulatedClock(utc(before))
    journal = Journal.create(menu, place, Anchor(clock.now(), 0.0, ""), tmp_path)
    live = LiveSchedule(menu, place, clock, journal, SolvingPlanner())
    live.apply(Event(clock.now(), "cook_started", value=None))
    live.apply(Event(clock.now(), "timer_set", "tea", clock.now() + 1800))
    running = next(s.key for s in live.snapshot().running() if s.attention == "unattended")
    left, promised = time_left(live.snapshot(), running), service_at(live.snapshot())
    journal.close()
    again = resume(menu.name, tmp_path, utc(before) - 60)
    assert again is not None
    view = LiveSchedule(menu, place, SimulatedClock(utc(before)), again).snapshot()
    assert (time_left(view, running), service_at(view)) == (left, promised)
    again.close()
    again = resume(menu.name, tmp_path, utc(before) - 60)
    later = LiveSchedule(menu, place, SimulatedClock(utc(after)), again).snapshot()
    assert later.state.timers["tea"].ends_at - later.now == 600
    assert later.state.steps[running].ended_at == utc(before) + left  # heated within the gap
    again.close()
