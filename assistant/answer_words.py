"""What a cook's word means: techniques, rough measures, oven names, and whose cup a cup is."""

import re
from collections.abc import Sequence

from assistant.figures import cites, fahrenheit_first, joined
from assistant.meaning import Understood
from assistant.measures import PEOPLE, amount, capital, measures_of
from assistant.reply import Reply
from assistant.scene import Scene
from assistant.two_forms import both
from domain.cooking import OvenWord, oven_words
from domain.errors import KitchenError, UnknownUnit
from domain.kitchen_words import word_in, words_in
from domain.phrasing import exactly_spoken, shown, spoken
from domain.rounding import dial
from domain.units import READINGS, convert, everyday, kind_of, plain, to_celsius

_OVEN = re.compile(
    r"\b((?:(?:very|fairly|quite|moderately) )?(?:cool|slow|low|moderate|medium|warm|hot)) oven"
    r"|\boven\b.*\b(cool|slow|moderate|hot)\b"
)
_SAME = {"low": "slow", "medium": "moderate", "warm": "slow", "fairly hot": "moderately hot",
         "quite hot": "moderately hot"}  # fmt: skip
_WORDS_OF_A_UNIT = 3


def explain_word(ask: Understood, scene: Scene) -> Reply:
    """What a word of the kitchen means; honestly not, when it is in no table."""
    return (
        oven_meant(ask, scene)
        or word_meant(ask, scene)
        or Reply(
            "I do not know that word.",
            more="Ask me of a way to cook, a measure, or an oven's name.",
        )
    )


def word_meant(ask: Understood, scene: Scene) -> Reply | None:
    """A word of the table of kitchen words, else a unit; None when neither was said."""
    both_words = words_in(ask.text)
    if "difference" in ask.text.lower() and len(both_words) > 1:
        return Reply(" ".join(word.says for word in both_words))
    word = word_in(ask.text)
    if word is None:
        return _unit_named(ask, scene)
    return Reply(word.says, shown=f"{word.says} ({word.source.status})", more=word.more)


def oven_meant(ask: Understood, scene: Scene) -> Reply | None:
    """What an oven's name means, or what an oven of this heat is called; None for neither."""
    if "oven" not in ask.text.lower():
        return None
    found = _OVEN.search(ask.text.lower().replace("-", " "))
    if found:
        name = found[1] or found[2]
        rows = [row for row in oven_words() if row.word == _SAME.get(name, name)]
        return _oven(rows, scene) if rows else None
    hot = next((a for a in ask.amounts if a.kind == "temperature" and a.value is not None), None)
    if hot is None or not hot.unit:
        return None
    try:
        return _called(to_celsius(float(hot.value or 0), hot.unit), scene)
    except KitchenError as error:
        return Reply(f"{capital(str(error))}.")


def _oven(rows: Sequence[OvenWord], scene: Scene) -> Reply:
    low, high = min(r.celsius[0] for r in rows), max(r.celsius[1] for r in rows)
    warm, hot = min(r.fahrenheit[0] for r in rows), max(r.fahrenheit[1] for r in rows)
    scales = [("celsius", low, high), ("fahrenheit", warm, hot)]
    if fahrenheit_first(scene):
        scales.reverse()
    told, other = ((name, start, None if start == end else end) for name, start, end in scales)
    word = rows[0].word
    sources = "\n".join(f"Source: {cites(row.source)}." for row in rows)
    fan = [convert(celsius, "celsius", "fan_celsius").value for celsius in (low, high)]
    more = [f"In a fan oven, {amount(fan[0], 'celsius', None if low == high else fan[1])}."]
    marks = _marks(low, high)
    heat = both(
        spoken(told[1], told[0], told[2]),
        f"{shown(told[1], told[0], told[2])} ({shown(other[1], other[0], other[2])})",
    )
    line = f"A {word} oven is {heat}."
    spoken_line = " ".join([line, *([f"That is {marks}."] if marks else [])])
    more += [f"{capital(row.source.short)}: {_span(row)}." for row in rows if len(rows) > 1]
    return Reply(spoken_line, shown=f"{spoken_line}\n{sources}", more=" ".join(more))


def _span(row: OvenWord) -> str:
    low, high = row.celsius
    return amount(low, "celsius", None if low == high else high)


def _marks(low: float, high: float) -> str:
    """The gas marks of a span, "" where no cooker has one."""
    try:
        ends = [dial(convert(c, "celsius", "gas_mark").value, "gas_mark") for c in (low, high)]
    except KitchenError:
        return ""
    top = ends[1] if ends[1] != ends[0] else None
    return both(spoken(ends[0], "gas_mark", top), shown(ends[0], "gas_mark", top))


def _called(celsius: float, scene: Scene) -> Reply | None:
    """The names whose spans hold this temperature."""
    names = dict.fromkeys(
        row.word for row in oven_words() if row.celsius[0] - 5 <= celsius <= row.celsius[1] + 5
    )
    if not names:
        return None
    called = joined([f"a {name}" for name in names], "or")
    return Reply(f"{capital(amount(celsius, 'celsius'))} is {called} oven.")


def _unit_named(ask: Understood, scene: Scene) -> Reply | None:
    """How much a named measure holds or weighs, by the cook's country and by others."""
    name = _unit_in(ask.text)
    if name is None or kind_of(name) not in ("volume", "mass", "length"):
        return None
    own = READINGS[measures_of(scene)].get(name, name)
    line = f"{capital(_titled(own, name))} is {_size(own)}."
    others = dict.fromkeys(READINGS[m][name] for m in READINGS if name in READINGS[m])
    more = [
        f"{capital(_titled(other, name))} is {_size(other)}." for other in others if other != own
    ]
    return Reply(line, more=" ".join(more))


def _titled(name: str, said: str) -> str:
    """ "a metric cup"; plain where no country has its own."""
    word = everyday(name)
    whose = PEOPLE.get(name.removesuffix(f"_{word}"), "") if name != word else ""
    text = f"{whose} {word}".strip().replace("_", " ")
    return f"{'an' if text[0].lower() in 'aeiou' else 'a'} {text}"


def _size(name: str) -> str:
    base = {"volume": "millilitre", "mass": "gram", "length": "centimetre"}[kind_of(name)]
    if name == base:
        return {"millilitre": "a thousandth of a litre", "gram": "a thousandth of a kilo"}.get(
            name, "a hundredth of a metre"
        )
    value = convert(1, name, base).value
    tidy = round(value, 1) if value < 10 else round(value)
    return both(exactly_spoken(tidy, base), shown(tidy, base))


def _unit_in(text: str) -> str | None:
    """The unit of most words that is named in a text, or None."""
    words = re.findall(r"[a-z]+", text.lower())
    for size in range(_WORDS_OF_A_UNIT, 0, -1):
        for start in range(len(words) - size + 1):
            said = "_".join(words[start : start + size])
            if len(said) < 3 or said in ("mean", "what", "does", "can", "head", "slice"):
                continue
            try:
                name = plain(said)
            except UnknownUnit:
                continue
            if kind_of(name) != "count":
                return name
    return None
