"""How a run sheet writes names, clock times, lengths and temperatures."""

import unicodedata
from datetime import datetime

from domain.kitchen import UnitSystem
from domain.units import from_celsius

_JOINERS = "\u200c\u200d"  # within words of some scripts; other format characters only mislead


def clean(text: str) -> str:
    """The text on one line, without what would garble a terminal, a page or an XML file."""
    kept = (
        char
        if char in _JOINERS
        else " "
        if unicodedata.category(char) in ("Cc", "Zl", "Zp")
        else ""
        if unicodedata.category(char) in ("Cf", "Cs", "Co", "Cn")
        else char
        for char in text
    )
    return " ".join("".join(kept).split())


def letter(index: int) -> str:
    """A, B, ... Z, AA, AB, ... for 0, 1, ..."""
    before, last = divmod(index, 26)
    return (letter(before - 1) if before else "") + chr(ord("A") + last)


def clock(at: float) -> str:
    """The wall clock at a moment, to the second that is nearest, "HH:MM"."""
    return datetime.fromtimestamp(round(at)).strftime("%H:%M")


def length(seconds: float) -> str:
    """A length of time as a sheet has it: "45 s", "2½ min", "28 min"."""
    if seconds < 120 and round(seconds) % 60:
        return f"{round(seconds)} s"
    halves = round(seconds / 30)
    half = "½" if halves % 2 and halves < 20 else ""
    return f"{halves // 2 if half else round(seconds / 60)}{half} min"


def degrees(celsius: float | None, scale: UnitSystem) -> str:
    """An oven's temperature; Fahrenheit as its dial has it, in steps of 25."""
    if celsius is None:
        return ""
    if scale == "us":
        return f"{25 * round(from_celsius(celsius, 'fahrenheit') / 25)} °F"
    return f"{celsius:.0f} °C"
