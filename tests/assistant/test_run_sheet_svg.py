"""The run sheet as a drawing."""

import re
from dataclasses import replace
from itertools import pairwise
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sheets import (
    KITCHEN,
    MENU,
    NAMES,
    crowd,
    in_courses,
    live,
    named,
    sheet,
    timetable,
    with_a_break,
)  # fmt: skip

from assistant.run_sheet import run_sheet
from assistant.run_sheet_svg import as_svg
from assistant.run_sheet_text import as_text
from assistant.run_sheet_words import clean

SVG = "{http://www.w3.org/2000/svg}"


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


@settings(max_examples=40, deadline=None)
@given(NAMES, NAMES, st.sampled_from(["a4", "16:9"]))
def test_any_name_gives_valid_xml(title, name, size):
    menu, plan = named(title, name)
    written = as_svg(run_sheet(menu, KITCHEN, plan), size)
    root = ET.fromstring(written.encode("utf-8"))
    told = " ".join(clean(name).split())
    titles = [text.text or "" for text in root.iter(f"{SVG}title")]
    assert any(told in text for text in titles)


def test_courses_are_lines_of_their_own():
    words = [text.text for text in drawn(in_courses(-3)).iter(f"{SVG}text")]
    assert {"18:33  serve: Roast roots", "18:36  service: Herbed barley"} <= set(words)
    assert drawn(in_courses(4)) is not None


def test_an_oven_is_named_short_where_its_lane_is_narrow():
    plan = timetable()
    slots = {k: replace(s, oven=s.oven and "small oven") for k, s in plan.slots.items()}
    words = {
        text.text
        for of in (plan, replace(plan, slots=slots))
        for text in drawn(run_sheet(MENU, KITCHEN, of)).iter(f"{SVG}text")
    }
    assert {"oven", "small"} <= words


def test_a_step_with_a_break_is_two_bars():
    assert len(bars(drawn(with_a_break()))) == len(bars(drawn(sheet()))) + 1
