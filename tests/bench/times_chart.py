"""A chart of times by size, both logarithmic, as SVG: curves differ in marks and dashes."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from xml.etree import ElementTree as ET

from assistant.svg_shapes import (
    FADED,
    FONT,
    INK,
    PAPER,
    RULE,
    line,
    listed,
    outlined,
    polygon,
    rect,
    text,
)

WIDE, HIGH = 200.0, 120.0  # millimetres
LEFT, RIGHT, TOP, BOTTOM = 20.0, 140.0, 14.0, 104.0
EM, SMALL = 3.6, 3.0
DASHES = ("", "4 1.5", "1 1.2", "6 1.5 1 1.5")
TITLE = "Seconds to plan, to plan anew and to answer, by the number of steps"


@dataclass(frozen=True)
class Line:
    """A curve: (steps, seconds) in order of steps."""

    name: str
    points: tuple[tuple[int, float], ...]


@dataclass(frozen=True)
class Aim:
    """What is aimed at: at so many steps, at most so many seconds."""

    steps: int
    seconds: float
    name: str


@dataclass(frozen=True)
class Scale:
    """From steps and seconds to millimetres."""

    steps: tuple[int, int]
    decades: tuple[int, int]

    def x(self, steps: float) -> float:
        first, last = map(math.log, self.steps)
        return LEFT + (RIGHT - LEFT) * (math.log(steps) - first) / ((last - first) or 1.0)

    def y(self, seconds: float) -> float:
        low, high = self.decades
        return BOTTOM - (BOTTOM - TOP) * (math.log10(seconds) - low) / (high - low)


def chart(lines: Sequence[Line], aims: Sequence[Aim]) -> str:
    """The chart as a whole SVG file."""
    scale = scale_of(lines, aims)
    box = {
        "viewBox": f"0 0 {WIDE:.0f} {HIGH:.0f}",
        "width": f"{WIDE:.0f}mm",
        "height": f"{HIGH:.0f}mm",
    }
    root = ET.Element("svg", {"xmlns": "http://www.w3.org/2000/svg", **box, "font-family": FONT})
    ET.SubElement(root, "title").text = TITLE
    rect(root, 0, 0, WIDE, HIGH, PAPER)
    text(root, LEFT, 8, TITLE, EM, bold=True)
    draw_axes(root, scale, sorted({steps for curve in lines for steps, _ in curve.points}))
    for index, curve in enumerate(lines):
        draw_curve(root, scale, curve, index)
    for aim in aims:
        draw_aim(root, scale, aim)
    draw_names(root, scale, lines)
    return ET.tostring(root, encoding="unicode") + "\n"


def scale_of(lines: Sequence[Line], aims: Sequence[Aim]) -> Scale:
    """Wide enough for all that is drawn; seconds in whole decades."""
    points = [point for curve in lines for point in curve.points]
    points += [(aim.steps, aim.seconds) for aim in aims]
    seconds = [seconds for _, seconds in points]
    low, high = math.floor(math.log10(min(seconds))), math.ceil(math.log10(max(seconds)))
    steps = [steps for steps, _ in points]
    return Scale((min(steps), max(steps)), (low, max(high, low + 1)))


def draw_axes(root: ET.Element, scale: Scale, steps: Sequence[int]) -> None:
    """A rule for each decade of seconds and each size."""
    for decade in range(scale.decades[0], scale.decades[1] + 1):
        y = scale.y(10.0**decade)
        line(root, (LEFT, y), (RIGHT, y), 0.2, RULE)
        text(root, LEFT - 2, y + 1, seconds_told(decade), SMALL, anchor="end")
    for size in steps:
        x = scale.x(size)
        line(root, (x, TOP), (x, BOTTOM), 0.2, RULE)
        text(root, x, BOTTOM + 5, str(size), SMALL, anchor="middle")
    text(root, (LEFT + RIGHT) / 2, BOTTOM + 11, "steps", SMALL, anchor="middle")


def seconds_told(decade: int) -> str:
    """A power of ten of seconds: "10 ms", "1 s"."""
    return f"{10**decade} s" if decade >= 0 else f"{10.0 ** (decade + 3):g} ms"


def draw_aim(root: ET.Element, scale: Scale, aim: Aim) -> None:
    """A bar that the curve should pass below."""
    x, y = scale.x(aim.steps), scale.y(aim.seconds)
    line(root, (x - 5, y), (x + 5, y), 1.0, FADED)
    words = f"aim, {aim.name}"
    outlined(text(root, x + 6, y + 1, words, SMALL, fill=PAPER), 1.2, PAPER)  # over a curve too
    text(root, x + 6, y + 1, words, SMALL, fill=FADED)


def draw_curve(root: ET.Element, scale: Scale, curve: Line, index: int) -> None:
    """A broken line with a mark at each size."""
    points = [(scale.x(steps), scale.y(seconds)) for steps, seconds in curve.points]
    drawn = ET.SubElement(root, "polyline", {"points": listed(points), "fill": "none"})
    outlined(drawn, 0.7)
    if DASHES[index % len(DASHES)]:
        drawn.set("stroke-dasharray", DASHES[index % len(DASHES)])
    for x, y in points:
        draw_mark(root, x, y, index)


def draw_mark(root: ET.Element, x: float, y: float, index: int) -> None:
    """A square, a diamond or a triangle; filled or hollow by turns."""
    corners = (
        ((-1.2, -1.2), (1.2, -1.2), (1.2, 1.2), (-1.2, 1.2)),
        ((0.0, -1.7), (1.7, 0.0), (0.0, 1.7), (-1.7, 0.0)),
        ((0.0, -1.6), (1.5, 1.2), (-1.5, 1.2)),
    )[index % 3]
    polygon(root, [(x + dx, y + dy) for dx, dy in corners], INK if index % 2 else PAPER)
    outlined(root[-1], 0.5)


def draw_names(root: ET.Element, scale: Scale, lines: Sequence[Line]) -> None:
    """Each curve's name beside its last mark, none over another."""
    ends = [
        (scale.y(curve.points[-1][1]), index, curve)
        for index, curve in enumerate(lines)
        if curve.points
    ]
    free = TOP
    for end, index, curve in sorted(ends, key=lambda one: one[:2]):
        free = y = max(free + SMALL * 1.6, end)
        draw_mark(root, RIGHT + 5, y, index)
        text(root, RIGHT + 9, y + 1, curve.name, SMALL)
