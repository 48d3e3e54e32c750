"""Reading the phrase book, and what holds of the project's own."""

import os
import subprocess
from pathlib import Path

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from assistant.amounts import find_amounts
from assistant.known import work_out
from assistant.masking import Masker
from assistant.phrasebook import OUT_OF_SCOPE, PhraseBook, read_phrase_book
from assistant.training import HERE, write_training
from assistant.wording import exact_key, plain
from domain.errors import FileProblem

BOOK = """\
version: "3.1"
nlu:
- intent: time_left
  metadata:
    means: time left on a thing
  examples: |
    - how long left on the [rice](thing)
    - What's left on [the soup]{"entity": "thing", "role": "x"}?
- intent: timer_set
  examples:
  - set a timer for [ten minutes](duration)
- intent: out_of_scope
  examples: |
    - the [rice](thing) was lovely
- lookup: thing
  examples: |
    - rice
    - soup
- synonym: aubergine
  examples: |
    - eggplant
- regex: number
  examples: |
    - \\d+
"""


def read(tmp_path: Path, text: str) -> PhraseBook:
    (tmp_path / "book.yml").write_text(text, encoding="utf-8")
    return read_phrase_book(tmp_path / "book.yml")


def test_reads_intents_lookups_and_synonyms(tmp_path: Path) -> None:
    book = read(tmp_path, BOOK)
    assert list(book.intents) == ["time_left", "timer_set", "out_of_scope"]
    assert book.intents["time_left"].means == "time left on a thing"
    assert book.lookups == {"thing": ("rice", "soup")}
    assert book.synonyms == {"eggplant": "aubergine"}
    first, second = book.intents["time_left"].examples
    assert (first.text, first.line) == ("how long left on the rice", 7)
    assert [first.text[s.start : s.end] for s in first.spans] == ["rice"]
    assert second.text == "What's left on the soup?"
    assert second.masked == "What's left on xthing?"
    assert book.intents["timer_set"].examples[0].masked == "set a timer for xduration"


def test_reads_a_folder_as_one_book(tmp_path: Path) -> None:
    (tmp_path / "a.yml").write_text("nlu:\n- intent: yes\n  examples: |\n    - yes\n")
    (tmp_path / "b.yml").write_text("nlu:\n- intent: no\n  examples: |\n    - no\n")
    assert set(read_phrase_book(tmp_path).intents) == {"yes", "no"}


@pytest.mark.parametrize(
    ("text", "line", "wrong"),
    [
        ("nlu: [", 2, "expected node content"),
        ("rules: []", 1, "no list `nlu`"),
        ("nlu:\n- intent: a\n", 2, "neither an intent"),
        ("nlu:\n- intent: a\n  examples: |\n    - b\n    c\n", 5, "has no dash"),
        ("nlu:\n- intent: a\n  examples: |\n    - [b](thing\n", 4, "unclosed entity"),
        ('nlu:\n- intent: a\n  examples: |\n    - [b]{"x": 1}\n', 4, "names no entity"),
        (
            "nlu:\n- intent: a\n  examples: |\n    - b\n- intent: c\n  examples: |\n    - B\n",
            7,
            "is also an example of a",
        ),
    ],
)
def test_a_bad_book_is_refused_at_its_line(
    tmp_path: Path, text: str, line: int, wrong: str
) -> None:
    with pytest.raises(FileProblem, match=wrong) as caught:
        read(tmp_path, text)
    assert caught.value.line == line


THEIRS = """\
version: "3.1"
intents: [greet]
responses:
  utter_hi:
  - text: hi
nlu:
- intent: chitchat/ask_name
  examples: |
    - what is your name
    - hey
- intent: greet
  examples:
  - text: |
      - hello there
    metadata:
      sentiment: neutral
  - good morning
  - hey
- intent: order
  examples: |
    - a [large](size:big) [coffee]{"entity": "drink", "role": "first", "value": "COFFEE"}
    - [tea][{"entity": "drink"}, {"entity": "thing"}] for [me
- intent: nothing
- regex: zip
  examples: |
    - \\d{5}
stories: []
"""


def test_somebody_elses_book_is_read_with_notes(tmp_path: Path) -> None:
    (tmp_path / "theirs.yml").write_text(THEIRS, encoding="utf-8")
    book = read_phrase_book(tmp_path / "theirs.yml", lenient=True)
    assert list(book.intents) == ["chitchat/ask_name", "greet", "order"]
    assert [e.text for e in book.intents["greet"].examples] == [
        "hello there",
        "good morning",
        "hey",
    ]
    first, second = book.intents["order"].examples
    assert first.text == "a large coffee"
    assert [(s.entity, s.value) for s in first.spans] == [("size", "big"), ("drink", "COFFEE")]
    assert second.text.startswith("tea for")
    assert second.spans[0].entity == "drink"
    notes = [note.replace(str(tmp_path / "theirs.yml"), "BOOK") for note in book.notes]
    assert notes == [
        "BOOK: only `nlu` is read; left out: `intents`, `responses`, `stories`",
        "BOOK:18: greet: “hey” is also an example of chitchat/ask_name (BOOK:10);"
        " keep it under one intent",
        'BOOK:22: examples: “[tea][{"entity": "drink"}, {"entity": "thing"}] for [me”'
        " has an unclosed entity; write [words](name)",
        "BOOK:23: nlu: neither an intent, lookup, synonym nor regex with examples;"
        " write `- intent: name` and `examples: |`",
    ]
    with pytest.raises(FileProblem, match="also an example"):
        read_phrase_book(tmp_path / "theirs.yml")


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "not one example"),
        (b"rules: []", "not one example"),
        (b"nlu: words", "not one example"),
        (b"nlu:\n- intent: a\n- lookup: x\n  examples: |\n    - b\n", "not one example"),
        (b"words", "fields were expected"),
        (b"nlu:\n- a\n", "fields were expected"),
        (b"nlu:\n\t- intent: a\n", "cannot start any token"),
        (b"nlu: " + b"[" * 20_000, "nesting|is not YAML"),
        (b"nlu:\n- intent: a\n  examples:\n  - metadata: b\n", "no text"),
        ("nlu:\n- intent: crème\n".encode("latin-1"), ":2: is not UTF-8"),
        ("nlu:\n".encode("utf-16"), "is not UTF-8"),
    ],
)
def test_a_book_to_hear_by_that_holds_nothing_is_refused(
    tmp_path: Path, content: bytes, says: str
) -> None:
    (tmp_path / "theirs.yml").write_bytes(content)
    with pytest.raises(FileProblem, match=says) as caught:
        read_phrase_book(tmp_path / "theirs.yml", lenient=True)
    assert "\n" not in str(caught.value)


def test_a_file_that_cannot_be_read_is_named(tmp_path: Path) -> None:
    (tmp_path / "book.yml").write_bytes(b"\xff\xfe nlu")
    for path in (tmp_path / "book.yml", tmp_path / "none.yml", tmp_path / "empty"):
        (tmp_path / "empty").mkdir(exist_ok=True)
        with pytest.raises(FileProblem, match=path.name):
            read_phrase_book(path)


def test_the_training_copy_is_masked_with_and_without_its_things(tmp_path: Path) -> None:
    write_training(read(tmp_path, BOOK), tmp_path)
    copy = yaml.safe_load((tmp_path / "nlu.yml").read_text())
    examples = {item["intent"]: item["examples"].splitlines() for item in copy["nlu"]}
    assert examples["timer_set"] == ["- set a timer for xduration"]
    assert yaml.safe_load((tmp_path / "domain.yml").read_text())["intents"] == list(examples)
    assert examples["time_left"][:2] == ["- how long left on xthing", "- how long left on the rice"]


def test_exact_wordings_leave_out_what_is_out_of_scope(tmp_path: Path) -> None:
    known = work_out(read(tmp_path, BOOK))
    assert known.intent_of("please set a timer for xduration") == "timer_set"
    assert known.intent_of("what's left on xthing?") == "time_left"
    assert known.intent_of("xthing was lovely") is None


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("What's next?", "whats next"),
        ("um, what is next please", "what’s next"),
        ("Could you tell me what's next, thanks", "what is next"),
        ("I've burned it", "ive burnt it"),
        ("OK, stop!", "stop"),
        ("a litre of stock", "a liter of stock"),
    ],
)
def test_wordings_that_are_one(one: str, other: str) -> None:
    assert exact_key(one) == exact_key(other)


@pytest.mark.parametrize(
    ("one", "other"),
    [("can I start the rice", "start the rice"), ("well done", "done"), ("don't stop", "stop")],
)
def test_wordings_that_are_two(one: str, other: str) -> None:
    assert exact_key(one) != exact_key(other)


@given(st.text(alphabet=st.characters(codec="ascii")))
def test_the_plain_wording_of_anything_is_settled(text: str) -> None:
    once = plain(text)
    assert plain(once) == once
    assert once == once.lower()
    assert bool(exact_key(text)) == bool(once)


def test_masking_leaves_no_name_of_a_food() -> None:
    masker = Masker(["brown rice", "rice"])
    assert masker.masked("how much brown rice and 400 g of rice") == (
        "how much xthing and xmass of xthing"
    )
    assert masker.masked("is my barley done", things=[(6, 12)]) == "is xthing done"


def test_every_intent_says_what_it_means_and_has_enough_examples(phrase_book: PhraseBook) -> None:
    declared = yaml.safe_load((HERE.project / "domain.yml").read_text())["intents"]
    assert set(declared) == set(phrase_book.intents)
    for intent in phrase_book.intents.values():
        assert intent.means, intent.name
        assert len(intent.examples) >= 12, intent.name


def test_the_book_has_no_wording_under_two_intents_once_masked(phrase_book: PhraseBook) -> None:
    masker = Masker(phrase_book.lookups["thing"])
    owners: dict[str, set[str]] = {}
    for intent in phrase_book.intents.values():
        for example in intent.examples:
            things = [(s.start, s.end) for s in example.spans if s.entity == "thing"]
            owners.setdefault(masker.masked(example.text, things=things), set()).add(intent.name)
    assert {wording: names for wording, names in owners.items() if len(names) > 1} == {}


def test_the_amount_grammar_finds_what_the_book_annotates(phrase_book: PhraseBook) -> None:
    """The two need not agree on every odd wording, but must on nearly all."""
    annotated = found = 0
    for intent in phrase_book.intents.values():
        if intent.name == OUT_OF_SCOPE:
            continue
        for example in intent.examples:
            kinds = {
                (a.start, a.end, "unit" if a.value is None else a.kind)
                for a in find_amounts(example.text)
            }
            for span in example.spans:
                if span.entity != "thing":
                    annotated += 1
                    found += (span.start, span.end, span.entity) in kinds
    assert found / annotated > 0.85


def test_rasa_itself_finds_nothing_to_warn_of(tmp_path: Path) -> None:
    done = subprocess.run(
        [
            *(str(HERE.python), "-m", "rasa", "data", "validate", "--fail-on-warnings"),
            *("--data", str(HERE.phrases), "--domain", str(HERE.project / "domain.yml")),
            *("--config", str(HERE.project / "config.yml")),
        ],
        cwd=tmp_path,
        env=HERE.surroundings() | {"PATH": os.environ["PATH"]},
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout[-2000:] + done.stderr[-2000:]
