"""The run sheet: what is on it, and that each way of writing it holds for any width and name."""

import re
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from icalendar import Calendar
from prompt_toolkit.utils import get_cwidth
from sheets import (
    ENDS,
    HEAT,
    KITCHEN,
    MENU,
    MINUTE,
    SERVICE,
    SIX,
    STARTS,
    named,
    timetable,
)

from assistant.cli import main
from assistant.run_sheet import clean, length, letter, run_sheet
from assistant.run_sheet_calendar import as_calendar
from assistant.run_sheet_page import laid_out
from assistant.run_sheet_svg import as_svg
from assistant.run_sheet_text import as_text, wrap
from domain.menu import Dish, Duration, Menu, Step, Use
from scheduling.compose import Progress, Slot, Timetable, plan_menu

PAN = Use("pan")
SVG = "{http://www.w3.org/2000/svg}"
ODD = st.text(st.characters(exclude_categories=[]), min_size=0, max_size=60)
AWKWARD = (
    "]]>&<!--", "\x1b[2Jgone", "汉字" * 30, "a" * 200, "e\u0301\u202eabc", "\ud800", "\x00", "",
)  # fmt: skip
NAMES = st.one_of(ODD, st.sampled_from(AWKWARD))


def sheet(**more):
    return run_sheet(MENU, KITCHEN, timetable(), **more)


def live(minutes: float):
    """The sheet at a moment, all having gone as planned."""
    now = SIX + minutes * MINUTE
    times = {k: (SIX + s * MINUTE, SIX + (s + long) * MINUTE) for k, (s, long) in STARTS.items()}
    done = {key: pair for key, pair in times.items() if pair[1] <= now}
    running = {key: pair for key, pair in times.items() if pair[0] <= now < pair[1]}
    progress = Progress(done=done, running=running, started_at=SIX)
    return run_sheet(MENU, KITCHEN, timetable(), progress=progress, now=now)


def move(of, key):
    return next(m for m in of.moves if m.step.key == key)


# --- what is on it ------------------------------------------------------------------------------


def test_every_slot_is_a_move_in_order_of_time():
    moves = sheet().moves
    assert {m.step.key for m in moves} == set(STARTS)
    assert [m.start_at for m in moves] == sorted(m.start_at for m in moves)


def test_a_moves_lane_gate_mark_and_oven():
    made = sheet()
    assert made.lane(move(made, "barley/simmer")).title == "Herbed barley"
    assert move(made, "barley/simmer").gate == "until it is tender"
    assert move(made, "roots/cut").mark == "Show it."
    assert move(made, "roots/toss").rings == 2
    assert move(made, HEAT).name == "set the oven to 200 °C"
    assert made.lane(move(made, HEAT)) is None


def test_who_must_set_something_going():
    made = sheet()
    begun = {m.step.key for m in made.moves if m.begins}
    assert begun == {HEAT, "roots/cut", "barley/rinse", "barley/fluff"}


def test_an_oven_spell_lasts_until_nothing_bakes_at_it():
    (spell,) = sheet().spells
    assert (spell.start_at, spell.hot_at, spell.end_at) == (SIX, SIX + 600, SIX + 1800)
    assert spell.degrees == "200 °C"
    (spell,) = sheet(units="us").spells
    assert spell.degrees == "400 °F"


def test_hands_are_free_between_the_last_and_the_next_thing_that_needs_a_cook():
    assert sheet().breaks == ((SIX + 10 * MINUTE, SIX + 30 * MINUTE),)


def test_live_times_and_standing_take_the_place_of_the_plan():
    progress = Progress(done={"roots/cut": (SIX - 60, SIX + 60)}, skipped=frozenset({HEAT}))
    made = run_sheet(MENU, KITCHEN, timetable(), progress=progress, now=SIX + 90)
    assert move(made, "roots/cut").status == "done"
    assert move(made, "roots/cut").start_at == SIX - 60
    assert HEAT not in {m.step.key for m in made.moves}


def test_a_dropped_dish_leaves_the_sheet_and_letters_stay():
    progress = Progress(dropped=frozenset({"barley"}))
    made = run_sheet(MENU, KITCHEN, timetable(), progress=progress)
    assert [(lane.letter, lane.name) for lane in made.lanes] == [("B", "roots")]
    assert all(m.step.dish != "barley" for m in made.moves)


def test_late_service_is_told():
    made = run_sheet(MENU, KITCHEN, timetable(late_s=600, missed=("The rice stands too long.",)))
    for written in (as_text(made), as_text(made, plain=True), as_svg(made)):
        assert "Not by 18:26: 18:36 is the earliest." in written
        assert "The rice stands too long." in written


@pytest.mark.parametrize(
    ("seconds", "told"),
    [(45, "45 s"), (60, "1 min"), (90, "90 s"), (150, "2½ min"), (490, "8 min"), (5400, "90 min")],
)
def test_lengths(seconds, told):
    assert length(seconds) == told


def test_letters_go_on_after_z():
    assert [letter(i) for i in (0, 25, 26, 27, 701, 702)] == ["A", "Z", "AA", "AB", "ZZ", "AAA"]


@given(ODD)
def test_cleaned_text_is_one_printable_line(text):
    kept = clean(text)
    kept.encode("utf-8")
    assert "\n" not in kept
    assert "\x1b" not in kept
    assert clean(kept) == kept


# --- text ---------------------------------------------------------------------------------------


def rows_named(text: str, label: str) -> str:
    return next(line for line in text.splitlines() if line.startswith(label))


def test_the_timeline_shows_each_dish_the_hands_the_rings_and_the_oven():
    text = as_text(sheet(), width=64)
    # A cell is a minute here: 36 minutes and the stroke of service.
    assert rows_named(text, "A Herbed").endswith(" ##" + "-" * 20 + "   #..|")
    assert rows_named(text, "B Roast").endswith(" ########  " + "-" * 20 + "===...|")
    assert rows_named(text, "hands").endswith("##########" + " " * 20 + "===#  |")
    assert rows_named(text, "rings").endswith("1" * 20 + "222   |")
    assert rows_named(text, "oven").endswith("~" * 10 + " 200 °C " + "-" * 12 + "      |")


def test_the_list_has_every_move_and_service():
    text = as_text(sheet(), width=100)
    assert re.search(r"^18:10 +20 min  -  A  simmer, until it is tender  \[ring\]$", text, re.M)
    assert re.search(r"^18:00 +8 min  #  B  cut  \* Show it\.$", text, re.M)
    assert text.splitlines()[-1] == "18:36  service"


def test_a_live_sheet_marks_the_present():
    text = as_text(live(12), width=100)
    assert re.search(r"^ *\^ now 18:12$", text, re.M)
    assert re.search(r"^18:00  done +8 min  #  B  cut", text, re.M)
    assert re.search(r"^18:10  now +20 min  -  A  simmer", text, re.M)
    lines = text.splitlines()
    now = lines.index("18:12  ------- now")
    assert "simmer" in lines[now - 1] or "roast" in lines[now - 1]
    assert "toss" in lines[now + 1]


def test_the_plain_sheet_is_sentences_without_drawing():
    text = as_text(live(12), width=200, plain=True)
    assert not re.search(r"[#=|~]{2}", text)
    assert (
        "18:10: simmer, until it is tender, Herbed barley, unattended, 20 minutes, on a ring, "
        "under way." in text.splitlines()
    )
    assert "18:12: now." in text.splitlines()
    assert text.endswith("18:36: service.")


def test_two_cooks_have_a_row_each():
    kitchen = replace(KITCHEN, cooks=("Ana", "Bo"))
    plan = timetable()
    slots = {
        key: replace(slot, cook="Bo" if key == "barley/rinse" else slot.cook and "Ana")
        for key, slot in plan.slots.items()
    }
    text = as_text(run_sheet(MENU, kitchen, replace(plan, slots=slots)), width=64)
    assert rows_named(text, "Ana").count("#") == 9
    assert rows_named(text, "Bo").count("#") == 2
    assert "rinse  (Bo)" in text


@settings(max_examples=60, deadline=None)
@given(
    st.integers(0, 220),
    NAMES,
    NAMES,
    st.booleans(),
    st.sampled_from([None, -90.0, 0.0, 12.0, 500.0]),
)
def test_no_line_is_wider_than_asked_for(width, title, name, plain, minutes):
    menu, plan = named(title, name)
    now = None if minutes is None else SIX + minutes * MINUTE
    text = as_text(run_sheet(menu, KITCHEN, plan, now=now), width=width, plain=plain)
    assert max(get_cwidth(line) for line in text.split("\n")) <= max(width, 24)
    seen = set(text) - set("\n\u200c\u200d")  # joiners belong to words
    assert all(char.isprintable() for char in seen)


@given(NAMES.map(clean), st.integers(4, 60), st.integers(0, 30))
def test_wrapping_loses_no_letter(text, width, indent):
    rows = wrap(text, width, indent)
    assert "".join("".join(rows).split()) == "".join(text.split())


@settings(max_examples=40, deadline=None)
@given(st.floats(60, 400_000), st.integers(30, 200))
def test_a_timeline_of_any_length_fits(span_s, width):
    plan = timetable()
    made = run_sheet(MENU, KITCHEN, replace(plan, service_at=SIX + span_s))
    assert max(map(len, as_text(made, width=width).split("\n"))) <= width


# --- SVG ----------------------------------------------------------------------------------------


def drawn(made, size="a4") -> ET.Element:
    return ET.fromstring(as_svg(made, size))


def test_a4_landscape_and_a_screen():
    assert drawn(sheet()).attrib["viewBox"] == "0 0 297 210"
    assert drawn(sheet()).attrib["width"] == "297mm"
    assert drawn(sheet(), "16:9").attrib["viewBox"] == "0 0 320 180"


def test_the_drawing_has_a_title_a_description_and_text_as_text():
    root = drawn(sheet())
    assert root.find(f"{SVG}title").text == "Run sheet: A small supper, service at 18:36"
    assert "7 moves for 2 dishes" in root.find(f"{SVG}desc").text
    words = {text.text for text in root.iter(f"{SVG}text")}
    assert {"cut", "rinse", "simmer", "set the oven to 200 °C", "18:36", "Show it."} <= words
    assert {"Herbed barley", "Roast roots", "200°"} <= words


def test_the_drawing_refers_to_nothing_outside():
    written = as_svg(live(12))
    urls = re.findall(r"url\((.*?)\)", written)
    assert set(urls) == {"#striped"}
    assert re.findall(r"https?://[^\"]*", written) == ["http://www.w3.org/2000/svg"]
    assert not re.search(r"href|<script|<style|<image|@import", written)


def bars(root: ET.Element) -> list[ET.Element]:
    """The rectangles that are outlined and filled, in the lanes."""
    lanes = [g for g in root.iter(f"{SVG}g") if g.get("aria-hidden")]
    return [
        r for g in lanes for r in g.iter(f"{SVG}rect")
        if r.get("stroke") and r.get("fill") != "none" and float(r.get("height")) > 2
    ]  # fmt: skip


def test_attention_is_told_by_pattern_and_all_is_grey():
    root = drawn(sheet())
    fills = {bar.get("fill") for bar in bars(root)}
    assert fills == {"#111111", "#ffffff", "url(#striped)"}
    for colour in re.findall(r"#[0-9a-fA-F]{6}", as_svg(live(12))):
        assert colour[1:3] == colour[3:5] == colour[5:7]


def test_ink_on_paper_has_the_contrast_that_wcag_asks_of_text():
    # WCAG 2.2, success criterion 1.4.3: at least 4.5:1, by its relative luminance
    def luminance(colour: str) -> float:
        value = int(colour[1:3], 16) / 255
        return value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4

    texts = [t.get("fill", "#111111") for t in drawn(live(20)).iter(f"{SVG}text")]
    for dark in set(texts) - {"#ffffff"}:  # white stands on ink
        assert 1.05 / (luminance(dark) + 0.05) >= 4.5


def test_a_live_drawing_marks_what_is_done_and_the_present():
    root = drawn(live(12))
    assert "now 18:12" in {text.text for text in root.iter(f"{SVG}text")}
    titles = [title.text for title in root.iter(f"{SVG}title")]
    assert any("cut" in t and t.endswith("done") for t in titles)
    assert any("simmer" in t and t.endswith("under way") for t in titles)
    assert "now 18:12" not in {text.text for text in drawn(sheet()).iter(f"{SVG}text")}


def crowd(dishes: int) -> tuple[Menu, Timetable]:
    """So many dishes of four steps each, a minute apart."""
    made, slots = [], {}
    for i in range(dishes):
        kinds = ("hands-on", "watched", "unattended", "hands-on")
        steps = tuple(
            Step(f"step {j}", f"d{i}", "Do.", Duration(300, 300, 300), kind)
            for j, kind in enumerate(kinds)
        )
        for j, one in enumerate(steps):
            start_at = SIX + 60.0 * i + 400.0 * j
            slots[one.key] = Slot(one.key, start_at, start_at + 300, "cook")
        made.append(Dish(f"d{i}", f"Dish {i}", 4, 600, (), steps))
    service_at = max((slot.end_at for slot in slots.values()), default=SIX)
    return Menu("many", "Many", 4, tuple(made)), Timetable(slots, service_at, None, {})


def name_sizes(root: ET.Element) -> list[float]:
    texts = [t for t in root.iter(f"{SVG}text") if re.fullmatch(r"step \d", t.text)]
    return [float(text.get("font-size")) for text in texts]


@pytest.mark.parametrize(("dishes", "paper"), [(1, "297mm"), (6, "297mm"), (30, "841mm")])
def test_more_dishes_take_a_larger_sheet_rather_than_small_type(dishes, paper):
    menu, plan = crowd(dishes)
    root = drawn(run_sheet(menu, KITCHEN, plan))
    assert root.attrib["width"] == paper
    assert min(name_sizes(root)) >= 3.2  # millimetres


@pytest.mark.parametrize("size", ["a4", "16:9"])
@pytest.mark.parametrize("dishes", [1, 6, 100])
def test_all_moves_are_on_the_page(dishes, size):
    menu, plan = crowd(dishes)
    root = drawn(run_sheet(menu, KITCHEN, plan), size)
    left, top, right, low = map(float, root.attrib["viewBox"].split())
    assert len(name_sizes(root)) == 4 * dishes
    for text in root.iter(f"{SVG}text"):
        assert left <= float(text.get("x")) <= right
        assert top <= float(text.get("y")) <= low
        assert float(text.get("font-size")) > 0


def test_a_sheet_with_nothing_on_it_is_still_a_sheet():
    menu, plan = crowd(0)
    empty = run_sheet(menu, KITCHEN, plan)
    assert "service" in as_text(empty)
    assert "service" in {text.text for text in drawn(empty).iter(f"{SVG}text")}


def test_bars_of_one_track_do_not_overlap():
    menu, plan = crowd(6)
    groups: dict[str, list[tuple[float, float]]] = {}
    for bar in bars(drawn(run_sheet(menu, KITCHEN, plan))):
        top = float(bar.get("y"))
        groups.setdefault(bar.get("x"), []).append((top, top + float(bar.get("height"))))
    assert sum(map(len, groups.values())) >= 24
    for spans in groups.values():
        spans.sort()
        assert all(low <= top for (_, low), (top, _) in pairwise(spans))


@settings(max_examples=30, deadline=None)
@given(st.lists(st.floats(0, 7200), min_size=2, max_size=8))
def test_time_never_runs_up_the_page(moments):
    menu, plan = crowd(7)
    page = laid_out(run_sheet(menu, KITCHEN, plan), 0, 0, 280, 160)
    for column in page.columns:
        downs = [column.y(SIX + at) for at in sorted(moments)]
        assert downs == sorted(downs)
        assert column.bottom <= 160 + 1e-6


@settings(max_examples=40, deadline=None)
@given(NAMES, NAMES, st.sampled_from(["a4", "16:9"]))
def test_any_name_gives_valid_xml(title, name, size):
    menu, plan = named(title, name)
    written = as_svg(run_sheet(menu, KITCHEN, plan), size)
    root = ET.fromstring(written.encode("utf-8"))
    told = " ".join(clean(name).split())
    titles = [text.text or "" for text in root.iter(f"{SVG}title")]
    assert any(told in text for text in titles)


# --- calendar -----------------------------------------------------------------------------------


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


def test_the_dishes_ready_times_are_those_of_the_plan():
    assert {lane.name: lane.ready_at for lane in sheet().lanes} == ENDS


# --- the command --------------------------------------------------------------------------------


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


def test_washing_up_stands_in_the_lane_of_the_dish_that_leaves_it() -> None:
    ten = Duration(600, 600, 600)
    dishes = tuple(
        Dish(d, d.title(), 4, 900, (), (Step("fry", d, f"Fry the {d}.", ten, "watched", (PAN,)),))
        for d in ("leeks", "mushrooms")
    )
    menu = Menu("supper", "Supper", 4, dishes, wash_up={"pan": 120})
    kitchen = replace(KITCHEN, equipment={"pan": 1})
    made = plan_menu(menu, kitchen, now=SIX, wanted_at=None)
    assert isinstance(made, Timetable)
    of = run_sheet(menu, kitchen, made)
    first, wash, _ = of.moves
    assert (wash.say, wash.letter) == ("Wash the pan.", first.letter)
    assert f"wash the pan after {first.step.dish}" in as_text(of)
    assert "wash the pan" in as_svg(of)
