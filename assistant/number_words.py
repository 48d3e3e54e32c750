"""Numbers as cooks type and say them: "400", "1 1/2", "¾", "four hundred", "one eighty".

text2num reads plain number words; the layer here adds what it leaves: fractions, mixed
numbers, dozens, decimals, and the paired speech of ovens and clocks ("one eighty", "six thirty").
"""

import math
import re
import unicodedata
from dataclasses import dataclass
from functools import cache

from text_to_num import text2num

# A division by nothing, or a numeral with an exponent or hundreds of digits.
_NO_NUMBER = re.compile(r"\d+(?:\.\d+)?e\+?\d+|(\d\s*/\s*0+(?![\d.]))|\d{300,}")
_TOKEN = re.compile(
    r"\d+(?:,\d{3})+(?!\d)(?:\.\d+)?"  # 1,000 or 1,000.5
    r"|\d+(?:[.,]\d+)?(?:[eE][+-]?\d+)?"  # 400, 1.5, 1,5, 1e3
    r"|[^\W\d_]+(?:['’][^\W\d_]+)*"  # words, o'clock
    r"|\S"
)
_SMALL = (
    "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen"
    " fifteen sixteen seventeen eighteen nineteen"
)
_TENS = "twenty thirty forty fifty sixty seventy eighty ninety"
_SCALES = "hundred thousand million billion"
_CARDINALS = frozenset(f"{_SMALL} {_TENS} {_SCALES}".split())
_SCALE_WORDS = frozenset(_SCALES.split())
_FRACTIONS = {
    "half": 1 / 2,
    "halves": 1 / 2,
    "third": 1 / 3,
    "quarter": 1 / 4,
    "fourth": 1 / 4,
    "fifth": 1 / 5,
    "sixth": 1 / 6,
    "eighth": 1 / 8,
}
FRACTION_WORDS = _FRACTIONS | {f"{word}s": part for word, part in _FRACTIONS.items()}
_LONGEST_RUN = 24  # words and hyphens of a number in a row; no kitchen number has more


@dataclass(frozen=True)
class Token:
    """A word, a number or a sign of an utterance. low: in small letters; span in characters."""

    text: str
    low: str
    start: int
    end: int


@dataclass(frozen=True)
class Number:
    """A number that was read. end: index of the token after it.

    pair: (6, 30) for "six thirty", which is 630 only when a unit says so.
    fraction: True for "half" or "two thirds", which may stand before "of a cup".
    """

    value: float
    end: int
    pair: tuple[int, int] | None = None
    fraction: bool = False


def no_number(text: str) -> bool:
    """Whether a text holds what looks like a number and is none: "1/0", "1e309"."""
    return any(
        found[1] or not math.isfinite(float(found[0]))
        for found in _NO_NUMBER.finditer(text.lower())
    )


def word_set(words: str) -> frozenset[str]:
    """The words of a text as a set."""
    return frozenset(words.split())


def tokens_of(text: str) -> list[Token]:
    """The words, numbers and signs of a text, in order."""
    return [
        Token(found[0], found[0].lower().replace("’", "'"), found.start(), found.end())
        for found in _TOKEN.finditer(text)
    ]


def glued(tokens: list[Token], i: int) -> bool:
    """True when token i follows the one before it without a space."""
    return 0 < i < len(tokens) and tokens[i - 1].end == tokens[i].start


def low(tokens: list[Token], i: int) -> str:
    """The word at i in small letters; "" outside the text."""
    return tokens[i].low if 0 <= i < len(tokens) else ""


def read_number(tokens: list[Token], i: int) -> Number | None:
    """The number that begins at token i, or None. Never infinite, never a division by zero."""
    if low(tokens, i) in ("minus", "negative") or _is_sign(tokens, i):
        found = _unsigned(tokens, i + 1)
        return Number(-found.value, found.end) if found and not found.pair else None
    return _unsigned(tokens, i)


def _is_sign(tokens: list[Token], i: int) -> bool:
    """A dash that makes the number after it negative, rather than a range or a hyphen."""
    return low(tokens, i) in ("-", "−", "–") and glued(tokens, i + 1) and not glued(tokens, i)


def _unsigned(tokens: list[Token], i: int) -> Number | None:
    word = low(tokens, i)
    if not word:
        return None
    if word[0].isdecimal():
        return _from_digits(tokens, i)
    if (part := _vulgar(word)) is not None:
        return Number(part, i + 1, fraction=True)
    if word == "couple" or (word == "a" and low(tokens, i + 1) == "couple"):
        return _couple(tokens, i + (2 if word == "a" else 1))
    return _dozens(tokens, i) or _word_fraction(tokens, i) or _from_words(tokens, i)


def _from_digits(tokens: list[Token], i: int) -> Number | None:
    value = _digits(tokens[i].text)
    if value is None:
        return None
    if low(tokens, i + 1) == "/":
        part = _slashed(tokens, i)
        return Number(part, i + 3, fraction=True) if part is not None else None
    if low(tokens, i + 1) in _SCALE_WORDS and not glued(tokens, i + 1):
        scaled = value * float(text2num(low(tokens, i + 1), "en"))
        return Number(scaled, i + 2)
    if low(tokens, i + 1) == "dozen":
        return Number(value * 12, i + 2)
    return _word_fraction(tokens, i) or _with_fraction(tokens, value, i + 1)


def _digits(text: str) -> float | None:
    """A numeral as a number; None when it is too large to be one."""
    plain = text.replace(",", "") if re.search(r",\d{3}(?!\d)", text) else text.replace(",", ".")
    value = float(plain)
    return value if math.isfinite(value) else None


def _slashed(tokens: list[Token], i: int) -> float | None:
    """The value of digits / digits at i, or None."""
    over, under = low(tokens, i), low(tokens, i + 2)
    if low(tokens, i + 1) != "/" or not (over.isdecimal() and under.isdecimal()):
        return None
    top, bottom = _digits(over), _digits(under)
    return top / bottom if top is not None and bottom else None


def _vulgar(sign: str) -> float | None:
    """The value of a fraction sign such as ¾."""
    if len(sign) == 1 and "VULGAR FRACTION" in unicodedata.name(sign, ""):
        return unicodedata.numeric(sign)
    return None


def _with_fraction(tokens: list[Token], value: float, end: int) -> Number:
    """A whole number and the fraction after it, if any: 1 1/2, 1½, "two and a half"."""
    if value == int(value):
        k = end + 1 if low(tokens, end) == "-" and glued(tokens, end) else end
        if (part := _vulgar(low(tokens, k))) is not None:
            return Number(value + part, k + 1)
        part = _slashed(tokens, k)
        if part is not None and part < 1:
            return Number(value + part, k + 3)
        if (rest := read_and_fraction(tokens, end)) is not None:
            return Number(value + rest.value, rest.end)
    return Number(value, end)


def read_and_fraction(tokens: list[Token], i: int) -> Number | None:
    """The part after a whole: "and a half", "and three quarters", "and 1/2"."""
    if low(tokens, i) not in ("and", "&"):
        return None
    part = _slashed(tokens, i + 1)
    if part is not None:
        return Number(part, i + 4)
    if (part := _vulgar(low(tokens, i + 1))) is not None:
        return Number(part, i + 2)
    found = _word_fraction(tokens, i + 1)
    # "and half an onion" begins another amount.
    return found if found and low(tokens, found.end) not in ("a", "an", "the", "of") else None


def _word_fraction(tokens: list[Token], i: int) -> Number | None:
    """ "half", "a third", "two thirds", "three quarters"."""
    word, after = low(tokens, i), low(tokens, i + 1)
    if word in ("half", "quarter", "halves"):
        return Number(FRACTION_WORDS[word], i + 1, fraction=True)
    k = i + 2 if after == "-" and glued(tokens, i + 1) else i + 1
    part = FRACTION_WORDS.get(low(tokens, k))
    if part is None:
        return None
    if word in ("a", "an"):
        return Number(part, k + 1, fraction=True)
    count = _small_words().get(word) or (int(word) if word in ("1", "2", "3") else None)
    plural = low(tokens, k).endswith("s")
    after_and = low(tokens, i - 1) in ("and", "&")  # "two and three quarter cups"
    if count is None or ((count > 1) != plural and k == i + 1 and not after_and):
        return None
    return Number(count * part, k + 1, fraction=True)


def _couple(tokens: list[Token], end: int) -> Number:
    """ "a couple (of)", "a couple (of) hundred"."""
    k = end + 1 if low(tokens, end) == "of" else end
    if low(tokens, k) in _SCALE_WORDS:
        return Number(2 * float(text2num(low(tokens, k), "en")), k + 1)
    return Number(2, end)


def _dozens(tokens: list[Token], i: int) -> Number | None:
    """ "a dozen", "half a dozen", "two dozen"."""
    words = [low(tokens, i + k) for k in range(3)]
    if words == ["half", "a", "dozen"]:
        return Number(6, i + 3)
    if words[:2] == ["half", "dozen"]:
        return Number(6, i + 2)
    if words[0] == "dozen":
        return Number(12, i + 1)
    if words[1] == "dozen" and (count := {"a": 1, **_small_words()}.get(words[0])):
        return Number(12 * count, i + 2)
    return None


def _from_words(tokens: list[Token], i: int) -> Number | None:
    """Number words, the longest run that text2num takes, and what follows them."""
    run = _run(tokens, i)
    for size in range(len(run), 0, -1):
        value = _value(" ".join(run[:size]))
        if value is not None:
            end = i + size
            break
    else:
        return None
    if low(tokens, end) == "point" and (decimal := _decimals(tokens, end + 1)):
        return Number(value + decimal[0], decimal[1])
    if value == int(value) and 1 <= value <= 23 and (paired := _pair(tokens, int(value), end)):
        return paired
    return _with_fraction(tokens, value, end)


def _run(tokens: list[Token], i: int) -> list[str]:
    """The number words from i on, "a hundred" as "one hundred", hyphens as spaces."""
    run: list[str] = []
    for k in range(i, min(i + _LONGEST_RUN, len(tokens))):
        word = low(tokens, k)
        opens = not run and word == "a" and low(tokens, k + 1) in _SCALE_WORDS
        joins = run and word == "and" and run[-1] in _SCALE_WORDS
        hyphen = run and word == "-" and glued(tokens, k) and glued(tokens, k + 1)
        if not (word in _CARDINALS or opens or joins or hyphen):
            break
        run.append("one" if opens else "-" if hyphen else word)
    return run


@cache
def _value(phrase: str) -> float | None:
    """What text2num makes of number words; None when it refuses them."""
    words = phrase.replace("- ", "").replace("-", "")
    if not words.strip() or phrase.endswith((" and", "-")):
        return None
    try:
        return float(text2num(words, "en"))
    except ValueError:
        return None


def _decimals(tokens: list[Token], i: int) -> tuple[float, int] | None:
    """Digits said one by one after "point": (0.25, end) for "two five"."""
    digits = ""
    while (digit := _small_words().get(low(tokens, i))) is not None and digit < 10:
        digits, i = digits + str(digit), i + 1
    return (float(f"0.{digits[:15]}"), i) if digits else None


def _pair(tokens: list[Token], first: int, end: int) -> Number | None:
    """Hundreds or hours said by halves: "one eighty", "six thirty", "seven oh five"."""
    if low(tokens, end) in ("oh", "o") and (unit := _small_words().get(low(tokens, end + 1))):
        return Number(first * 100 + unit, end + 2, (first, unit)) if unit < 10 else None
    run = _run(tokens, end)
    for size in range(min(len(run), 3), 0, -1):
        second = _value(" ".join(run[:size]))
        if second is not None and 10 <= second <= 99:
            return Number(first * 100 + second, end + size, (first, int(second)))
    return None


@cache
def _small_words() -> dict[str, int]:
    """ "zero" to "nineteen" as numbers."""
    return {word: value for value, word in enumerate(_SMALL.split())}
