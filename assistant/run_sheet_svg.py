"""The run sheet as SVG, for the wall and for a screen: time runs down, a line for every move.

Beside the lines each dish has its own upright lane, so that the list and the timeline are one.
Attention is told by shape and pattern, never by colour: solid for hands, striped for an eye,
outlined for what runs by itself.
"""

from dataclasses import replace
from datetime import datetime
from typing import Literal
from xml.etree import ElementTree as ET

from assistant import svg_shapes as svg
from assistant.run_sheet import Lane, Move, RunSheet
from assistant.run_sheet_lanes import FILLS, draw_badge, draw_lanes, draw_wait
from assistant.run_sheet_page import (
    LENGTH,
    LETTER,
    LINE,
    SMALL,
    TIME,
    UNDER,
    Column,
    Page,
    Row,
    laid_out,
)
from assistant.run_sheet_words import clock, length

Size = Literal["a4", "16:9"]

# ISO 216, landscape, in millimetres: the next size is taken where type would be too small.
_PAPER = ((297, 210), (420, 297), (594, 420), (841, 594), (1189, 841))
_LEAST_TYPE = 3.2  # millimetres, 9 point: what is read at arm's length; common practice
_SCREEN = (320, 180)
_LEGEND = (
    ("needs hands", "hands-on"),
    ("needs an eye", "watched"),
    ("runs by itself", "unattended"),
    ("on a ring", "ring"),
    ("in an oven", "oven"),
    ("waits for service", "waits"),
)
_KEY_ROOM = 24  # of a page 210 high, for the key to the lanes; its type shrinks to fit
_LAST_DONE = 3  # moves that a live screen still shows once they are done: our own choice


def as_svg(sheet: RunSheet, size: Size = "a4") -> str:
    """The sheet as one SVG document without outside references.

    "a4" is A4 landscape, or the first larger sheet of its series on which the type is still
    read at arm's length; "16:9" fills a screen of that shape, and leaves out what is long done.
    """
    if size == "16:9":
        done = sum(move.status == "done" for move in sheet.moves)
        root, _ = _drawn(_without_past(sheet), _SCREEN, ("1920", "1080"), done)
    for width, height in _PAPER if size == "a4" else ():
        root, page = _drawn(sheet, (width, height), (f"{width}mm", f"{height}mm"))
        if page.em >= _LEAST_TYPE:
            break
    ET.indent(root)
    return ET.tostring(root, encoding="unicode") + "\n"


def _without_past(sheet: RunSheet) -> RunSheet:
    """The sheet without what has long been done, so that what is to do is larger."""
    done = [move for move in sheet.moves if move.status == "done"]
    late = sorted(done, key=lambda move: move.end_at)[-_LAST_DONE:]
    moves = tuple(move for move in sheet.moves if move.status != "done" or move in late)
    return replace(sheet, moves=moves)


def _drawn(
    sheet: RunSheet, size: tuple[int, int], shown: tuple[str, str], done: int = 0
) -> tuple[ET.Element, Page]:
    """The sheet on a page. done: how many moves are, where they are not all shown."""
    width, height = size
    margin, foot = height * 0.042, height * 0.038
    root = _root(sheet, size, shown)
    svg.rect(root, 0, 0, width, height, svg.PAPER)
    top = _head(root, sheet, margin, width - margin, height / 210, done)
    page = laid_out(sheet, margin, top, width - 2 * margin, height - margin - foot - top)
    _striped(root, page.em)
    _legend(root, sheet, margin, height - margin + foot * 0.2, width - margin, foot * 0.62)
    for column in page.columns:
        draw_lanes(ET.SubElement(root, "g", {"aria-hidden": "true"}), sheet, page, column)
        lines, told = ET.SubElement(root, "g", {"role": "list"}), ""
        for row, row_top in zip(column.rows, column.tops, strict=True):
            item = ET.SubElement(lines, "g", {"role": "listitem"})
            time = clock(row.at)
            if row.kind in ("now", "service"):
                _banner(item, page, column, row, row_top)
            else:
                _line(item, sheet, page, column, row, row_top, "" if time == told else time)
            told = time
    return root, page


# --- the frame ----------------------------------------------------------------------------------


def _root(sheet: RunSheet, size: tuple[int, int], shown: tuple[str, str]) -> ET.Element:
    """The document with its title and description for those who do not see it."""
    attributes = {
        "xmlns": "http://www.w3.org/2000/svg",
        "viewBox": f"0 0 {size[0]} {size[1]}",
        "width": shown[0],
        "height": shown[1],
        "role": "graphics-document document",
        "aria-labelledby": "sheet-title sheet-desc",
        "xml:lang": "en",
        "font-family": svg.FONT,
        "fill": svg.INK,
    }
    root = ET.Element("svg", attributes)
    title = ET.SubElement(root, "title", {"id": "sheet-title"})
    title.text = f"Run sheet: {sheet.title}, service at {clock(sheet.service_at)}"
    desc = ET.SubElement(root, "desc", {"id": "sheet-desc"})
    desc.text = (
        f"{len(sheet.moves)} moves for {len(sheet.lanes)} dishes, in order of time, from "
        f"{clock(sheet.start_at)}. Beside them, how long each takes in the lane of its dish."
    )
    return root


def _striped(root: ET.Element, em: float) -> None:
    side = svg.number(em * 0.34)
    attributes = {
        "id": "striped",
        "width": side,
        "height": side,
        "patternUnits": "userSpaceOnUse",
        "patternTransform": "rotate(45)",
    }
    pattern = ET.SubElement(ET.SubElement(root, "defs"), "pattern", attributes)
    svg.rect(pattern, 0, 0, em * 0.34, em * 0.34, svg.PAPER)
    svg.rect(pattern, 0, 0, em * 0.17, em * 0.34)


def _head(
    root: ET.Element, sheet: RunSheet, left: float, right: float, unit: float, done: int
) -> float:
    """Title, service and the key to the lanes; returns where the columns may begin."""
    head, small = ET.SubElement(root, "g"), unit * 4.4
    before = right - unit * 15 * 3.3
    svg.text(head, right, left + unit * 11, clock(sheet.service_at), unit * 15, True, "end")
    svg.text(head, before, left + unit * 11, "service", unit * 6, anchor="end")
    room = before - left - unit * 30
    title = svg.cut(sheet.title, room, unit * 9.5, bold=True)
    svg.text(head, left, left + unit * 7.5, title, unit * 9.5, bold=True)
    day = datetime.fromtimestamp(round(sheet.service_at))
    parts = [f"for {sheet.servings}", sheet.kitchen, f"{day:%A} {day.day} {day:%B %Y}"]
    parts += [f"{done} moves done"] if done else []
    y = left + unit * 14
    svg.text(head, left, y, svg.cut(" · ".join(parts), room, small), small)
    for warning in (line for line in (sheet.late_line(), *sheet.missed) if line):
        y += unit * 6
        svg.text(head, left, y, svg.cut(warning, right - left, small, True), small, bold=True)
    while len(_key(sheet, right - left, small)) * small > unit * _KEY_ROOM:
        small *= 0.9
    y += unit * 3
    for lanes in _key(sheet, right - left, small):
        x, y = left, y + small * 1.5
        for lane, title in lanes:
            chip = small * (0.7 + 0.75 * len(lane.letter))
            svg.rect(head, x, y - small * 0.95, chip, small * 1.25)
            svg.text(head, x + chip / 2, y, lane.letter, small, True, "middle", svg.PAPER)
            svg.text(head, x + chip + small * 0.4, y, title, small)
            x += _key_width(lane, title, small)
    return y + unit * 4


def _key(sheet: RunSheet, width: float, em: float) -> list[list[tuple[Lane, str]]]:
    """Which letter is which dish, in as many lines as it takes."""
    lines: list[list[tuple[Lane, str]]] = [[]]
    left = width
    for lane in sheet.lanes:
        title = svg.cut(lane.title, min(width - em * 6, em * 24), em)
        wide = _key_width(lane, title, em)
        if lines[-1] and wide > left:
            lines.append([])
            left = width
        lines[-1].append((lane, title))
        left -= wide
    return lines


def _key_width(lane: Lane, title: str, em: float) -> float:
    return em * (2.1 + 0.75 * len(lane.letter)) + svg.width_of(title, em)


def _legend(
    root: ET.Element, sheet: RunSheet, left: float, y: float, right: float, em: float
) -> None:
    """What the shapes mean, in one line that fits the page."""
    group = ET.SubElement(root, "g")
    proven = "the best plan, proven" if sheet.proven else "the best plan found in time"
    ems = sum(svg.width_of(words, 1) + 2.8 for words, _ in _LEGEND) + svg.width_of(proven, 1)
    em = min(em, (right - left) / ems)
    x = left
    for words, shape in _LEGEND:
        if shape in FILLS:
            bar = svg.rect(group, x, y - em * 0.9, em * 1.1, em * 1.1, FILLS[shape])
            svg.outlined(bar, em * 0.12)
        elif shape == "waits":
            draw_wait(group, x + em * 0.55, y - em * 1.1, y + em * 0.3, em)
        else:
            draw_badge(group, x + em * 0.55, y - em * 0.36, em * 1.2, shape, svg.INK)
        svg.text(group, x + em * 1.6, y, words, em)
        x += em * 2.8 + svg.width_of(words, em)
    svg.text(group, right, y, proven, em, anchor="end")


# --- the lines ----------------------------------------------------------------------------------


def _line(
    item: ET.Element, sheet: RunSheet, page: Page, column: Column, row: Row, top: float, time: str
) -> None:
    """A move or a break. time: "" where the line above has the same."""
    em, base, move = page.em, top + page.em * 1.02, row.move
    left, names = column.x + em * 0.75, column.x + (TIME + LETTER) * em
    room = page.text + LENGTH * em
    faded = move is None or move.status == "done"
    fill = svg.FADED if faded else svg.INK
    if time:
        svg.text(item, left, base, time, em, True, fill=fill)
    if move is None:
        words = svg.text(item, names, base, svg.cut(row.text, room, em), em, fill=fill)
        words.set("font-style", "italic")
        return
    ET.SubElement(item, "title").text = _told(sheet, move)
    _status(item, column.x, base, em, move)
    svg.text(item, column.x + (TIME + 0.5) * em, base, move.letter, em, True, "middle", fill)
    bold = move.attention == "hands-on" and not faded
    svg.text(item, names, base, svg.cut(row.text, page.text, em, bold), em, bold, fill=fill)
    long = length(move.end_at - move.start_at)
    svg.text(item, names + room - em * 0.5, base, long, em * 0.78, anchor="end", fill=fill)
    y = base - em * 0.06
    for words_under in row.under:
        y += UNDER * em
        svg.text(item, names, y, svg.cut(words_under, room, em * SMALL), em * SMALL, fill=fill)
    for i, words_marked in enumerate(row.marked):
        y += UNDER * em
        if i == 0:
            x, middle, size = names - em * 0.75, y - em * 0.28, em * 0.4
            corners = ((0, -size), (size, 0), (0, size), (-size, 0))
            svg.polygon(item, ((x + a, middle + b) for a, b in corners), fill)
        marked = svg.cut(words_marked, room, em * SMALL, True)
        svg.text(item, names, y, marked, em * SMALL, True, fill=fill)


def _banner(item: ET.Element, page: Page, column: Column, row: Row, top: float) -> None:
    """The line of service, or the present moment, in white on black."""
    em, height = page.em, LINE * page.em * 0.9
    lanes = column.x + page.text + (TIME + LETTER + LENGTH) * em
    right, back = column.x + column.width, lanes - em * 0.4
    words = f"{clock(row.at)}  {row.text}" if row.kind == "service" else row.text
    words = svg.cut(words, back - column.x - em, em, True)
    svg.rect(item, column.x, top, back - column.x, height)
    svg.text(item, column.x + em * 0.75, top + em * 0.97, words, em, True, fill=svg.PAPER)
    if row.kind == "service":
        svg.line(item, (column.x, top), (right, top), em * 0.22)
        return
    middle = top + height / 2
    svg.line(item, (lanes, middle), (right, middle), em * 0.12)
    svg.polygon(item, ((back, top), (lanes + em * 0.1, middle), (back, top + height)))


def _status(item: ET.Element, x: float, base: float, em: float, move: Move) -> None:
    """A tick for what is done, an arrowhead for what is under way."""
    if move.status == "done":
        pairs = ((0.0, 0.35), (0.18, 0.12), (0.52, 0.7))
        points = svg.listed((x + a * em, base - b * em) for a, b in pairs)
        tick = ET.SubElement(item, "polyline", {"points": points, "fill": "none"})
        svg.outlined(tick, em / 9, svg.FADED)
    elif move.status == "running":
        pairs = ((0.0, 0.75), (0.55, 0.36), (0.0, -0.03))
        svg.polygon(item, ((x + a * em, base - b * em) for a, b in pairs))


def _told(sheet: RunSheet, move: Move) -> str:
    """The whole line in words, for a screen reader or a pointer."""
    lane = sheet.lane(move)
    parts = [f"{clock(move.start_at)} {move.name}", move.way, move.gate, lane.title if lane else ""]
    parts += [f"{move.attention}, {length(move.end_at - move.start_at)}", move.mark]
    parts += [{"done": "done", "running": "under way"}.get(move.status, "")]
    return "; ".join(part for part in parts if part)
