"""The run sheet as a calendar, read back; and the command that writes it."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

from hypothesis import given, settings
from icalendar import Calendar
from sheets import (
    KITCHEN,
    MENU,
    MINUTE,
    NAMES,
    SERVICE,
    SIX,
    in_courses,
    live,
    named,
    sheet,
    timetable,
    with_a_break,
)

from assistant.cli import main
from assistant.run_sheet import run_sheet
from assistant.run_sheet_calendar import as_calendar
from assistant.run_sheet_words import clean


def read_back(made, made_at=SIX) -> Calendar:
    return Calendar.from_ical(as_calendar(made, made_at=made_at))


def event(calendar: Calendar, start: str):
    return next(e for e in calendar.events if str(e["summary"]).startswith(start))


def test_an_event_for_all_that_somebody_sets_about_and_for_service():
    summaries = [str(e["summary"]) for e in read_back(sheet()).events]
    assert sorted(summaries) == sorted(
        ["Set the oven to 200 °C", "Cut (Roast roots)", "Rinse (Herbed barley)",
         "Fluff (Herbed barley)", "Service: A small supper"]
    )  # fmt: skip


def test_an_event_has_its_times_in_utc_and_a_warning_a_minute_before():
    rinse = event(read_back(sheet(), SIX - 600), "Rinse")
    start = datetime.fromtimestamp(SIX + 480, UTC)
    assert rinse["dtstart"].dt == start
    assert rinse["dtstart"].dt.tzinfo is not None
    assert rinse["dtend"].dt == start + timedelta(minutes=2)
    assert rinse["dtstamp"].dt == datetime.fromtimestamp(SIX - 600, UTC)
    (alarm,) = rinse.walk("VALARM")
    assert alarm["trigger"].dt == timedelta(minutes=-1)
    assert str(alarm["action"]) == "DISPLAY"


def test_what_runs_by_itself_does_not_fill_the_cooks_time():
    calendar = read_back(sheet())
    assert str(event(calendar, "Set the oven")["transp"]) == "TRANSPARENT"
    assert "transp" not in event(calendar, "Rinse")


def test_uids_stay_when_the_plan_is_made_anew_and_differ_between_days():
    def uids(shift_s: float, made_at: float) -> set[str]:
        plan = timetable()
        moved = replace(plan, service_at=SERVICE + shift_s)
        events = read_back(run_sheet(MENU, KITCHEN, moved), made_at).events
        return {str(e["uid"]) for e in events}

    assert uids(0, SIX) == uids(600, SIX + 5)
    assert len(uids(0, SIX)) == 5
    assert not uids(0, SIX) & uids(7 * 86400, SIX)


def test_what_has_begun_no_longer_warns():
    calendar = read_back(live(9))
    assert not event(calendar, "Cut").walk("VALARM")
    assert not event(calendar, "Rinse").walk("VALARM")
    assert event(calendar, "Fluff").walk("VALARM")


@settings(max_examples=40, deadline=None)
@given(NAMES, NAMES)
def test_any_name_is_read_back_as_it_was_written(title, name):
    menu, plan = named(title, name)
    calendar = read_back(run_sheet(menu, KITCHEN, plan))
    summaries = [str(e["summary"]) for e in calendar.events]
    assert f"Service: {clean(title)}".strip() in [text.strip() for text in summaries]
    told = clean(name)
    told = told[:1].upper() + told[1:]
    assert f"{told} ({clean(title)})" in summaries


def test_the_plan_command_writes_a_calendar_to_a_file(tmp_path, capsys):
    target = tmp_path / "sheet.ics"
    asked = ["plan", "bench-half-hour", "--clock", "17:30", "--run-sheet", "ics", "-o", str(target)]
    assert main(asked) == 0
    assert capsys.readouterr().out == ""
    written = target.read_bytes()
    assert b"\r\n" in written
    assert b"\r\r\n" not in written
    assert event(Calendar.from_ical(written), "Service: Half an hour")


def test_a_file_that_cannot_be_written_is_named(tmp_path, capsys):
    target = tmp_path / "none" / "sheet.svg"
    assert main(["plan", "white-rice", "--run-sheet", "svg", "-o", str(target)]) == 1
    assert str(target) in capsys.readouterr().err


def test_a_course_is_an_event_of_its_own():
    calendar = read_back(in_courses(4))
    course = event(calendar, "Serve: Roast roots")
    assert course["dtstart"].dt == datetime.fromtimestamp(SERVICE + 240, UTC)
    assert "Herbed barley" in str(event(calendar, "Service: A small supper")["description"])
    assert "Roast roots" not in str(event(calendar, "Service: A small supper")["description"])


def test_each_part_of_a_step_with_a_break_is_an_event():
    calendar = read_back(with_a_break())
    again = event(calendar, "Go on: cut")
    assert again["dtstart"].dt == datetime.fromtimestamp(SIX + 5 * MINUTE, UTC)
    assert again["uid"] != event(calendar, "Cut")["uid"]
