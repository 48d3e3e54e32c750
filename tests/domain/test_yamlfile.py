"""YAML files: what cannot be read is said with its line and a remedy."""

from collections.abc import Callable
from pathlib import Path

import pytest

from domain.errors import FileProblem
from domain.yamlfile import LARGEST_BYTES, Entry, nearest, parse, read


def entry(text: str) -> Entry:
    return parse(text, "a.yaml")


UNREADABLE = {
    "empty file": ("", "a.yaml: is empty; see the samples for what belongs in it"),
    "only a comment": ("# soon\n", "a.yaml: is empty; see the samples for what belongs in it"),
    "bad indentation": (
        "title: Rice\n serves: 4\n",
        "a.yaml:2: is not YAML (mapping values are not allowed here); "
        "check indentation, quotes and colons near this line",
    ),
    "open quote": (
        'title: "Rice\n',
        "a.yaml:2: is not YAML (found unexpected end of stream); "
        "check indentation, quotes and colons near this line",
    ),
    "two documents": (
        "a: 1\n---\nb: 2\n",
        "a.yaml:2: is not YAML (but found another document); "
        "check indentation, quotes and colons near this line",
    ),
    "unknown alias": (
        "a: *b\n",
        "a.yaml:1: is not YAML (found undefined alias 'b'); "
        "check indentation, quotes and colons near this line",
    ),
    "control character": (
        "a: 1\nb: \x07\n",
        "a.yaml:2: holds a character that YAML forbids; remove it",
    ),
    "too deep": ("[" * 5000, "a.yaml: is nested too deeply; use fewer levels"),
    "too large": (
        "#" * (LARGEST_BYTES + 1),
        "a.yaml: is larger than a megabyte; split it into smaller files",
    ),
}


@pytest.mark.parametrize("case", UNREADABLE)
def test_unreadable_files_say_why_and_where(case: str) -> None:
    text, message = UNREADABLE[case]
    with pytest.raises(FileProblem) as caught:
        parse(text, "a.yaml")
    assert str(caught.value) == message


WRONG: dict[str, tuple[Callable[[], object], str]] = {
    "twice": (
        lambda: entry("a: 1\nb: 2\na: 3\n").pairs(),
        "a.yaml:3: a: is written twice, first in line 1; keep one or rename the other",
    ),
    "unknown field, near": (
        lambda: entry("titel: Rice\n").fields(optional=("title", "serves")),
        "a.yaml:1: titel: is not a field known here; did you mean “title”?",
    ),
    "unknown field, far": (
        lambda: entry("zzz: 1\n").fields(optional=("title", "serves")),
        "a.yaml:1: zzz: is not a field known here; known here: serves, title",
    ),
    "merge keys are only fields": (
        lambda: entry("a: &x {b: 1}\n<<: *x\n").fields(optional=("a",)),
        "a.yaml:1: <<: is not a field known here; known here: a",
    ),
    "missing field": (
        lambda: entry("\na:\n  b: 1\n").pairs()["a"].fields(("b", "c")),
        "a.yaml:3: a.c: is missing; add “c: ...”",
    ),
    "not a mapping": (
        lambda: entry("- 1\n").fields(),
        "a.yaml:1: is a list; write “name: value” lines",
    ),
    "not a list": (
        lambda: entry("a: {b: 1}\n").pairs()["a"].items(),
        "a.yaml:1: a: is a group of fields; write a list",
    ),
    "nothing written": (
        lambda: entry("a:\n").pairs()["a"].text(),
        "a.yaml:1: a: is empty; write a value or leave the field out",
    ),
    "blank text": (
        lambda: entry("a: ' '\n").pairs()["a"].text(),
        "a.yaml:1: a: is empty; write a value or leave the field out",
    ),
    "a list for a text": (
        lambda: entry("a: [1]\n").pairs()["a"].text(),
        "a.yaml:1: a: is a list; write one line of text",
    ),
    "list item": (
        lambda: entry("a:\n- x\n- [y]\n").pairs()["a"].texts(),
        "a.yaml:3: a[2]: is a list; write one line of text",
    ),
    "listed twice": (
        lambda: entry("a: [x, y, x]\n").pairs()["a"].texts(),
        "a.yaml:1: a[3]: “x” is listed twice; list it once",
    ),
    "not a whole number": (
        lambda: entry("a: 2.5\n").pairs()["a"].whole(1, 9),
        "a.yaml:1: a: “2.5” is not a whole number; write a whole number from 1 to 9",
    ),
    "too large a number": (
        lambda: entry("a: 10\n").pairs()["a"].whole(1, 9),
        "a.yaml:1: a: 10 is out of range; write a whole number from 1 to 9",
    ),
    "not a number": (
        lambda: entry("a: lots\n").pairs()["a"].number(0, 1),
        "a.yaml:1: a: “lots” is not a number; write a number from 0 to 1",
    ),
    "no number at all": (
        lambda: entry("a: .nan\nb: nan\n").pairs()["b"].number(0, 1),
        "a.yaml:2: b: nan is out of range; write a number from 0 to 1",
    ),
    "neither yes nor no": (
        lambda: entry("a: maybe\n").pairs()["a"].yes(),
        "a.yaml:1: a: “maybe” is neither yes nor no; write yes or no",
    ),
    "not one of the words": (
        lambda: entry("a: watchd\n").pairs()["a"].choice(("hands-on", "watched")),
        "a.yaml:1: a: “watchd” is not known; did you mean “watched”?",
    ),
}


@pytest.mark.parametrize("case", WRONG)
def test_wrong_values_name_line_field_and_remedy(case: str) -> None:
    act, message = WRONG[case]
    with pytest.raises(FileProblem) as caught:
        act()
    assert str(caught.value) == message


def test_scalars_stay_as_written() -> None:
    pairs = entry("at: 19:30\nfan: no\ncode: 007\n").pairs()
    assert [pairs[name].text() for name in pairs] == ["19:30", "no", "007"]
    assert pairs["fan"].yes() is False


def test_one_line_counts_as_a_list_of_one() -> None:
    assert entry("a: rice\n").pairs()["a"].texts() == ("rice",)


def test_nearest_offers_nothing_when_nothing_is_like_it() -> None:
    assert nearest("simer", ["simmer", "drain"]) == "simmer"
    assert nearest("xyz", ["simmer", "drain"]) is None


def test_bytes_that_are_not_utf8_name_their_line(tmp_path: Path) -> None:
    path = tmp_path / "latin.yaml"
    path.write_bytes(b"title: Rice\nsay: cr\xe8me\n")
    with pytest.raises(FileProblem) as caught:
        read(path)
    assert (caught.value.line, caught.value.remedy) == (2, "save the file as UTF-8")


def test_a_byte_order_mark_is_no_harm(tmp_path: Path) -> None:
    path = tmp_path / "bom.yaml"
    path.write_bytes(b"\xef\xbb\xbfa: 1\n")
    assert read(path).pairs()["a"].text() == "1"


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(FileProblem, match="cannot be opened"):
        read(tmp_path / "none.yaml")
    with pytest.raises(FileProblem, match="cannot be opened"):
        read(tmp_path)
