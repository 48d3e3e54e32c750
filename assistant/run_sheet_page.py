"""Where everything of a run sheet stands on a page: lines in columns, time running down.

A page is divided into columns that are read one after the other. Each line is a move; beside the
lines run the lanes. All is laid out in ems, and the em is the largest that fits the page.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from prompt_toolkit.utils import get_cwidth

from assistant.run_sheet import Move, RunSheet
from assistant.run_sheet_text import wrap
from assistant.run_sheet_words import clock, length
from assistant.svg_shapes import BOLD, CHAR

LINE, UNDER, HEAD = 1.4, 1.0, 1.5  # heights in ems: of a line, of what is under it, of lane heads
TIME, LETTER, LENGTH = 4.1, 1.7, 3.1  # widths in ems
RING_LANE, OVEN_LANE, TRACK, LANE_GAP = 1.7, 2.6, 0.95, 0.45
SMALL = 0.8  # of an em: the type of what is under a line
_LONGEST_NAME = 30  # columns; a longer name is cut rather than make all others small
_SHORTEST_NAME = 20
_MOST_COLUMNS = 4
_SPREAD = 0.1  # of a column's height is kept to show how long the waits are
_MOST_SPREAD = 2.5  # ems added to one line at most, or an idle hour would fill a column
_SPREAD_S = 1200.0  # longer waits than that are drawn no longer


@dataclass(frozen=True)
class Row:
    """One line. move: None for service, a break and the present moment.

    under, marked: smaller lines beneath it; the latter are the words of a fixed mark.
    """

    at: float
    text: str
    move: Move | None = None
    under: tuple[str, ...] = ()
    marked: tuple[str, ...] = ()
    kind: str = "move"

    @property
    def ems(self) -> float:
        return LINE + UNDER * (len(self.under) + len(self.marked))


@dataclass(frozen=True)
class Column:
    """A stretch of the sheet: rows with the top of each, from left to right of x and width.

    from_at, to_at: the time it covers; the first column begins before all, the last never ends.
    """

    x: float
    width: float
    top: float
    bottom: float
    rows: tuple[Row, ...]
    tops: tuple[float, ...]
    to_at: float

    @property
    def from_at(self) -> float:
        return self.rows[0].at

    def y(self, at: float) -> float:
        """How far down a moment is; rows that begin at one moment share it, at the first's top."""
        knots = [*zip((row.at for row in self.rows), self.tops, strict=True)]
        knots.append((self.to_at, self.bottom))
        if at <= knots[0][0]:
            return self.tops[0]
        for (from_at, upper), (to_at, lower) in pairwise(knots):
            if from_at < at <= to_at:
                return upper + (lower - upper) * (at - from_at) / (to_at - from_at)
        return self.bottom


@dataclass(frozen=True)
class Page:
    """The page laid out. em: in the page's unit. lanes: offset of each dish's lane in a column.

    tracks: which of its dish's tracks a move takes, by its key; text: the width left for names.
    """

    em: float
    columns: tuple[Column, ...]
    lanes: dict[str, float]
    tracks: dict[str, int]
    ovens: dict[str, float]
    rings: float
    text: float


def laid_out(sheet: RunSheet, x: float, y: float, width: float, height: float) -> Page:
    """The sheet in this rectangle, with as many columns as make the type largest."""
    tracks = tracks_of(sheet.moves)
    lane_ems = _lane_ems(sheet, tracks)
    longest = max((get_cwidth(move.name) for move in sheet.moves), default=0)
    text_ems = min(max(longest, _SHORTEST_NAME), _LONGEST_NAME) * CHAR * BOLD + 0.2
    rows = list(rows_of(sheet, int((text_ems + LENGTH) / (SMALL * CHAR * BOLD))))
    column_ems = TIME + LETTER + text_ems + LENGTH + sum(lane_ems.values())
    choices = []
    for count in range(1, _MOST_COLUMNS + 1):
        parts = _parted(rows, count)
        gutter = 0.02 * width
        column_width = (width - gutter * (len(parts) - 1)) / len(parts)
        down = height * (1 - _SPREAD) / (HEAD + max(sum(row.ems for row in p) for p in parts))
        choices.append((min(down, column_width / column_ems), column_width, gutter, parts))
    em, column_width, gutter, parts = max(choices, key=lambda choice: choice[0])
    em = min(em, height / 24)  # a short menu does not shout
    ends = [*(part[0].at for part in parts[1:]), sheet.end_at + 1]
    columns = tuple(
        _column(part, x + i * (column_width + gutter), y, column_width, height, em, ends[i])
        for i, part in enumerate(parts)
    )
    offsets, right = {}, column_width
    for name, ems in reversed(lane_ems.items()):
        right -= ems * em
        offsets[name] = right
    return Page(
        em=em,
        columns=columns,
        lanes={lane.letter: offsets[lane.letter] for lane in sheet.lanes},
        tracks=tracks,
        ovens={spell.oven: offsets[f"oven {spell.oven}"] for spell in sheet.spells},
        rings=offsets["rings"],
        text=right - (TIME + LETTER + LENGTH) * em,
    )


def rows_of(sheet: RunSheet, columns: int) -> Iterator[Row]:
    """Every line of the sheet in order of time: moves, breaks, the present moment, service.

    columns: how long the smaller lines may be, in letters.
    """
    rows = []
    for move in sheet.moves:
        under, marked = (
            tuple(wrap(words, columns)) if words else ()
            for words in (", ".join(filter(None, (move.way, move.gate))), move.mark)
        )
        rows.append(Row(move.start_at, move.name, move, under, marked))
    now = sheet.now
    for start_at, end_at in sheet.breaks:
        if now is None or end_at > now:
            text = f"hands free for {length(end_at - start_at)}"
            rows.append(Row(start_at, text, kind="break"))
    if now is not None:
        rows.append(Row(now, f"now {clock(now)}", kind="now"))
    *courses, last = sheet.courses
    rows += [Row(course.at, course.short, kind="service") for course in courses]
    order = ("service", "move", "break", "now")  # what begins as a course is served comes after it
    yield from sorted(rows, key=lambda row: (row.at, order.index(row.kind)))
    yield Row(last.at, last.short, kind="service")


def tracks_of(moves: Sequence[Move]) -> dict[str, int]:
    """The first track of its dish that is free when a move starts, by the move's key."""
    tracks: dict[str, int] = {}
    until: dict[str, list[float]] = {}
    for move in moves:
        ends = until.setdefault(move.letter, [])
        free = next((i for i, end_at in enumerate(ends) if end_at <= move.start_at), len(ends))
        ends[free : free + 1] = [move.end_at]
        tracks[move.key] = free
    return tracks


def _lane_ems(sheet: RunSheet, tracks: dict[str, int]) -> dict[str, float]:
    """The width of each lane, in order from the left."""
    ems = {}
    for lane in sheet.lanes:
        own = [tracks[move.key] for move in sheet.moves if move.letter == lane.letter]
        ems[lane.letter] = TRACK * (max(own, default=0) + 1) + LANE_GAP
    ems |= {f"oven {spell.oven}": OVEN_LANE for spell in sheet.spells}
    return ems | {"rings": RING_LANE}


def _parted(rows: list[Row], count: int) -> list[list[Row]]:
    """The rows in at most `count` parts, so that the longest is as short as can be."""
    most = max(max(row.ems for row in rows), sum(row.ems for row in rows) / count)
    while True:
        parts: list[list[Row]] = [[]]
        for row in rows:
            if parts[-1] and sum(r.ems for r in parts[-1]) + row.ems > most + 1e-9:
                parts.append([])
            parts[-1].append(row)
        if len(parts) <= count:
            return parts
        most += UNDER / 4


def _column(
    rows: list[Row], x: float, y: float, width: float, height: float, em: float, to_at: float
) -> Column:
    """The rows placed; height that is left over goes to the longer waits."""
    waits = [
        min(after - row.at, _SPREAD_S)
        for row, after in zip(rows, [*(row.at for row in rows[1:]), to_at], strict=True)
    ]
    left = height - HEAD * em - sum(row.ems for row in rows) * em
    spread = max(0.0, left) / max(sum(waits), 1.0)
    tops, top = [], y + HEAD * em
    for row, wait in zip(rows, waits, strict=True):
        tops.append(top)
        top += row.ems * em + min(wait * spread, _MOST_SPREAD * em)
    return Column(x, width, y + HEAD * em, top, tuple(rows), tuple(tops), to_at)
