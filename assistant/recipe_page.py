"""The schema.org Recipes in a file: JSON-LD by itself, or in the scripts of an HTML page.

Read by schema.org's own definitions of Recipe, HowToSection and HowToStep (version 29), and
leniently: a property may be one value or a list, a text may hold HTML, and the JSON of many pages
is not JSON. What cannot be read is kept as text. Nothing is fetched and no link is followed.
"""

import html
import json
import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from typing import Any

from json_repair import repair_json
from lxml import etree
from lxml.html import HTMLParser, document_fromstring, fragment_fromstring
from pydantic import TypeAdapter, ValidationError

from assistant.amounts import find_amounts
from domain.errors import FileProblem

LARGEST_BYTES = 10_000_000
LARGEST_BROKEN = 500_000  # characters of a script that repairing is tried on
DEEPEST = 20  # lists and sections within one another that are looked into
_CHARSET = re.compile(rb"<meta[^>]{0,200}?charset\s*=\s*[\"']?\s*([\w-]+)", re.IGNORECASE)
_BREAKS = re.compile(r"(?i)<\s*(?:br|/p|/li|/div|/h\d)\b[^>]*>")
_NUMBERING = re.compile(r"^(?:step\s*)?\d{1,2}\s*[.):]\s+(?=\D)|^[•▢*-]\s+", re.IGNORECASE)
_ISO = TypeAdapter(timedelta)
_LONGEST_S = 30 * 86400  # what takes longer is no cooking
_SECONDS = {"second": 1, "minute": 60, "hour": 3600, "day": 86400}


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
    text = _text_of(path)
    if path.suffix.lower() in (".json", ".jsonld") or text.lstrip()[:1] in ("{", "["):
        blocks = [(1, text)]
    else:
        blocks = list(_scripts(text, str(path)))
    found: dict[tuple[Any, ...], Recipe] = {}
    kinds: set[str] = set()
    for line, block in blocks:
        value, note = _json_of(block, str(path), line)
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


# --- bytes, page, JSON --------------------------------------------------------------------------


def _text_of(path: Path) -> str:
    """The file as text, by the charset that it names, else UTF-8. Raises FileProblem."""
    shown = str(path)
    try:
        size = path.stat().st_size
        if size > LARGEST_BYTES:
            wrong = f"is {size / 1e6:.0f} MB; no recipe is larger than {LARGEST_BYTES // 10**6} MB"
            raise FileProblem(shown, 0, "", wrong, "save the page alone, without its pictures")
        data = path.read_bytes()
    except OSError as error:
        why = error.strerror or "cannot be read"
        raise FileProblem(shown, 0, "", f"cannot be opened ({why})", "check the name") from error
    named = _CHARSET.search(data[:4096])
    charset = "utf-8-sig" if not named else named[1].decode()
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        charset = "utf-16"
    try:
        return data.decode(charset)
    except LookupError as error:
        wrong = f"names a charset that nobody knows, “{charset}”"
        raise FileProblem(shown, 0, "", wrong, "save it as UTF-8") from error
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        wrong = f"holds bytes that are not {charset.removesuffix('-sig').upper()}"
        raise FileProblem(shown, line, "", wrong, "save it as UTF-8") from error


def _scripts(page: str, path: str) -> Iterator[tuple[int, str]]:
    """The JSON-LD scripts of a page, each with its line."""
    try:
        tree = document_fromstring(page.encode(), parser=HTMLParser(encoding="utf-8"))
    except (etree.ParserError, ValueError) as error:
        raise FileProblem(path, 0, "", "is no HTML page", "save the whole page again") from error
    for script in tree.iter("script"):
        if (script.get("type") or "").strip().lower().startswith("application/ld+json"):
            yield script.sourceline or 0, script.text or ""


def _json_of(block: str, path: str, line: int) -> tuple[Any, str]:
    """The JSON in a script, put right where it is broken, and then a note that says so."""
    try:
        return json.loads(block, strict=False), ""  # raw line breaks in texts are common
    except RecursionError as error:
        raise FileProblem(path, line, "", "is nested too deeply", "no recipe is") from error
    except ValueError as error:
        wrong = str(error)
    if len(block) > LARGEST_BROKEN:
        raise FileProblem(path, line, "", f"holds broken JSON ({wrong})", "save the page again")
    try:
        value = repair_json(block, return_objects=True)
    except (RecursionError, ValueError) as error:
        raise FileProblem(path, line, "", f"holds broken JSON ({wrong})", "mend it") from error
    return value, f"The page’s JSON is broken ({wrong}) and was put right; compare with the page."


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
            text = re.sub(r"<[^>]*>", " ", text)
    lines = (" ".join(_printable(line).split()) for line in text.splitlines())
    return [line for line in lines if line]


def _printable(line: str) -> str:
    """Without the signs that nobody sees and no YAML file may hold."""
    return "".join(sign if sign.isprintable() else " " for sign in line)


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
        if said and isinstance(said[0].value, float) and said[0].unit in _SECONDS:
            return min(_LONGEST_S, round(said[0].value * _SECONDS[said[0].unit])) or None
    unread.append(f"{name}: {written[:200]}")
    return None
