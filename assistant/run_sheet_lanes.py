"""The lanes of a drawn run sheet: bars of the dishes, temperatures of the ovens, rings in use."""

from xml.etree import ElementTree as ET

from assistant import svg_shapes as svg
from assistant.run_sheet import Move, RunSheet, Spell
from assistant.run_sheet_page import (
    LANE_GAP,
    LENGTH,
    LETTER,
    LINE,
    OVEN_LANE,
    RING_LANE,
    TIME,
    TRACK,
    Column,
    Page,
)

FILLS = {"hands-on": svg.INK, "watched": "url(#striped)", "unattended": svg.PAPER}


def draw_lanes(parent: ET.Element, sheet: RunSheet, page: Page, column: Column) -> None:
    """All lanes of one column: heads, leaders from the words, ovens, rings, and bars on top."""
    _heads(parent, sheet, page, column)
    for row, top in zip(column.rows, column.tops, strict=True):
        if row.move is not None:
            _leader(parent, page, column, row.move, top)
    for spell in sheet.spells:
        if spell.end_at > column.from_at and spell.start_at < column.to_at:
            _oven(parent, page, column, spell)
    _rings(parent, sheet, page, column)
    for lane in sheet.lanes:
        if lane.ready_at is not None and lane.ready_at < column.to_at:
            x = column.x + page.lanes[lane.letter] + (LANE_GAP + TRACK) / 2 * page.em
            top = column.y(max(lane.ready_at, column.from_at))
            draw_wait(parent, x, top, column.y(lane.serve_at), page.em)
    for move in sheet.moves:
        if not move.heats:
            _bar(parent, page, column, move)


def draw_badge(parent: ET.Element, x: float, y: float, em: float, use: str, fill: str) -> None:
    """A disc for a ring, a square for an oven, around a centre."""
    size = em * 0.25
    if use == "ring":
        numbers = {"cx": x, "cy": y, "r": size}
        shape = {name: svg.number(value) for name, value in numbers.items()}
        drawn = ET.SubElement(parent, "circle", {**shape, "fill": fill})
    else:
        drawn = svg.rect(parent, x - size, y - size, 2 * size, 2 * size, fill)
    if fill == svg.PAPER:
        svg.outlined(drawn, em * 0.12)


def draw_wait(parent: ET.Element, x: float, top: float, low: float, em: float) -> None:
    """Dots, for a dish that is ready and waits."""
    if low - top > em * 0.2:
        line = svg.line(parent, (x, top), (x, low), em * 0.16)
        line.set("stroke-dasharray", f"0 {svg.number(em * 0.36)}")
        line.set("stroke-linecap", "round")


def _heads(parent: ET.Element, sheet: RunSheet, page: Page, column: Column) -> None:
    em, y = page.em, column.top - 0.35 * page.em
    for lane in sheet.lanes:
        x = column.x + page.lanes[lane.letter] + (LANE_GAP + TRACK) / 2 * em
        small = em * min(1.0, 1.4 / len(lane.letter))
        svg.text(parent, x, y, lane.letter, small, bold=True, anchor="middle")
    for oven, offset in page.ovens.items():
        name = oven or "oven"
        if svg.width_of(name, em * 0.72) > OVEN_LANE * em:
            name = svg.cut(name.removesuffix(" oven"), OVEN_LANE * em, em * 0.72)
        x = column.x + offset + (OVEN_LANE + LANE_GAP) / 2 * em
        svg.text(parent, x, y, name, em * 0.72, anchor="middle")
    x = column.x + page.rings + (RING_LANE + LANE_GAP) / 2 * em
    svg.text(parent, x, y, "rings", em * 0.6, anchor="middle")
    rule = column.top - 0.1 * em
    svg.line(parent, (column.x, rule), (column.x + column.width, rule), em * 0.06)


def _leader(parent: ET.Element, page: Page, column: Column, move: Move, top: float) -> None:
    """The fine line from the words to the bar."""
    em = page.em
    left = column.x + (TIME + LETTER + LENGTH) * em + page.text - em * 0.35
    if move.heats:
        right = column.x + page.ovens[move.oven] + LANE_GAP * em
    else:
        track = LANE_GAP + TRACK * page.tracks[move.key]
        right = column.x + page.lanes[move.letter] + track * em
    y = top + LINE * em / 2
    line = svg.line(parent, (left, y), (right, y), em * 0.06, svg.RULE)
    line.set("stroke-dasharray", f"{svg.number(em * 0.06)} {svg.number(em * 0.16)}")


def _bar(parent: ET.Element, page: Page, column: Column, move: Move) -> None:
    """A move in its lane; one that runs on is taken up again at the top of the next column."""
    em = page.em
    pairs = zip(column.rows, column.tops, strict=True)
    own = next((top for row, top in pairs if row.move is move), None)
    if own is not None:
        top, low = own, max(column.y(move.end_at), own + LINE * em * 0.95)
    elif move.start_at < column.from_at < move.end_at:
        top, low = column.top, max(column.y(move.end_at), column.top + em * 0.3)
    else:
        return
    x = column.x + page.lanes[move.letter]
    x += (LANE_GAP + TRACK * page.tracks[move.key]) * em
    wide, gap = TRACK * em * 0.88, em * 0.08
    bar = svg.rect(parent, x, top + gap, wide, low - top - 2 * gap, FILLS[move.attention])
    svg.outlined(bar, em * 0.12)
    if move.status == "done":
        bar.set("opacity", "0.4")
        return
    use = "ring" if move.rings else "oven" if move.oven else ""
    if use and own is not None:
        inner = svg.INK if move.attention == "unattended" else svg.PAPER
        draw_badge(parent, x + wide / 2, top + em * 0.66, em, use, inner)


def _oven(parent: ET.Element, page: Page, column: Column, spell: Spell) -> None:
    """A stretch of an oven's lane: a wedge while it heats, then a band with its temperature."""
    em = page.em
    x = column.x + page.ovens[spell.oven] + LANE_GAP * em
    wide = (OVEN_LANE - LANE_GAP) * em
    top, hot, low = (column.y(at) for at in (spell.start_at, spell.hot_at, spell.end_at))
    svg.polygon(parent, ((x, top), (x, hot), (x + wide, hot)), svg.RULE)
    svg.outlined(svg.rect(parent, x, top, wide, low - top, "none"), em * 0.06)
    if column.rows[0].kind == "now" and hot == column.top:  # not beneath the line of the present
        hot += LINE * em
    figures = spell.degrees.split(" ")[0]
    if figures and low - hot > em and spell.hot_at < column.to_at:
        svg.text(parent, x + wide / 2, hot + em, f"{figures}°", em * 0.85, True, "middle")


def _rings(parent: ET.Element, sheet: RunSheet, page: Page, column: Column) -> None:
    """How many rings are on at each line, where that changes; white on black when it is all."""
    em, told = page.em, 0
    uses = [(move.start_at, move.end_at, move.rings) for move in sheet.moves if move.rings]
    ends = [*(row.at for row in column.rows[1:]), column.to_at]
    x = column.x + page.rings + (RING_LANE + LANE_GAP) / 2 * em
    for row, top, to_at in zip(column.rows, column.tops, ends, strict=True):
        moments = [row.at, *(start for start, _, _ in uses if row.at <= start < to_at)]
        on = max(sum(n for start, end, n in uses if start <= at < end) for at in moments)
        if on == told or row.kind in ("service", "now"):
            continue
        told, full = on, on >= sheet.rings
        if full:
            svg.rect(parent, x - em * 0.5, top + em * 0.12, em, em * 1.12)
        fill = svg.PAPER if full else svg.INK if on else svg.FADED
        svg.text(parent, x, top + em, str(on), em * 0.9, bool(on), "middle", fill)
