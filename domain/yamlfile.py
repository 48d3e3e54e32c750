"""YAML files read with their line numbers, so that every complaint names file, line and field.

Scalars are kept as written: `19:30` stays text, `no` stays "no". What a value means is decided
by the reader of its field, never guessed by YAML.
"""

import re
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

import yaml
from rapidfuzz import fuzz, process

from domain.errors import FileProblem

LARGEST_BYTES = 1_000_000
_NULL = "tag:yaml.org,2002:null"
_YES_NO = {"yes": True, "true": True, "on": True, "no": False, "false": False, "off": False}


def nearest(word: str, known: Iterable[str]) -> str | None:
    """The known name most like `word`, or None when none is like it."""
    found = process.extractOne(word, list(known), scorer=fuzz.ratio, score_cutoff=60)
    return found[0] if found else None


def suggestion(word: str, known: Collection[str]) -> str:
    """A remedy for an unknown name: the nearest one, else the whole list."""
    close = nearest(word, known)
    if close:
        return f"did you mean “{close}”?"
    return f"known here: {', '.join(sorted(known)) or 'nothing'}"


@dataclass(frozen=True)
class Entry:
    """One value of a file: where it stands and what is written there."""

    path: str
    field: str
    node: yaml.Node

    def problem(self, wrong: str, remedy: str) -> FileProblem:
        """An error about this value, for the caller to raise."""
        line = self.node.start_mark.line + 1
        return FileProblem(self.path, line, self.field, wrong, remedy)

    @property
    def kind(self) -> str:
        """ "nothing", "text", "list" or "fields": the shape of what is written."""
        if isinstance(self.node, yaml.SequenceNode):
            return "list"
        if isinstance(self.node, yaml.MappingNode):
            return "fields"
        return "nothing" if self.node.tag == _NULL else "text"

    def text(self) -> str:
        """The value as one line of text. Raises FileProblem for anything else or none."""
        if self.kind == "nothing":
            raise self.problem("is empty", "write a value or leave the field out")
        if self.kind != "text":
            raise self.problem(f"is {_shape(self.kind)}", "write one line of text")
        assert isinstance(self.node, yaml.ScalarNode)
        line = " ".join(self.node.value.split())
        if not line:
            raise self.problem("is empty", "write a value or leave the field out")
        return line

    def whole(self, low: int, high: int) -> int:
        """A whole number from low to high. Raises FileProblem."""
        written = self.text()
        remedy = f"write a whole number from {low} to {high}"
        try:
            value = int(written)
        except ValueError:
            raise self.problem(f"“{written}” is not a whole number", remedy) from None
        if not low <= value <= high:
            raise self.problem(f"{value} is out of range", remedy)
        return value

    def number(self, low: float, high: float) -> float:
        """A number from low to high. Raises FileProblem."""
        written = self.text()
        remedy = f"write a number from {low:g} to {high:g}"
        try:
            value = float(written)
        except ValueError:
            raise self.problem(f"“{written}” is not a number", remedy) from None
        if not low <= value <= high:  # NaN fails this too
            raise self.problem(f"{written} is out of range", remedy)
        return value

    def yes(self) -> bool:
        """yes or no. Raises FileProblem."""
        written = self.text()
        if written.lower() not in _YES_NO:
            raise self.problem(f"“{written}” is neither yes nor no", "write yes or no")
        return _YES_NO[written.lower()]

    def choice(self, known: Collection[str]) -> str:
        """One of the known words. Raises FileProblem with the nearest."""
        written = self.text()
        if written not in known:
            raise self.problem(f"“{written}” is not known", suggestion(written, known))
        return written

    def items(self) -> tuple["Entry", ...]:
        """The entries of a list; a single line of text counts as a list of one."""
        if self.kind == "text":
            return (self,)
        if not isinstance(self.node, yaml.SequenceNode):
            raise self.problem(f"is {_shape(self.kind)}", "write a list")
        return tuple(
            Entry(self.path, f"{self.field}[{number}]", node)
            for number, node in enumerate(self.node.value, start=1)
        )

    def texts(self) -> tuple[str, ...]:
        """A list of different lines of text. Raises FileProblem."""
        lines: list[str] = []
        for item in self.items():
            line = item.text()
            if line in lines:
                raise item.problem(f"“{line}” is listed twice", "list it once")
            lines.append(line)
        return tuple(lines)

    def patterns(self, words: Mapping[str, str] | None = None) -> tuple[re.Pattern[str], ...]:
        """A list of regular expressions. words: what is written short in them, and for what.

        Raises FileProblem.
        """
        found = []
        for item in self.items():
            written = item.text()
            for word, stands_for in (words or {}).items():
                written = written.replace(word, stands_for)
            try:
                found.append(re.compile(written))
            except re.error as error:
                wrong = f"is no regular expression: {error}"
                raise item.problem(wrong, "correct it") from error
        return tuple(found)

    def pairs(self) -> dict[str, "Entry"]:
        """Names and their values, in the order written. Raises FileProblem for a name twice."""
        if not isinstance(self.node, yaml.MappingNode):
            raise self.problem(f"is {_shape(self.kind)}", "write “name: value” lines")
        pairs: dict[str, Entry] = {}
        for key_node, value_node in self.node.value:
            name = Entry(self.path, self.field or "name", key_node).text()
            field = f"{self.field}.{name}" if self.field else name
            if name in pairs:
                first = pairs[name].node.start_mark.line + 1
                twice = Entry(self.path, field, key_node)
                raise twice.problem(
                    f"is written twice, first in line {first}", "keep one or rename the other"
                )
            pairs[name] = Entry(self.path, field, value_node)
        return pairs

    def fields(
        self, required: tuple[str, ...] = (), optional: tuple[str, ...] = ()
    ) -> dict[str, "Entry"]:
        """The fields of a record. Raises FileProblem for unknown and for missing ones."""
        pairs = self.pairs()
        known = (*required, *optional)
        for name, entry in pairs.items():
            if name not in known:
                raise entry.problem("is not a field known here", suggestion(name, known))
        for name in required:
            if name not in pairs:
                field = f"{self.field}.{name}" if self.field else name
                missing = Entry(self.path, field, self.node)
                raise missing.problem("is missing", f"add “{name}: ...”")
        return pairs


def _shape(kind: str) -> str:
    shapes = {"nothing": "empty", "text": "one line of text", "list": "a list"}
    return shapes.get(kind, "a group of fields")


def read(path: Path) -> Entry:
    """The whole of a YAML file. Raises FileProblem when it cannot be read."""
    shown = str(path)
    try:
        data = path.read_bytes()
    except OSError as error:
        why = error.strerror or "cannot be read"
        raise FileProblem(shown, 0, "", f"cannot be opened ({why})", "check the name") from error
    try:
        return parse(data.decode("utf-8-sig"), shown)
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise FileProblem(
            shown, line, "", "holds bytes that are not UTF-8", "save the file as UTF-8"
        ) from error


def parse(text: str, path: str) -> Entry:
    """The YAML in `text`, which errors will name `path`. Raises FileProblem."""
    if len(text) > LARGEST_BYTES:
        raise FileProblem(path, 0, "", "is larger than a megabyte", "split it into smaller files")
    try:
        node = yaml.compose(text, Loader=yaml.SafeLoader)
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        wrong = f"is not YAML ({error.problem or error.context})"
        remedy = "check indentation, quotes and colons near this line"
        raise FileProblem(path, mark.line + 1 if mark else 0, "", wrong, remedy) from error
    except yaml.reader.ReaderError as error:
        line = text.count("\n", 0, error.position) + 1
        raise FileProblem(
            path, line, "", "holds a character that YAML forbids", "remove it"
        ) from error
    except RecursionError as error:
        raise FileProblem(path, 0, "", "is nested too deeply", "use fewer levels") from error
    if node is None:
        raise FileProblem(path, 0, "", "is empty", "see the samples for what belongs in it")
    return Entry(path, "", node)
