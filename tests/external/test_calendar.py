"""The calendar of a run sheet against the rules of RFC 5545, read from its octets alone.

The library that writes it is not asked: this is a reader of its own.
"""

import re
from dataclasses import replace

import pytest

from assistant.run_sheet import run_sheet
from assistant.run_sheet_calendar import as_calendar
from domain.cookbook import load_kitchen, load_menu, names
from scheduling.compose import Slot, Timetable, all_steps

START = 1_773_511_200.0  # 14 March 2026, 18:00 UTC

# RFC 5545, 3.1: contentline = name *(";" param) ":" value; name = 1*(ALPHA / DIGIT / "-")
CONTENT = re.compile(r"([A-Za-z0-9-]+)((?:;[A-Za-z0-9-]+=(?:\"[^\"]*\"|[^\";:,]*))*):(.*)", re.S)


@pytest.fixture(scope="module", params=names("menus"))
def octets(request) -> bytes:
    """A calendar of a sample menu, its steps one after the other, with names that need care."""
    menu = load_menu(request.param)
    kitchen = load_kitchen(menu.kitchen or "home")
    first = menu.dishes[0]
    odd = "Crème brûlée; “hot, sharp” \\ and 汉字料理" * 4
    menu = replace(menu, dishes=(replace(first, title=odd), *menu.dishes[1:]))
    slots, at = {}, START
    for step in all_steps(menu, kitchen):
        slots[step.key] = Slot(step.key, at, at + step.duration.likely_s, "cook", None)
        at += step.duration.likely_s
    sheet = run_sheet(menu, kitchen, Timetable(slots, at, None, {}))
    return as_calendar(sheet, made_at=START).encode("utf-8")


def unfolded(octets: bytes) -> list[tuple[str, str]]:
    """Content lines as (name, value), unfolded as section 3.1 says: CRLF and one blank go."""
    whole = re.sub(rb"\r\n[ \t]", b"", octets).decode("utf-8")
    lines = []
    for line in whole.removesuffix("\r\n").split("\r\n"):
        match = CONTENT.fullmatch(line)
        assert match, line
        lines.append((match[1].upper(), match[3]))
    return lines


def components(lines: list[tuple[str, str]], name: str) -> list[list[tuple[str, str]]]:
    """The properties of each component of that name, without those of components within."""
    found, depth = [], []
    for key, value in lines:
        if key == "BEGIN":
            depth.append(value)
            if value == name:
                found.append([])
        elif key == "END":
            assert depth.pop() == value  # 3.6: what begins last ends first
        elif depth and depth[-1] == name:
            found[-1].append((key, value))
    assert not depth
    return found


def count(properties: list[tuple[str, str]], name: str) -> int:
    return sum(key == name for key, _ in properties)


def test_lines_end_in_crlf_and_are_folded_at_75_octets(octets):
    # RFC 5545, 3.1: delimited by CRLF; "SHOULD NOT be longer than 75 octets, excluding the line
    # break"
    assert octets.endswith(b"\r\n")
    assert not re.search(rb"(?<!\r)\n|\r(?!\n)", octets)
    assert max(map(len, octets.split(b"\r\n"))) <= 75
    assert b"\r\n " in octets  # some are long enough to be folded


def test_no_fold_splits_a_letter(octets):
    # RFC 5545, 3.1 permits it, and asks implementations to beware of it; ours does not
    for line in octets.split(b"\r\n"):
        line.decode("utf-8")


def test_no_control_characters(octets):
    # RFC 5545, 3.1: VALUE-CHAR = WSP / %x21-7E / NON-US-ASCII
    assert not re.search(rb"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]", octets)


def test_the_calendar_has_what_it_must(octets):
    # RFC 5545, 3.4 and 3.6: one VCALENDAR; PRODID and VERSION required, once; a component
    lines = unfolded(octets)
    assert lines[0] == ("BEGIN", "VCALENDAR")
    assert lines[-1] == ("END", "VCALENDAR")
    (properties,) = components(lines, "VCALENDAR")
    assert count(properties, "PRODID") == count(properties, "VERSION") == 1
    assert ("VERSION", "2.0") in properties  # 3.7.4
    assert components(lines, "VEVENT")


def test_every_event_has_what_it_must(octets):
    # RFC 5545, 3.6.1: DTSTAMP and UID required, once; DTSTART too where there is no METHOD; the
    # others at most once; DTEND or DURATION, not both
    for properties in components(unfolded(octets), "VEVENT"):
        for name in ("DTSTAMP", "UID", "DTSTART"):
            assert count(properties, name) == 1
        for name in ("DTEND", "SUMMARY", "DESCRIPTION", "TRANSP", "CLASS", "STATUS", "SEQUENCE"):
            assert count(properties, name) <= 1
        assert count(properties, "DTEND") + count(properties, "DURATION") == 1


def test_times_are_utc_and_end_after_they_start(octets):
    # RFC 5545, 3.3.5, form 2: "19980119T070000Z"; 3.8.7.2: DTSTAMP in UTC; 3.8.2.2: DTEND later
    for properties in components(unfolded(octets), "VEVENT"):
        times = dict(properties)
        for name in ("DTSTAMP", "DTSTART", "DTEND"):
            assert re.fullmatch(r"\d{8}T([01]\d|2[0-3])[0-5]\d[0-5]\dZ", times[name])
        assert times["DTEND"] > times["DTSTART"]


def test_uids_are_unique(octets):
    # RFC 5545, 3.8.4.7: "MUST be a globally unique identifier"
    uids = [dict(event)["UID"] for event in components(unfolded(octets), "VEVENT")]
    assert len(uids) == len(set(uids))


def test_alarms_have_what_they_must(octets):
    # RFC 5545, 3.6.6, dispprop: ACTION, DESCRIPTION and TRIGGER, each once; 3.3.6: a duration
    alarms = components(unfolded(octets), "VALARM")
    assert alarms
    for properties in alarms:
        for name in ("ACTION", "DESCRIPTION", "TRIGGER"):
            assert count(properties, name) == 1
        assert dict(properties)["ACTION"] == "DISPLAY"
        assert dict(properties)["TRIGGER"] == "-PT1M"


def test_text_is_escaped(octets):
    # RFC 5545, 3.3.11: TEXT has no bare ";", "," or "\"; they are \; \, and \\, a line break \n
    for kind in ("VEVENT", "VALARM"):
        for properties in components(unfolded(octets), kind):
            for name, value in properties:
                if name in ("SUMMARY", "DESCRIPTION"):
                    assert re.fullmatch(r"(?:[^\\;,]|\\[\\;,nN])*", value)


def test_transparency_is_one_of_two(octets):
    # RFC 5545, 3.8.2.7: OPAQUE (the default) or TRANSPARENT
    for properties in components(unfolded(octets), "VEVENT"):
        assert dict(properties).get("TRANSP", "OPAQUE") in ("OPAQUE", "TRANSPARENT")
