"""How a neural recogniser may write what can be said: its tokens, and a tree of spellings.

Such a recogniser was trained on written English: “I'd like 16 ounces”. Every word of ours is
allowed as it is written, with a capital, after a hyphen, and numbers in figures.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path

import numpy as np

from assistant.ngrams import BEGIN, END, Chances, Ngrams

_SPACE = "▁"
_ONES = [
    *("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"),
    *("eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen"),
    *("eighteen", "nineteen"),
]
_TENS = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]


class Tokens:
    """The vocabulary of a byte-pair encoding; a token's number is its rank in merging."""

    def __init__(self, path: Path) -> None:
        self._numbers: dict[bytes, int] = {}
        data, at = path.read_bytes(), 0
        for number in range(len(data)):
            if at >= len(data):
                break
            # A length in one byte, or in two when it is 128 and more; then the token.
            size, at = data[at], at + 1
            if size >= 128:
                size, at = size - 128 + data[at] * 128, at + 1
            # Single bytes come first, and again as characters: only the later are written.
            self._numbers[data[at : at + size]] = number
            at += size

    def number(self, token: str) -> int:
        return self._numbers[token.encode()]

    def encode(self, text: str) -> list[int]:
        """The text's tokens: the pair that ranks first is merged until no pair is a token."""
        parts = [letter.encode() for letter in text.replace(" ", _SPACE)]
        while pairs := [
            (number, at)
            for at in range(len(parts) - 1)
            if (number := self._numbers.get(parts[at] + parts[at + 1])) is not None
        ]:
            at = min(pairs)[1]
            parts[at : at + 2] = [parts[at] + parts[at + 1]]
        return [self._numbers[part] for part in parts if part in self._numbers]


@dataclass(eq=False)
class Node:
    """A place in the tree: what may follow, and what was said when a spelling ends here."""

    number: int
    next: dict[int, "Node"] = field(default_factory=dict)
    said: list[tuple[str, ...]] = field(default_factory=list)


class Spellings:
    """The tree of all spellings, and how likely each of its branches is after what was said."""

    def __init__(self, ngrams: Ngrams, tokens: Tokens) -> None:
        self.ngrams = ngrams
        self.root = Node(0)
        self._nodes = [self.root]
        self._firsts: list[set[int]] = [set()]
        for word in ngrams.words:
            if word not in (BEGIN, END):
                for written in {word, word[0].upper() + word[1:]}:
                    self._add(tokens, written, (word,))
        numbers, times = dict(_numbers()), dict(_times())
        self._figures = numbers, {**numbers, **times}
        for said, figures in [*numbers.items(), *times.items()]:
            if all(word in ngrams.number for word in said):
                self._add(tokens, figures, said)
        firsts = [sorted(first) for first in self._firsts]
        self._words = np.array([word for first in firsts for word in first])
        self._starts = np.cumsum([0, *map(len, firsts[:-1])])
        self.ahead = lru_cache(1024)(self._ahead)

    def _add(self, tokens: Tokens, written: str, said: tuple[str, ...]) -> None:
        first = self.ngrams.number[said[0]]
        for lead in (" ", "-"):
            node = self.root
            node_path = [node]
            for token in tokens.encode(lead + written):
                if token not in node.next:
                    node.next[token] = Node(len(self._nodes))
                    self._nodes.append(node.next[token])
                    self._firsts.append(set())
                node = node.next[token]
                node_path.append(node)
            node.said.append(said)
            for passed in node_path:
                self._firsts[passed.number].add(first)

    def of(self, words: tuple[str, ...]) -> list[str]:
        """The ways in which a whole sentence is likeliest written, without its last mark."""
        ways = [words, *(_in_figures(words, figures) for figures in self._figures)]
        texts = [" ".join(way) for way in ways]
        return list(dict.fromkeys(text[0].upper() + text[1:] for text in texts))

    def _ahead(self, history: tuple[str, ...]) -> Chances:
        """Of each node, ln P of the likeliest word that can still be reached from it."""
        best: Chances = np.maximum.reduceat(self.ngrams.after(history)[self._words], self._starts)
        return best


def _numbers() -> Iterator[tuple[tuple[str, ...], str]]:
    """The ways to say each number to 999, with its figures."""
    for number in range(1000):
        for said in _said(number):
            yield tuple(said), str(number)


def _times() -> Iterator[tuple[tuple[str, ...], str]]:
    """The ways to say a time of day, with its figures."""
    for hour in range(1, 13):
        for minute in range(10, 60):
            for said in _said(minute):
                yield (_ONES[hour], *said), f"{hour}:{minute}"


def _in_figures(words: tuple[str, ...], figures: dict[tuple[str, ...], str]) -> list[str]:
    """The words, as many as can be as one number in its figures."""
    longest = max(map(len, figures))
    written, at = [], 0
    while at < len(words):
        sizes = range(min(longest, len(words) - at), 0, -1)
        size = next((size for size in sizes if words[at : at + size] in figures), 1)
        written.append(figures.get(words[at : at + size], words[at]))
        at += size
    return written


def _said(number: int) -> Iterator[list[str]]:
    hundreds, rest = divmod(number, 100)
    if number < 20:
        yield [_ONES[number]]
    elif number < 100:
        tens, ones = divmod(number, 10)
        yield [_TENS[tens - 2], *([_ONES[ones]] if ones else [])]
    else:
        for lead in (_ONES[hundreds], "a") if hundreds == 1 else (_ONES[hundreds],):
            for tail in _said(rest) if rest else ([],):
                yield [lead, "hundred", *tail]
                if tail:
                    yield [lead, "hundred", "and", *tail]
        if rest >= 10:
            yield from ([_ONES[hundreds], *tail] for tail in _said(rest))
