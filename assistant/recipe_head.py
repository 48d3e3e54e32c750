"""What a recipe says of the whole dish: for how many, in whose measures, how long it may wait.

Each function notes in `guessed`, by field of the dish file, what a value that is a guess was made
from.
"""

import re
from collections.abc import Sequence

from assistant.amounts import find_amounts
from assistant.recipe_page import Recipe
from assistant.recipe_stove import Guessed
from domain.kitchen import UnitSystem
from domain.phrasing import duration_shown
from domain.recipe_words import recipe_words

_SERVINGS = re.compile(
    r"\b(?:serves?|servings?|people|persons?|portions?|for|makes?|yields?|about|around|approx\w*|to"
    r"|or|of|adults?|diners?|guests?)\b|[^a-z]",
    re.IGNORECASE,
)
_US_WORDS = re.compile(r"\b(?:cups?|sticks?|quarts?)\b")
_COUNTRIES: dict[str, UnitSystem] = {"US": "us", "GB": "uk", "IE": "uk", "AU": "au", "NZ": "au"}
_COLD = frozenset(("chill", "refrigerate", "freeze", "cool"))


def measures_of(recipe: Recipe, usual: UnitSystem, guessed: dict[str, str]) -> UnitSystem:
    """Whose cups and spoons: of the language's country, else of the words, else the cook's own."""
    country = recipe.language.replace("_", "-").partition("-")[2].upper()
    if country in _COUNTRIES:
        measures, why = _COUNTRIES[country], f"the page is in {recipe.language}"
    elif said := _US_WORDS.search("\n".join(recipe.ingredients)):
        measures, why = "us", f"it says “{said[0]}”"
    else:
        return usual
    if measures != "metric":
        guessed["measures"] = why
    return measures


def servings(recipe: Recipe, guessed: dict[str, str]) -> int:
    """For how many; the fewer of a range. Loaves and biscuits do not tell."""
    for said in sorted(recipe.yields, key=len, reverse=True):
        counts = [one for one in find_amounts(said) if one.kind == "count"]
        bare = said.strip()
        value = counts[0].value if counts else float(bare) if bare.isdecimal() else None
        left = _SERVINGS.sub("", said.replace(counts[0].text, "") if counts else said)
        if not isinstance(value, float) or left or not value.is_integer():
            break
        if 1 <= value <= 100:
            if counts and counts[0].high:
                guessed["serves"] = f"the fewer of “{said}”"
            return int(value)
    told = ", ".join(f"“{said}”" for said in recipe.yields)
    guessed["serves"] = f"the recipe makes {told}" if told else "the recipe does not say"
    return recipe_words().usual.serves


def hold(steps: Sequence[Guessed], guessed: dict[str, str]) -> str:
    usual = recipe_words().usual
    cold = next((step.verb for step in steps[-2:] if step.verb in _COLD), "")
    guessed["hold"] = f"usual for what is cold: “{cold}”" if cold else "usual for what is hot"
    return duration_shown(usual.hold_cold_s if cold else usual.hold_hot_s)
