"""What a measure of an ingredient weighs: tables/densities.yaml, looked up by what cooks say."""

import math
import re
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import yaml
from rapidfuzz import fuzz, process

from domain.errors import NeedsDensity

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
_PASSING = frozenset(
    re.findall(
        r"\w+",
        """a an the of some and more fresh freshly finely roughly coarsely good ripe raw organic
        large small medium peeled cold warm hot unsalted salted chopped diced sliced grated""",
    )
)


@dataclass(frozen=True)
class Weight:
    """The published weights of one ingredient.

    measures: grams in one US cup, tablespoon, teaspoon, fluid_ounce or dash, as listed;
    pieces: grams of one piece by its name, the usual one first; prep: how it is prepared.
    """

    name: str
    prep: str
    measures: dict[str, float]
    pieces: dict[str, float]
    source: str

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
    kept = tuple(word for word in said if word not in _PASSING)
    found = _by_key().get(said) or _by_key().get(kept)
    if found:
        return found
    text = " ".join(kept)
    known = {" ".join(key): weight for key, weight in _by_key().items()}
    # Only a slip of spelling may stand for the name: rye flour must not become rice flour.
    near = process.extractOne(text, list(known), scorer=fuzz.ratio, score_cutoff=88)
    if near:
        return known[near[0]]
    like = process.extract(text, list(known), scorer=fuzz.token_set_ratio, score_cutoff=70)
    names = dict.fromkeys(known[match].name for match, _, _ in like)
    raise NeedsDensity(ingredient, tuple(names)[:3])


def all_weights() -> tuple[Weight, ...]:
    """Every row of the table, in its order."""
    return tuple(weight for weight, _ in _rows())


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


def _key(name: str) -> tuple[str, ...]:
    """The words of a name in the singular, sorted: "onions, chopped" -> ("chopped", "onion")."""
    return tuple(sorted(_singular(word) for word in re.findall(r"[\w½']+", name.lower())))


def _singular(word: str) -> str:
    if word.endswith("oes"):
        return word[:-2]
    if word == "leaves":
        return "leaf"
    return word[:-1] if len(word) > 3 and word[-1] == "s" and word[-2] not in "su" else word
