"""The JSON-LD of a file: its text, the scripts of an HTML page, and JSON that is often none.

Nothing is fetched. What has to be put right to be read is told.
"""

import html
import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from json_repair import repair_json
from lxml import etree
from lxml.html import HTMLParser, document_fromstring

from domain.errors import FileProblem

LARGEST_BYTES = 10_000_000
LARGEST_BROKEN = 500_000  # characters of a script that repairing is tried on
_CHARSET = re.compile(rb"<meta[^>]{0,200}?charset\s*=\s*[\"']?\s*([\w-]+)", re.IGNORECASE)
# What some pages put around the JSON of a script.
_BLANK = "\ufeff \t\r\n;"
_BEFORE = re.compile(r"(?://|/\*)?\s*(?:<!--|<!\[CDATA\[)\s*(?:\*/)?")
_AFTER = re.compile(r"(?://|/\*)?\s*(?:-->|\]\]>)\s*(?:\*/)?$")
_LONGEST_AFTER = 20  # characters
_BETWEEN = re.compile(r"[\s;,]*")
_LENIENT = json.JSONDecoder(strict=False)  # raw line breaks in texts are common


def text_of(path: Path) -> str:
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
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        wrong = f"holds bytes that are not {charset.removesuffix('-sig').upper()}"
        raise FileProblem(shown, line, "", wrong, "save it as UTF-8") from error
    except (LookupError, UnicodeError) as error:  # the latter of the codecs “undefined” and “idna”
        wrong = f"names a charset that nobody knows, “{charset}”"
        raise FileProblem(shown, 0, "", wrong, "save it as UTF-8") from error


def scripts(page: str, path: str) -> Iterator[tuple[int, str]]:
    """The JSON-LD scripts of a page, each with its line."""
    try:
        tree = document_fromstring(page.encode(), parser=HTMLParser(encoding="utf-8"))
    except (etree.ParserError, ValueError) as error:
        raise FileProblem(path, 0, "", "is no HTML page", "save the whole page again") from error
    for script in tree.iter("script"):
        if (script.get("type") or "").strip().lower().startswith("application/ld+json"):
            yield script.sourceline or 0, script.text or ""


def json_of(block: str, path: str, line: int) -> tuple[Any, str]:
    """The JSON of a script, put right where it is broken, and then a note that says so.

    Raises FileProblem for what cannot be put right.
    """
    bare = _bare(block)
    if "&quot;" in bare and '"' not in bare:
        bare = html.unescape(bare)
    try:
        return list(_values(bare)), ""
    except RecursionError as error:
        raise FileProblem(path, line, "", "is nested too deeply", "no recipe is") from error
    except ValueError as error:
        wrong = str(error)
    if len(bare) > LARGEST_BROKEN:
        raise FileProblem(path, line, "", f"holds broken JSON ({wrong})", "save the page again")
    try:
        value = repair_json(bare, return_objects=True)
    except (RecursionError, ValueError) as error:
        raise FileProblem(path, line, "", f"holds broken JSON ({wrong})", "mend it") from error
    return value, f"The page’s JSON is broken ({wrong}) and was put right; compare with the page."


def _bare(block: str) -> str:
    """The script without what is around its JSON."""
    bare = block.strip(_BLANK)
    if before := _BEFORE.match(bare):
        bare = bare[before.end() :]
    if after := _AFTER.search(bare, max(0, len(bare) - _LONGEST_AFTER)):
        bare = bare[: after.start()]
    return bare.strip(_BLANK)


def _values(text: str) -> Iterator[Any]:
    """The values in a text, mostly one. Raises ValueError where it is not JSON."""
    at = 0
    while at < len(text):
        value, end = _LENIENT.raw_decode(text, at)
        yield value
        between = _BETWEEN.match(text, end)
        at = between.end() if between else end
