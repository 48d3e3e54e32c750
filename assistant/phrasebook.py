"""The phrase book: what cooks say, by intent, read from Rasa's NLU YAML.

One source with four uses: it trains the intent model, feeds the recogniser's language model,
answers exact matches without the intent server, and names what can be asked.
"""

import hashlib
import json
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

import yaml

from domain.errors import FileProblem

OUT_OF_SCOPE = "out_of_scope"
MASKS = {
    kind: f"x{kind}"
    for kind in (
        "mass",
        "volume",
        "temperature",
        "length",
        "duration",
        "clock",
        "count",
        "unit",
        "thing",
    )
}
# [words](entity), [words](entity:value), [words]{"entity": ..., "value": ...}, and where words
# are several entities' at once, [words][{...}, {...}]
_ENTITY = re.compile(
    r"\[(?P<text>[^\[\]]+)\]"
    r"(?:\((?P<name>[^)]+)\)|(?P<json>\{[^}]+\})|\[(?P<first>\{[^}]+\})[^\]]*\])"
)
_LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)  # ten times as fast where it was built


@dataclass(frozen=True)
class Span:
    """An annotated entity of an example. start, end: characters of `Example.text`.

    value: what the words stand for, "" when they stand for themselves.
    """

    start: int
    end: int
    entity: str
    value: str = ""


@dataclass(frozen=True)
class Example:
    """One thing a cook may say: plain text, its entities, and where it is written."""

    text: str
    spans: tuple[Span, ...]
    path: str
    line: int

    @property
    def masked(self) -> str:
        """The text with its amounts and things replaced: "convert xmass to xunit"."""
        return mask_spans(
            self.text,
            [(s.start, s.end, MASKS[s.entity]) for s in self.spans if s.entity in MASKS],
        )


@dataclass(frozen=True)
class Intent:
    """An intent, what it means in one line ("" when not said), and its examples."""

    name: str
    means: str
    examples: tuple[Example, ...]


@dataclass(frozen=True)
class PhraseBook:
    """Everything read from the files.

    lookups: by name; synonyms: phrase to its value. digest: of the files' contents. notes: what
    was left out, each a sentence that names its file and line.
    """

    intents: dict[str, Intent]
    lookups: dict[str, tuple[str, ...]]
    synonyms: dict[str, str]
    digest: str = ""
    notes: tuple[str, ...] = ()

    def sentences(self) -> Iterator[tuple[str, str]]:
        """Every (intent, plain text of an example), in the order of the files."""
        for intent in self.intents.values():
            for example in intent.examples:
                yield intent.name, example.text


def mask_spans(text: str, spans: Iterable[tuple[int, int, str]]) -> str:
    """Replace each (start, end, placeholder) of the text. The spans must not overlap."""
    parts, done = [], 0
    for start, end, placeholder in sorted(spans):
        parts += [text[done:start], placeholder]
        done = end
    return "".join([*parts, text[done:]])


def read_phrase_book(*sources: Path, lenient: bool = False) -> PhraseBook:
    """Read NLU files, or all .yml and .yaml files of folders, as one phrase book.

    lenient: for a book of somebody else's. What only matters to a trainer is then noted and left
    out or let pass: an example under two intents, an item without examples, an entity that is
    not closed, a file without a list `nlu`.
    Raises FileProblem for these unless lenient, and for unreadable or malformed files; when
    lenient, for a book without any example as well.
    """
    reader = _Reader(lenient)
    for source in sources:
        files = sorted(f for f in source.rglob("*.y*ml")) if source.is_dir() else [source]
        if not files:
            raise FileProblem(str(source), 0, "", "no phrase book in this folder", "add a .yml")
        for file in files:
            reader.read(file)
    if lenient and not any(reader.examples.values()):
        raise FileProblem(
            ", ".join(map(str, sources)),
            0,
            "nlu",
            "there is not one example of an intent",
            "write `- intent: name` and `examples: |`",
        )
    return PhraseBook(
        {
            name: Intent(name, reader.means.get(name, ""), tuple(examples))
            for name, examples in reader.examples.items()
        },
        {name: tuple(words) for name, words in reader.lookups.items()},
        reader.synonyms,
        reader.digest.hexdigest(),
        tuple(reader.notes),
    )


class _Reader:
    """Gathers the items of several files; keeps lines for the messages."""

    def __init__(self, lenient: bool) -> None:
        self.examples: dict[str, list[Example]] = {}
        self.means: dict[str, str] = {}
        self.lookups: dict[str, list[str]] = {}
        self.synonyms: dict[str, str] = {}
        self.digest = hashlib.sha256()
        self.notes: list[str] = []
        self._lenient = lenient
        self._owners: dict[str, tuple[str, str, int]] = {}

    def read(self, file: Path) -> None:
        self._path = str(file)
        root = self._composed(file)
        fields = self._fields(root) if root else {}
        others = [name for name in fields if name not in ("nlu", "version")]
        if others:
            what = ", ".join(f"`{name}`" for name in others)
            self.notes.append(f"{self._path}: only `nlu` is read; left out: {what}")
        items = fields.get("nlu")
        if not isinstance(items, yaml.SequenceNode):
            self._object(self._line(root), "nlu", "no list `nlu`", "start the items with `nlu:`")
            return
        for item in items.value:
            self._item(item)

    def _composed(self, file: Path) -> yaml.Node | None:
        try:
            content = file.read_bytes()
            self.digest.update(content)
            root: yaml.Node | None = yaml.compose(content.decode(), Loader=_LOADER)
        except OSError as error:
            raise FileProblem(
                self._path, 0, "", f"cannot be read: {error.strerror}", "give a file that can"
            ) from error
        except UnicodeDecodeError as error:
            line = content.count(b"\n", 0, error.start) + 1
            raise FileProblem(
                self._path, line, "", f"is not UTF-8: {error.reason}", "save it as UTF-8"
            ) from error
        except (yaml.YAMLError, RecursionError) as error:
            mark = getattr(error, "problem_mark", None)
            problem = getattr(error, "problem", None) or "is not YAML"
            raise FileProblem(
                self._path, mark.line + 1 if mark else 0, "", problem, "correct the YAML"
            ) from error
        return root

    def _item(self, node: yaml.Node) -> None:
        fields = self._fields(node)
        examples = fields.get("examples")
        kind = next((k for k in ("intent", "lookup", "synonym", "regex") if k in fields), None)
        if kind is None or examples is None:
            self._object(
                self._line(node),
                "nlu",
                "neither an intent, lookup, synonym nor regex with examples",
                "write `- intent: name` and `examples: |`",
            )
            return
        name = str(fields[kind].value)
        if kind == "intent":
            self._intent(name, fields, examples)
        elif kind == "lookup":
            self.lookups.setdefault(name, []).extend(text for text, _ in self._lines(examples))
        elif kind == "synonym":
            self.synonyms.update((text, name) for text, _ in self._lines(examples))

    def _intent(self, name: str, fields: dict[str, yaml.Node], examples: yaml.Node) -> None:
        if isinstance(fields.get("metadata"), yaml.MappingNode):
            means = self._fields(fields["metadata"]).get("means")
            if means is not None:
                self.means[name] = str(means.value)
        gathered = self.examples.setdefault(name, [])
        for text, line in self._lines(examples):
            example = self._example(text, line)
            key = example.masked.lower()
            owner, path, at = self._owners.setdefault(key, (name, self._path, line))
            if owner != name:
                self._object(
                    line,
                    name,
                    f"“{example.text}” is also an example of {owner} ({path}:{at})",
                    "keep it under one intent",
                )
            gathered.append(example)

    def _lines(self, node: yaml.Node) -> Iterator[tuple[str, int]]:
        """The example texts of a block ("- text" a line) or a list, with 1-based lines."""
        first = self._line(node)
        if isinstance(node, yaml.SequenceNode):
            for item in node.value:
                text = (
                    self._fields(item).get("text") if isinstance(item, yaml.MappingNode) else item
                )
                if not isinstance(text, yaml.ScalarNode):
                    raise self._problem(item, "examples", "no text", "write `- text: words`")
                yield str(text.value).strip().removeprefix("- "), self._line(item)
            return
        offset = 1 if getattr(node, "style", None) in ("|", ">") else 0
        for number, row in enumerate(str(node.value).split("\n"), start=first + offset):
            row = row.strip()
            if not row or row.startswith("#"):
                continue
            if row.startswith("-"):
                yield row[1:].strip(), number
            else:
                self._object(number, "examples", f"“{row}” has no dash", "write `- ` before it")

    def _example(self, text: str, line: int) -> Example:
        parts, spans, done, length = [], [], 0, 0
        for match in _ENTITY.finditer(text):
            before = text[done : match.start()]
            length += len(before)
            words = match["text"]
            spans.append(Span(length, length + len(words), *self._entity(match, line)))
            parts += [before, words]
            length += len(words)
            done = match.end()
        plain = "".join([*parts, text[done:]])
        if "[" in plain or "](" in plain:
            self._object(
                line, "examples", f"“{text}” has an unclosed entity", "write [words](name)"
            )
        return Example(plain, tuple(spans), self._path, line)

    def _entity(self, match: re.Match[str], line: int) -> tuple[str, str]:
        """The entity's name and value."""
        if match["name"]:
            name, _, value = match["name"].partition(":")
            return name.strip(), value.strip()
        try:
            told = json.loads(match["json"] or match["first"])
            return str(told["entity"]), str(told.get("value", ""))
        except (ValueError, KeyError, TypeError) as error:
            raise FileProblem(
                self._path,
                line,
                "examples",
                f"{match[0]} names no entity",
                'write {"entity": "thing"}',
            ) from error

    def _fields(self, node: yaml.Node) -> dict[str, yaml.Node]:
        if not isinstance(node, yaml.MappingNode):
            raise self._problem(node, "", "fields were expected here", "write `name: value`")
        return {str(key.value): value for key, value in node.value}

    def _object(self, line: int, field: str, wrong: str, remedy: str) -> None:
        """Refuse the file, or note what is wrong with somebody else's."""
        problem = FileProblem(self._path, line, field, wrong, remedy)
        if not self._lenient:
            raise problem
        self.notes.append(str(problem))

    def _problem(self, node: yaml.Node | None, field: str, wrong: str, remedy: str) -> FileProblem:
        return FileProblem(self._path, self._line(node), field, wrong, remedy)

    @staticmethod
    def _line(node: yaml.Node | None) -> int:
        return node.start_mark.line + 1 if node else 0
