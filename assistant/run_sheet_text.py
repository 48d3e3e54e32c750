"""The run sheet as text for a terminal: a timeline of plain characters, and the moves in order."""

from collections.abc import Iterable, Iterator
from datetime import datetime

from prompt_toolkit.utils import get_cwidth

from assistant.run_sheet import Move, RunSheet, Serving
from assistant.run_sheet_words import clock, length

SIGNS = {"hands-on": "#", "watched": "=", "unattended": "-"}
NARROWEST = 24  # columns; a narrower terminal is written to as if it were this wide
_FEWEST_CELLS = 24  # a shorter timeline tells nothing
_CELL_S = (15, 20, 30, 45, 60, 90, 120, 180, 240, 300, 600, 900, 1800, 3600)
_TICK_S = (300, 600, 900, 1800, 3600, 7200, 14400, 28800)
_WAITS = "."
_LEGEND = (
    "# hands-on",
    "= watched",
    "- unattended",
    ". waits for service",
    "~ oven heats",
    "| service",
)
_NO_BREAK = "\N{NO-BREAK SPACE}"


def as_text(sheet: RunSheet, *, width: int = 80, plain: bool = False) -> str:
    """The sheet in lines of at most `width` columns (24 at the least).

    plain: only the list, in sentences, for a screen reader.
    """
    width = max(width, NARROWEST)
    lines = [*_head(sheet), ""]
    if not plain:
        lines += [*_timeline(sheet, width), ""]
    wrapped = [row.replace(_NO_BREAK, " ") for line in lines for row in wrap(line, width)]
    for line, indent in _told(sheet) if plain else _listed(sheet):
        wrapped += wrap(line, width, indent)
    return "\n".join(row.rstrip() for row in wrapped)


def _head(sheet: RunSheet) -> Iterator[str]:
    proven = "proven best" if sheet.proven else "the best found in the time given"
    yield f"{sheet.title}, for {sheet.servings}, in {sheet.kitchen}"
    yield f"Service at {clock(sheet.service_at)} ({proven})"
    if sheet.late_line():
        yield sheet.late_line()
    yield from sheet.why
    yield from sheet.missed


# --- the list -----------------------------------------------------------------------------------


def _listed(sheet: RunSheet) -> Iterator[tuple[str, int]]:
    """The moves as a table; each line with how far its further lines are set in."""
    wide = max((len(lane.letter) for lane in sheet.lanes), default=1)
    for at, move in _in_order(sheet):
        if move is None:
            yield f"{clock(at)}  ------- now", 7
            continue
        if isinstance(move, Serving):
            yield f"{clock(at)}  {move.name}", 7
            continue
        state = {"done": "done", "running": "now", "waiting": ""}[move.status]
        column = f"{state:4}  " if sheet.now is not None else ""
        lead = f"{clock(at)}  {column}{length(move.end_at - move.start_at):>7}  "
        lead += f"{SIGNS[move.attention]}  {move.letter:{wide}}  "
        yield lead + "".join(_words(sheet, move)), len(lead)


def _words(sheet: RunSheet, move: Move) -> Iterator[str]:
    yield move.name
    if move.way:
        yield f", {move.way}"
    if move.gate:
        yield f", {move.gate}"
    where = ["ring"] * bool(move.rings) + [move.oven] * bool(move.oven and not move.heats)
    if where:
        yield f"  [{', '.join(where)}]"
    if move.cook and len(sheet.cooks) > 1:
        yield f"  ({move.cook})"
    if move.mark:
        yield f"  * {move.mark}"


def _told(sheet: RunSheet) -> Iterator[tuple[str, int]]:
    """The moves as sentences that read well aloud."""
    for at, move in _in_order(sheet):
        if move is None:
            yield f"{clock(at)}: now.", 2
            continue
        if isinstance(move, Serving):
            yield f"{clock(at)}: {move.name}.", 2
            continue
        lane = sheet.lane(move)
        parts = [f"{clock(at)}: {move.name}"]
        parts += [words for words in (move.way, move.gate) if words]
        parts += [lane.title] if lane else []
        parts += [move.attention, _spoken_length(move.end_at - move.start_at)]
        parts += ["on a ring"] if move.rings else []
        parts += [f"in the {move.oven}"] if move.oven and not move.heats else []
        parts += [move.cook] if move.cook and len(sheet.cooks) > 1 else []
        parts += [f"mark: {move.mark}"] if move.mark else []
        parts += [{"done": "done", "running": "under way"}.get(move.status, "")]
        yield ", ".join(part.rstrip(".") for part in parts if part) + ".", 2


def _in_order(sheet: RunSheet) -> Iterator[tuple[float, Move | Serving | None]]:
    """Every move and serving with its moment, and None at the present one of a live sheet.

    What begins as a course is served comes after it; the last serving is last of all.
    """
    *courses, last = sheet.courses
    lines: list[tuple[float, Move | Serving | None]] = [(one.at, one) for one in courses]
    lines += [(move.start_at, move) for move in sheet.moves]
    if sheet.now is not None:
        lines.append((sheet.now, None))
    yield from sorted(lines, key=lambda line: line[0])  # a sort keeps the order of equals
    yield last.at, last


def _spoken_length(seconds: float) -> str:
    if seconds < 120 and round(seconds) % 60:
        return f"{round(seconds)} seconds"
    minutes = round(seconds / 30) / 2 if seconds < 600 else round(seconds / 60)
    return f"{minutes:g} minute{'' if minutes == 1 else 's'}"


# --- the timeline -------------------------------------------------------------------------------


def _timeline(sheet: RunSheet, width: int) -> Iterator[str]:
    labels = _labels(sheet)
    gutter = min(max(get_cwidth(label) for label in labels), max(8, width // 3))
    scale = _Scale.fitting(sheet, width - gutter - 2)
    if scale is None:
        return
    yield from (f"{'':{gutter}} {row}".rstrip() for row in scale.axis())
    rows = [*_dish_rows(sheet, scale), *_kitchen_rows(sheet, scale)]
    for label, row in zip(labels, rows, strict=True):
        yield f"{_fitted(label, gutter)} {row}".rstrip()
    if sheet.now is not None:
        cell = min(max(scale.cell(sheet.now), 0), scale.cells - 1)
        text = f"now {clock(sheet.now)}"
        right = f"^ {text}"
        fits = cell + len(right) <= scale.cells
        yield f"{'':{gutter}} " + (" " * cell + right if fits else f"{text} ^".rjust(cell + 1))
    yield "   ".join(item.replace(" ", _NO_BREAK) for item in _LEGEND)


def _labels(sheet: RunSheet) -> list[str]:
    hands = sheet.cooks if len(sheet.cooks) > 1 else ("hands",)
    ovens = dict.fromkeys(spell.oven or "oven" for spell in sheet.spells)
    dishes = [f"{lane.letter} {lane.title}" for lane in sheet.lanes]
    return [*dishes, *hands, "rings", *ovens]


def _dish_rows(sheet: RunSheet, scale: "_Scale") -> Iterator[str]:
    for lane in sheet.lanes:
        own = [move for move in sheet.moves if move.letter == lane.letter]
        row = scale.row(own, lane.serve_at)
        if lane.ready_at is not None:
            first, last = scale.cell(lane.ready_at), scale.cell(lane.serve_at)
            row = [_WAITS if first <= i < last and c == " " else c for i, c in enumerate(row)]
        yield "".join(row)


def _kitchen_rows(sheet: RunSheet, scale: "_Scale") -> Iterator[str]:
    needed = [move for move in sheet.moves if move.attention != "unattended"]
    for cook in sheet.cooks if len(sheet.cooks) > 1 else ("",):
        yield "".join(scale.row([m for m in needed if not cook or m.cook == cook]))
    yield "".join(scale.counted([(m.start_at, m.end_at, m.rings) for m in sheet.moves]))
    for oven in dict.fromkeys(spell.oven for spell in sheet.spells):
        row = scale.row([])
        for spell in sheet.spells:
            if spell.oven == oven:
                first, last = scale.span(spell.start_at, spell.end_at)
                hot = scale.cell(spell.hot_at)
                drawn = ["~" if i < hot else "-" for i in range(first, last)]
                label = f" {spell.degrees} "
                at = max(0, hot - first)
                if at + len(label) <= len(drawn):
                    drawn[at : at + len(label)] = label
                row[first:last] = drawn
        yield "".join(row)


class _Scale:
    """Which cell of a line stands for which moment. The last cell is that of the last serving."""

    def __init__(self, start_at: float, end_at: float, cell_s: float) -> None:
        self.start_at, self.cell_s = start_at, cell_s
        self.cells = self.cell(end_at) + 1

    @classmethod
    def fitting(cls, sheet: RunSheet, cells: int) -> "_Scale | None":
        """The finest scale of whole minutes (or quarters) that fits; None when there is no room."""
        if cells < _FEWEST_CELLS or not sheet.moves:
            return None
        starts = [sheet.start_at, sheet.now] if sheet.now is not None else [sheet.start_at]
        first = min(min(starts), sheet.end_at)
        span_s = sheet.end_at - first
        usual = (c for c in _CELL_S if span_s / c + 2 <= cells)
        cell_s = next(usual, 3600 * -(-span_s // (3600 * (cells - 2))))
        return cls(first - _past(first, cell_s), sheet.end_at, cell_s)

    def cell(self, at: float) -> int:
        return int((at - self.start_at) // self.cell_s)

    def span(self, start_at: float, end_at: float) -> tuple[int, int]:
        """The cells [first, last) that a stretch of time touches, at least one, within the line."""
        first = min(max(self.cell(start_at), 0), self.cells - 2)
        last = self.cell(end_at - 1) + 1
        return first, min(max(last, first + 1), self.cells - 1)

    def row(self, moves: Iterable[Move], served_at: float | None = None) -> list[str]:
        """A line of signs; where moves overlap, that of the one that takes most of a cook.

        served_at: where its stroke is, by default at the last serving.
        """
        cells = [" "] * self.cells
        order = ("unattended", "watched", "hands-on")
        for move in sorted(moves, key=lambda m: order.index(m.attention)):
            first, last = self.span(move.start_at, move.end_at)
            cells[first:last] = SIGNS[move.attention] * (last - first)
        at = self.cells - 1 if served_at is None else self.cell(served_at)
        cells[min(max(at, 0), self.cells - 1)] = "|"
        return cells

    def counted(self, uses: list[tuple[float, float, int]]) -> list[str]:
        """A line of how many are in use at once, the most in each cell."""
        cells = self.row([])
        taken = [use for use in uses if use[2]]
        for i in range(self.cells - 1):
            start = self.start_at + i * self.cell_s
            moments = [start, *(s for s, _, _ in taken if start <= s < start + self.cell_s)]
            most = max(sum(n for s, e, n in taken if s <= at < e) for at in moments)
            cells[i] = " " if most == 0 else str(most) if most < 10 else "+"
        return cells

    def axis(self) -> Iterator[str]:
        """The hours above the line, each with its stroke under its first figure."""
        apart = next((t for t in _TICK_S if t / self.cell_s >= 8), _TICK_S[-1])
        text, strokes = [" "] * self.cells, [" "] * self.cells
        at = self.start_at + (-_past(self.start_at, apart)) % apart
        free = 0
        while self.cell(at) < self.cells:
            cell = self.cell(at)
            if cell >= free and cell + 5 <= self.cells:
                text[cell : cell + 5], strokes[cell] = clock(at), "'"
                free = cell + 7
            at += max(apart, self.cell_s)
        yield "".join(text)
        yield "".join(strokes)


def _past(at: float, every_s: float) -> float:
    """Seconds since the wall clock last showed a multiple of every_s."""
    offset = datetime.fromtimestamp(at).astimezone().utcoffset()
    return (at + (offset.total_seconds() if offset else 0.0)) % every_s


# --- columns ------------------------------------------------------------------------------------


def wrap(line: str, width: int, indent: int = 0) -> list[str]:
    """The line in rows of at most `width` columns; further rows are set in, if there is room."""
    indent = indent if indent <= width // 2 else 2
    rows: list[str] = []
    while get_cwidth(line) > width:
        end = _columns(line, width)
        space = line.rfind(" ", (indent if rows else 0) + 1, end + 1)
        cut = space if line[:space].strip() and space > 0 else end
        rows.append(line[:cut])
        line = " " * indent + line[cut:].lstrip()
    return [*rows, line]


def _columns(text: str, width: int) -> int:
    """How many characters of the text fit into so many columns, at least one."""
    used = 0
    for i, char in enumerate(text):
        used += get_cwidth(char)
        if used > width:
            return max(i, 1)
    return len(text)


def _fitted(label: str, width: int) -> str:
    """The label cut or padded to exactly so many columns."""
    if get_cwidth(label) > width:
        label = label[: _columns(label, width - 1)] + "~"
    return label + " " * (width - get_cwidth(label))
