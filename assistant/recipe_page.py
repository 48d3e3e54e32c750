"""The schema.org Recipes in a file: JSON-LD by itself, or in the scripts of an HTML page.

Read by schema.org's own definitions of Recipe, HowToSection and HowToStep (version 29), and
leniently: a property may be one value or a list, a text may hold HTML, and the JSON of many pages
is not JSON. What cannot be read is kept as text. Nothing is fetched and no link is followed.
"""

import html
import json
import re
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from typing import Any

from lxml import etree
from lxml.html import fragment_fromstring
from pydantic import TypeAdapter, ValidationError

from assistant.amounts import find_amounts
from assistant.page_json import json_of, scripts, text_of
from assistant.run_sheet_words import clean
from domain.errors import FileProblem, ImpossibleAmount
from domain.units import convert

DEEPEST = 20  # lists and sections within one another that are looked into
_BREAKS = re.compile(r"(?i)<\s*(?:br|/p|/li|/div|/h\d)\b[^<>]*>")
_NUMBERING = re.compile(r"^(?:step\s*)?\d{1,2}\s*[.):]\s+(?=\D)|^[•▢*-]\s+", re.IGNORECASE)
_ISO = TypeAdapter(timedelta)
_LONGEST_S = 30 * 86400  # what takes longer is no cooking


@dataclass(frozen=True)
class Direction:
    """One paragraph of the instructions. section: the heading it stands under, "" for none."""

    text: str
    section: str = ""


@dataclass(frozen=True)
class Recipe:
    """A recipe as its page has it: all texts without HTML, the times in seconds.

    yields: each way it says how much it makes. language: a tag like "en-GB", or "". unread: what
    was there and could not be read. path and line: where it stands.
    """

    path: str
    line: int
    title: str
    yields: tuple[str, ...]
    ingredients: tuple[str, ...]
    directions: tuple[Direction, ...]
    prep_s: int | None = None
    cook_s: int | None = None
    total_s: int | None = None
    tools: tuple[str, ...] = ()
    url: str = ""
    language: str = ""
    unread: tuple[str, ...] = ()


def recipes_in(path: Path) -> tuple[Recipe, ...]:
    """Every different recipe of a file. Raises FileProblem when there is none to be read."""
    text = text_of(path)
    if path.suffix.lower() in (".json", ".jsonld") or text.lstrip()[:1] in ("{", "["):
        blocks = [(1, text)]
    else:
        blocks = list(scripts(text, str(path)))
    found: dict[tuple[Any, ...], Recipe] = {}
    kinds: set[str] = set()
    for line, block in blocks:
        value, note = json_of(block, str(path), line)
        for node in _nodes(value):
            types = _types(node)
            kinds |= types
            if "Recipe" in types:
                recipe = _recipe(node, str(path), line, note)
                found.setdefault((recipe.title, recipe.ingredients, recipe.directions), recipe)
    if not found:
        raise _no_recipe(str(path), kinds, text)
    return tuple(found.values())


def _no_recipe(path: str, kinds: set[str], text: str) -> FileProblem:
    remedy = "save the page of one recipe, whole, from a browser"
    if kinds:
        wrong = f"holds no schema.org Recipe, only {', '.join(sorted(kinds)[:6])}"
    elif "schema.org/Recipe" in text:
        wrong = "has its recipe as microdata or RDFa, which is not read here"
        remedy = "write it as JSON-LD, or write the dish by hand"
    else:
        wrong = "holds no JSON-LD, in which pages describe their recipes"
    return FileProblem(path, 0, "", wrong, remedy)


def _nodes(value: Any) -> Iterator[dict[str, Any]]:
    """Every object of the JSON in order, but none within a recipe."""
    waiting = [value]
    while waiting:
        one = waiting.pop()
        if isinstance(one, list):
            waiting += reversed(one)
        elif isinstance(one, dict):
            node = {_plain_key(key): item for key, item in one.items()}
            yield node
            if "Recipe" not in _types(node):
                waiting += reversed(node.values())


def _plain_key(key: str) -> str:
    return re.sub(r"^(?:schema:|https?://schema\.org/)", "", key)


def _types(node: dict[str, Any]) -> set[str]:
    named = node.get("@type")
    return {
        _plain_key(name)
        for name in (named if isinstance(named, list) else [named])
        if isinstance(name, str)
    }


# --- the properties of a recipe -----------------------------------------------------------------


def _recipe(node: dict[str, Any], path: str, line: int, note: str) -> Recipe:
    unread = [note] if note else []
    directions = tuple(_directions(node.get("recipeInstructions"), "", unread, 0))
    title = next(iter(_texts(node.get("name") or node.get("headline"))), "")
    times = {
        name: _seconds(node.get(name), name, unread)
        for name in ("prepTime", "cookTime", "totalTime", "performTime")
    }
    return Recipe(
        path=path,
        line=line,
        title=title or Path(path).stem.replace("-", " "),
        yields=tuple(_texts(node.get("recipeYield", node.get("yield")))),
        ingredients=tuple(_texts(node.get("recipeIngredient", node.get("ingredients")))),
        directions=directions,
        prep_s=times["prepTime"],
        cook_s=times["cookTime"] or times["performTime"],
        total_s=times["totalTime"],
        tools=tuple(_texts(node.get("tool"))),
        url=next(iter(_texts(node.get("url"))), ""),
        language=next(iter(_texts(node.get("inLanguage"))), ""),
        unread=tuple(unread),
    )


def plain_lines(text: str) -> list[str]:
    """The lines of a text that may hold HTML, without it; entities may be written twice over."""
    for _ in range(2):
        text = html.unescape(text)
    text = _BREAKS.sub("\n", text)
    if "<" in text and ">" in text:
        try:
            text = fragment_fromstring(text, create_parent="div").text_content()
        except (etree.ParserError, ValueError):
            text = re.sub(r"<[^<>]*>", " ", text)
    return [line for line in map(clean, text.splitlines()) if line]


def _texts(value: Any, depth: int = 0) -> Iterator[str]:
    """The texts of a property, however they are wrapped."""
    if isinstance(value, str):
        yield from plain_lines(value)
    elif isinstance(value, int | float) and not isinstance(value, bool):
        yield f"{value:g}"
    elif isinstance(value, list) and depth < DEEPEST:
        for item in value:
            yield from _texts(item, depth + 1)
    elif isinstance(value, dict) and depth < DEEPEST:
        if "itemListElement" in value or "item" in value:
            yield from _texts(value.get("itemListElement", value.get("item")), depth + 1)
            return
        named = ("requiredQuantity", "value", "@value", "unitText", "name", "text", "@id")
        parts = [" ".join(_texts(value.get(name), depth + 1)) for name in named if name in value]
        whole = " ".join(filter(None, parts))
        if whole:
            yield whole


def _directions(value: Any, section: str, unread: list[str], depth: int) -> Iterator[Direction]:
    """The paragraphs of the instructions, in order, out of sections, lists and steps."""
    if depth > DEEPEST:
        unread.append("Instructions that are nested too deeply were left out.")
    elif isinstance(value, str):
        for line in plain_lines(value):
            if bare := _NUMBERING.sub("", line):
                yield Direction(bare, section)
    elif isinstance(value, list):
        for item in value:
            yield from _directions(item, section, unread, depth + 1)
    elif isinstance(value, dict):
        node = {_plain_key(key): item for key, item in value.items()}
        inner = node.get("itemListElement", node.get("item", node.get("steps")))
        name = " ".join(_texts(node.get("name")))
        if inner is not None:
            opened = name if "HowToSection" in _types(node) else ""
            yield from _directions(inner, opened or section, unread, depth + 1)
        elif said := node.get("text") or node.get("description") or name:
            yield from _directions(said, section, unread, depth + 1)
        elif node.keys() - {"@type", "@id"}:
            unread.append(f"An instruction without text: {json.dumps(value)[:200]}")
    elif value is not None:
        unread.append(f"An instruction that is no text: {str(value)[:200]}")


def _seconds(value: Any, name: str, unread: list[str]) -> int | None:
    """A duration in seconds: ISO 8601, or in words ("45 minutes"); of a range, its longer end."""
    if isinstance(value, dict):
        value = value.get("maxValue", value.get("@value", value.get("name")))
    written = " ".join(_texts(value))
    if not written:
        return None
    try:
        seconds = round(_ISO.validate_python(written.upper().strip()).total_seconds())
        if 0 <= seconds <= _LONGEST_S:
            return seconds or None
    except (ValidationError, OverflowError):
        said = [amount for amount in find_amounts(written) if amount.kind == "duration"]
        if said and isinstance(said[0].value, float) and said[0].unit:
            with suppress(ImpossibleAmount):
                told = convert(said[0].value, said[0].unit, "second").value
                return min(_LONGEST_S, round(told)) or None
    unread.append(f"{name}: {written[:200]}")
    return None
