"""The run sheet as text, at any width and for any name."""

import re
from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st
from prompt_toolkit.utils import get_cwidth
from sheets import (
    KITCHEN,
    MENU,
    MINUTE,
    NAMES,
    SIX,
    in_courses,
    live,
    named,
    sheet,
    timetable,
    with_a_break,
)

from assistant.run_sheet import run_sheet
from assistant.run_sheet_text import as_text, wrap
from assistant.run_sheet_words import clean


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


def test_a_course_has_its_line_before_what_begins_as_it_is_served():
    lines = as_text(in_courses(-3), width=100).splitlines()
    at = lines.index("18:33  serve: Roast roots")
    assert "toss" in lines[at - 1]
    assert "fluff" in lines[at + 1]
    assert lines[-1] == "18:36  service: Herbed barley"
    assert "18:33: serve: Roast roots." in as_text(in_courses(-3), plain=True).splitlines()


def test_the_timeline_goes_on_to_the_last_course():
    # A cell is a minute: the barley's stroke is at 36, the roots wait from 33 until theirs at 40.
    text = as_text(in_courses(4), width=64)
    assert rows_named(text, "A Herbed").endswith(" ##" + "-" * 20 + "   #..|")
    assert rows_named(text, "B Roast").endswith("===.......|")
    assert text.splitlines()[-1] == "18:40  serve: Roast roots"


def test_a_break_leaves_the_hands_free():
    text = as_text(with_a_break(), width=64)
    assert rows_named(text, "B Roast").endswith(" ###  #####" + "-" * 20 + "===...|")
    assert re.search(r"^18:05 +5 min  #  B  go on: cut$", text, re.M)
