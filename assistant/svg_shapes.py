"""The few shapes of SVG that a sheet is drawn with: each is added to its parent and returned."""

from collections.abc import Iterable
from xml.etree import ElementTree as ET

from prompt_toolkit.utils import get_cwidth

INK, FADED, RULE, PAPER = "#111111", "#666666", "#aaaaaa", "#ffffff"
FONT = "'DejaVu Sans Condensed', Arial, 'DejaVu Sans', sans-serif"
# The mean width of a letter in these fonts, in ems, with some to spare: none is measured here.
CHAR, BOLD = 0.56, 1.07


def text(
    parent: ET.Element,
    x: float,
    y: float,
    words: str,
    em: float,
    bold: bool = False,
    anchor: str = "start",
    fill: str = INK,
) -> ET.Element:
    """Words on a baseline at y."""
    shape = {"x": number(x), "y": number(y), "font-size": number(em)}
    if bold:
        shape["font-weight"] = "bold"
    if anchor != "start":
        shape["text-anchor"] = anchor
    if fill != INK:
        shape["fill"] = fill
    drawn = ET.SubElement(parent, "text", shape)
    drawn.text = words
    return drawn


def rect(
    parent: ET.Element, x: float, y: float, width: float, height: float, fill: str = INK
) -> ET.Element:
    """A rectangle by its upper left corner; one less than nothing high is nothing high."""
    numbers = {"x": x, "y": y, "width": width, "height": max(height, 0.0)}
    shape = {name: number(value) for name, value in numbers.items()}
    return ET.SubElement(parent, "rect", {**shape, "fill": fill})


def line(
    parent: ET.Element,
    start: tuple[float, float],
    end: tuple[float, float],
    wide: float,
    stroke: str = INK,
) -> ET.Element:
    """A straight line."""
    numbers = {"x1": start[0], "y1": start[1], "x2": end[0], "y2": end[1], "stroke-width": wide}
    shape = {name: number(value) for name, value in numbers.items()}
    return ET.SubElement(parent, "line", {**shape, "stroke": stroke})


def polygon(parent: ET.Element, points: Iterable[tuple[float, float]], fill: str = INK) -> None:
    """A filled polygon."""
    ET.SubElement(parent, "polygon", {"points": listed(points), "fill": fill})


def outlined(shape: ET.Element, wide: float, stroke: str = INK) -> None:
    """Give a shape an outline."""
    shape.set("stroke", stroke)
    shape.set("stroke-width", number(wide))


def listed(points: Iterable[tuple[float, float]]) -> str:
    """Points as a `points` attribute has them."""
    return " ".join(f"{number(x)},{number(y)}" for x, y in points)


def number(value: float) -> str:
    """A length to a hundredth, as short as it can be written."""
    written = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if written == "-0" else written


def width_of(words: str, em: float, bold: bool = False) -> float:
    """A generous guess of how wide words are."""
    return get_cwidth(words) * em * CHAR * (BOLD if bold else 1.0)


def cut(words: str, width: float, em: float, bold: bool = False) -> str:
    """The words, or as many letters of them as surely fit, with an ellipsis."""
    if width_of(words, em, bold) <= width:
        return words
    while words and width_of(words + "…", em, bold) > width:
        words = words[:-1]
    return words.rstrip() + "…"
