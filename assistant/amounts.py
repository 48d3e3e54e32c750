"""The amount grammar: measures, times, temperatures and counts in what a cook says or types.

Amounts are taken out before the intent is sought, so that "400 g" and "four hundred grams"
look alike to it.
"""

from dataclasses import dataclass
from datetime import datetime
from functools import cached_property

from assistant.clock_words import read_clock
from assistant.corrections import corrected
from assistant.meaning import AmountHeard, AmountKind
from assistant.number_words import (
    Number,
    Token,
    glued,
    low,
    read_and_fraction,
    read_number,
    tokens_of,
    word_set,
)
from assistant.unit_words import (
    HIGHEST_CELSIUS_DIAL,
    LOWEST_DIAL,
    UnitFound,
    degrees_meant,
    unit_after,
    unit_wanted,
)
from domain.kitchen import UnitSystem
from domain.units import convert

MASKS: dict[AmountKind, str] = {
    "mass": "xmass",
    "volume": "xvolume",
    "temperature": "xtemperature",
    "length": "xlength",
    "duration": "xduration",
    "clock": "xclock",
    "count": "xcount",
}
BARE_UNIT_MASK = "xunit"

_ARTICLES = frozenset(("a", "an", "another"))
_RANGE_SIGNS = frozenset(("-", "–", "—", "to", "or"))
# A whole and the part that is said after it: "an hour and twenty minutes", "1 lb 4 oz".
_PARTS = {
    "day": "hour",
    "hour": "minute",
    "minute": "second",
    "pound": "ounce",
    "kilogram": "gram",
    "litre": "millilitre",
    "foot": "inch",
}
_OVEN = word_set("oven preheat preheated preheating bake baked baking roast roasting fan")
_SCALES = word_set("celsius centigrade fahrenheit mark degrees °")
_SETTING = word_set("at to on is of oven from than set temperature heat convert what's")
_HIGHEST_DIAL = 550
# Words whose number is a name, not a count: "tray two", "step 4".
_LABELS = word_set(
    """tray timer ring oven step shelf burner pan pot rack part number dish batch course zone hob
    plate cook mark page take level"""
)
# Before "one", a pronoun: "the other one", "that one".
_POINTING = word_set(
    """the that this these other which next last each every any no another first second third
    fourth big small large little new old wrong right same my your bottom top left"""
)
# After "one", a pronoun: "one is done", "which one now".
_NO_NOUN = word_set(
    """is was isn't are of that the i we it in on at to and or please with for then next now left
    needs done ready has should do does can will first one goes by from as so but not when if back
    moment second sec time"""
)
_ENDS_BARE = word_set("please from left before to for on until later more now then and")
# "Half a recipe" asks to scale; "half an onion" is an amount.
_WHOLES = word_set("recipe batch portion dish serving lot minute second")
_WAITS = word_set("wait hang hold just me on")


def find_amounts(
    text: str, measures: UnitSystem = "metric", now: datetime | None = None
) -> tuple[AmountHeard, ...]:
    """The amounts of an utterance, in order, never overlapping.

    measures: how bare "degrees" are read. now: the local time from which a time of day without
    am or pm is the next one. Any text is taken; what makes no sense is left alone.
    """
    tokens = tokens_of(text)
    reader = _Reader(text, tokens, frozenset(token.low for token in tokens), measures, now)
    found: list[AmountHeard] = []
    i = 0
    while i < len(reader.tokens):
        amount, i = reader.read(i)
        if amount is not None:
            found.append(amount)
    return corrected(text, found)


def mask(text: str, amounts: tuple[AmountHeard, ...]) -> str:
    """The text with every amount replaced by the placeholder of its kind."""
    for amount in sorted(amounts, key=lambda amount: -amount.start):
        placeholder = BARE_UNIT_MASK if amount.value is None else MASKS[amount.kind]
        text = text[: amount.start] + placeholder + text[amount.end :]
    return text


@dataclass(frozen=True)
class _Reader:
    """One utterance being read. i is the index of the token to begin at; ends are exclusive."""

    text: str
    tokens: list[Token]
    said: frozenset[str]
    measures: UnitSystem
    now: datetime | None

    def read(self, i: int) -> tuple[AmountHeard | None, int]:
        """The amount that begins at token i, if any, and the token to go on from."""
        number = read_number(self.tokens, i)
        if number and number.pair and low(self.tokens, i - 1) in _LABELS:
            return None, i + 1  # "timer one ten minutes"
        setting = self._setting(i) or self._oven_number(i, number) or self._side(i, number)
        if setting:
            return setting
        measure, clock = self._measure(i, number), self._clock(i)
        if measure and (clock is None or measure[1] >= clock[1]):
            return measure
        if clock:
            return clock
        if number:
            return self._count(i, number) or (None, number.end)
        wanted = self._wanted(i)
        if wanted:
            return wanted
        return None, i + 2 if low(self.tokens, i) == "/" else i + 1

    def _heard(
        self,
        start: int,
        end: int,
        value: float | str | None,
        name: str | None,
        kind: AmountKind,
        high: float | None = None,
    ) -> tuple[AmountHeard, int]:
        first, last = self.tokens[start].start, self.tokens[end - 1].end
        said = self.text[first:last]
        plain = name.replace("_", " ") if name else None
        return AmountHeard(said, value, high, plain, kind, first, last), end

    def _setting(self, i: int) -> tuple[AmountHeard, int] | None:
        """An oven setting whose unit comes first: "gas mark five", "fan 160"."""
        first, second = low(self.tokens, i), low(self.tokens, i + 1)
        if first == "gas" or (first == "mark" and self.said & _OVEN):
            k = i + 2 if first == "gas" and second in ("mark", "number") else i + 1
            name, least, most = "gas_mark", 0, 20
        elif first in ("fan", "convection"):
            k = i + 2 if second == "oven" else i + 1
            k += low(self.tokens, k) in ("at", "to")
            name, least, most = "fan_celsius", LOWEST_DIAL, HIGHEST_CELSIUS_DIAL
        else:
            return None
        number = read_number(self.tokens, k)
        if number is None or not least <= number.value <= most:
            return None
        said = self._unit(number)
        if said is None:
            high = self._high(number)
            end = high.end if high else number.end
            top = high.value if high else None
            return self._heard(i, end, number.value, name, "temperature", top)
        if name == "fan_celsius" and said.name in ("celsius", "fan_celsius"):
            return self._heard(i, said.end, number.value, name, "temperature")
        return None

    def _oven_number(self, i: int, number: Number | None) -> tuple[AmountHeard, int] | None:
        """A bare number that can only be a temperature: "at one eighty", "preheat to 200"."""
        if number is None or number.fraction or not LOWEST_DIAL <= number.value <= _HIGHEST_DIAL:
            return None
        if self._unit(number) or low(self.tokens, number.end) in ("am", "pm", "p", "a", ":", "%"):
            return None
        before = low(self.tokens, i - 1)
        hot = bool(self.said & (_OVEN | _SCALES))
        if number.pair and number.pair[1] > 59:
            due, step = True, 5  # no time of day
        elif number.pair:
            due, step = hot and before in _SETTING, 10
        else:
            wanted = bool(self._scale_wanted)
            due, step = before == "at" or wanted or (hot and before in _SETTING), 5
        if number.value > HIGHEST_CELSIUS_DIAL:
            step = 25  # as Fahrenheit dials are marked
        if not due or number.value % step:
            return None
        return self._heard(i, number.end, number.value, self._scale(number.value), "temperature")

    def _scale(self, value: float) -> str:
        """The scale of a bare temperature: not the one it is wanted in, else the cook's own."""
        other = {"fahrenheit": "celsius", "celsius": "fahrenheit"}.get(self._scale_wanted)
        return other or degrees_meant(value, self.measures)

    @cached_property
    def _scale_wanted(self) -> str:
        """ "celsius" or "fahrenheit" where the utterance asks for it, else ""."""
        wanted = (unit_wanted(self.tokens, k) for k in range(1, len(self.tokens)))
        names = (found.name for found in wanted if found)
        return next((name for name in names if name in ("celsius", "fahrenheit")), "")

    def _side(self, i: int, number: Number | None) -> tuple[AmountHeard, int] | None:
        """A side of "9 by 13 inch" or "9 x 5 x 3 in", which takes the unit of the last."""
        if number is None or low(self.tokens, number.end) not in ("x", "×", "by"):
            return None
        second = read_number(self.tokens, number.end + 1)
        if second is None:
            return None
        found = self._unit(second)
        if found is None and self._side(number.end + 1, second):
            third = read_number(self.tokens, second.end + 1)  # "9 by 5 by 3 inches"
            found = self._unit(third) if third else None
        if found is None or found.kind != "length":
            return None
        return self._heard(i, number.end, number.value, found.name, "length")

    def _measure(self, i: int, number: Number | None) -> tuple[AmountHeard, int] | None:
        """A number or an article with its unit: "400 g", "two to three cups", "a cup"."""
        if number is None:
            return self._one(i)
        high = self._high(number)
        if high:
            found = self._unit(high)
            if found:
                return self._as_heard(i, found.end, number.value, found, high.value)
        found = self._unit(number)
        if found is None or (number.pair and found.kind in ("duration", "count")):
            return None
        return self._with_part(i, number.value, found)

    def _one(self, i: int) -> tuple[AmountHeard, int] | None:
        """An article as the number: "a cup", "another minute", "an hour and a half"."""
        per = low(self.tokens, i - 1) == "per"  # "how long per kilo"
        if not per and low(self.tokens, i) not in _ARTICLES:
            return None
        k = i if per else i + 1
        found = unit_after(self.tokens, k, 1, self.measures)
        if found is None or low(self.tokens, k) in ("of", "a", "an"):
            return None
        if found.name == "minute" and low(self.tokens, i - 1) in _WAITS:
            return None
        if found.kind == "count" and low(self.tokens, found.end) != "of":
            return None
        if found.kind == "temperature":
            return None
        return self._with_part(i, 1, found)

    def _unit(self, number: Number) -> UnitFound | None:
        return unit_after(self.tokens, number.end, number.value, self.measures)

    def _with_part(self, i: int, value: float, found: UnitFound) -> tuple[AmountHeard, int]:
        """The amount with what may follow its unit: a fraction, a smaller unit, "or two"."""
        tokens, end = self.tokens, found.end
        if value == int(value) and found.kind != "temperature":
            if (rest := read_and_fraction(tokens, end)) is not None:
                return self._as_heard(i, rest.end, value + rest.value, found)
            if value == 1 and [low(tokens, end), low(tokens, end + 1)] == ["or", "two"]:
                return self._as_heard(i, end + 2, 1, found, 2)
        smaller = _PARTS.get(found.name)
        part = self._part(end, smaller) if smaller else None
        if smaller and part:
            whole = convert(value, found.name, smaller).value if abs(value) < 1000 else None
            if whole is not None and value >= 0:
                total = UnitFound(smaller, found.kind, part.end)
                return self._as_heard(i, part.end, round(whole + part.value, 9), total)
        return self._as_heard(i, end, value, found)

    def _part(self, i: int, smaller: str) -> Number | None:
        """What is said in the smaller unit after a whole: "and twenty minutes", "20"."""
        joined = low(self.tokens, i) in ("and", "&")
        number = read_number(self.tokens, i + joined)
        if number is None or number.pair or number.fraction or number.value < 0:
            return None
        found = self._unit(number)
        if found:
            return Number(number.value, found.end) if found.name == smaller else None
        after = low(self.tokens, number.end)
        bare = smaller in ("minute", "second") and number.value < 60 and not joined
        return number if bare and (not after.isalpha() or after in _ENDS_BARE) else None

    def _as_heard(
        self, i: int, end: int, value: float, found: UnitFound, high: float | None = None
    ) -> tuple[AmountHeard, int]:
        return self._heard(i, end, float(value), found.name, found.kind, high)

    def _high(self, number: Number) -> Number | None:
        """The upper end of a range that begins with this number, or None."""
        sign = low(self.tokens, number.end)
        between = sign == "and" and "between" in self.said
        if number.pair or not (sign in _RANGE_SIGNS or between):
            return None
        high = read_number(self.tokens, number.end + 1)
        return high if high and not high.pair and high.value > number.value else None

    def _clock(self, i: int) -> tuple[AmountHeard, int] | None:
        clock = read_clock(self.tokens, i, self.now)
        return self._heard(i, clock.end, clock.value, None, "clock") if clock else None

    def _count(self, i: int, number: Number) -> tuple[AmountHeard, int] | None:
        """A bare number that counts something: "six people", "two onions"."""
        tokens, end = self.tokens, number.end
        after, before = low(tokens, end), low(tokens, i - 1)
        if before in _LABELS or (glued(tokens, i) and before.isalnum()):
            return None
        if number.fraction:
            end += after == "of"  # "a quarter of an onion"
            part = low(tokens, end) in ("a", "an") and low(tokens, end + 1) not in _WHOLES
            return self._heard(i, end, number.value, None, "count") if part else None
        if after in ("%", "percent", "/", ":") or (glued(tokens, end) and after[:1].isalpha()):
            return None
        if low(tokens, i) == "one" and end == i + 1:
            of_those = after == "of" and low(tokens, end + 1) == "the"
            noun = after.isalpha() and after not in _NO_NOUN
            if before in _POINTING or not (noun or of_those):
                return None
        high = self._high(number)
        if high and high.fraction:
            high = None
        end = high.end if high else end
        top = high.value if high else None
        return self._heard(i, end, float(number.value), None, "count", top)

    def _wanted(self, i: int) -> tuple[AmountHeard, int] | None:
        """A bare unit that an amount is wanted in."""
        found = unit_wanted(self.tokens, i)
        return self._heard(i, found.end, None, found.name, found.kind) if found else None
