"""What a measure of an ingredient weighs: tables/densities.yaml, looked up by what cooks say."""

import math
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import yaml
from rapidfuzz import fuzz, process

from domain.errors import NeedsDensity
from domain.names import canonical

_FILE = Path(__file__).parent / "tables" / "densities.yaml"

# Millilitres of the US measures that the weights are listed for (NIST Handbook 44, App. C).
MEASURE_ML = {
    "cup": 236.5882365,
    "fluid_ounce": 29.5735295625,
    "tablespoon": 14.78676478125,
    "teaspoon": 4.92892159375,
    "dash": 4.92892159375 / 8,
}
# Words that change the weight of a measure too little, or not at all, to be a food of their own.
_PASSING = """a an the of some and more fresh freshly finely roughly coarsely good ripe raw organic
    large small medium peeled cold warm hot unsalted salted chopped diced sliced grated whole
    melted softened plain level loose trimmed"""
# Of them, those that do change it: an answer says when a listed weight is not for food so prepared.
_PREPARED = "chopped diced sliced grated whole melted softened"


@dataclass(frozen=True)
class Weight:
    """The published weights of one ingredient.

    measures: grams in one US cup, tablespoon, teaspoon, fluid_ounce or dash, as listed;
    pieces: grams of one piece by its name, the usual one first; prep: how it is prepared; note:
    what else to know of its pieces.
    """

    name: str
    prep: str
    measures: dict[str, float]
    pieces: dict[str, float]
    source: str
    note: str = ""

    def g_per_ml(self, millilitres: float = MEASURE_ML["cup"]) -> float | None:
        """Density in g/mL, by the listed measure nearest in size to the one asked for.

        A spoonful is rarely packed like a cupful, so its own weight is used where there is one.
        None when no measure is listed.
        """
        if not self.measures:
            return None
        near = min(self.measures, key=lambda m: abs(math.log(MEASURE_ML[m] / millilitres)))
        return self.measures[near] / MEASURE_ML[near]


def weight_of(ingredient: str) -> Weight:
    """The weights of an ingredient by any of its names, exactly or nearly said.

    Raises NeedsDensity with the nearest names known.
    """
    said = _key(ingredient)
    kept = tuple(word for word in said if word not in _words(_PASSING))
    found = _by_key().get(said) or _by_key().get(kept)
    if found:
        return found
    text, known = " ".join(kept), _by_spelling()
    # Only a slip of spelling may stand for the name: rye flour must not become rice flour.
    near = process.extractOne(text, list(known), scorer=fuzz.ratio, score_cutoff=88)
    if near:
        return known[near[0]]
    like = process.extract(text, list(known), scorer=fuzz.token_set_ratio, score_cutoff=70)
    names = dict.fromkeys(known[match].name for match, _, _ in like)
    raise NeedsDensity(ingredient, tuple(names)[:3])


def not_of(weight: Weight, ingredient: str) -> tuple[str, ...]:
    """How the food asked for is prepared and the row is not: ("melted",) of butter."""
    listed = {word for name in (weight.prep, *_names(weight)) for word in canonical(name)}
    return tuple(w for w in canonical(ingredient) if w in _words(_PREPARED) and w not in listed)


def all_weights() -> tuple[Weight, ...]:
    """Every row of the table, in its order."""
    return tuple(weight for weight, _ in _rows())


@cache
def _words(told: str) -> frozenset[str]:
    return frozenset(canonical(told))


@cache
def _rows() -> tuple[tuple[Weight, tuple[str, ...]], ...]:
    """The rows of the table, each with its names."""
    with _FILE.open(encoding="utf-8") as file:
        rows = yaml.load(file, yaml.CSafeLoader)
    return tuple(
        (
            Weight(
                row["name"],
                row.get("prep", ""),
                {measure: float(row[measure]) for measure in MEASURE_ML if measure in row},
                {piece: float(grams) for piece, grams in row.get("pieces", {}).items()},
                row["source"],
                row.get("note", ""),
            ),
            (row["name"], *row.get("also", ())),
        )
        for row in rows
    )


@cache
def _by_key() -> dict[tuple[str, ...], Weight]:
    """Rows by the words of each name, alone and with its preparation; the first row keeps it."""
    found: dict[tuple[str, ...], Weight] = {}
    for weight, names in _rows():
        for name in names:
            found.setdefault(_key(f"{weight.prep} {name}"), weight)
    for weight, names in _rows():
        for name in names:
            found.setdefault(_key(name), weight)
    return found


@cache
def _by_spelling() -> dict[str, Weight]:
    """Rows by each name as it is spelt, so that a slip is seen before US names become UK ones."""
    found = {" ".join(key): weight for key, weight in _by_key().items()}
    for weight, names in _rows():
        for name in names:
            found.setdefault(name.lower(), weight)
    return found


def _names(weight: Weight) -> tuple[str, ...]:
    return next(names for row, names in _rows() if row is weight)


def _key(name: str) -> tuple[str, ...]:
    """The words of a name, sorted: "onions, chopped" -> ("chopped", "onion"); both countries'
    names of a food are one."""
    return tuple(sorted(canonical(name)))
