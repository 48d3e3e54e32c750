"""A trigram read back from its ARPA file: how likely each word is after what was said."""

from functools import lru_cache
from math import log
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

BEGIN, END = "<s>", "</s>"

_LN10 = log(10)

Chances = NDArray[np.float32]


class Ngrams:
    """Natural logarithms of P(word | the two words before), for all words at once."""

    def __init__(self, arpa: Path) -> None:
        self.words: list[str] = []
        self.number: dict[str, int] = {}
        self._alone: list[float] = []
        self._after: dict[tuple[str, ...], list[tuple[int, float]]] = {}
        self._back: dict[tuple[str, ...], float] = {}
        size = 0
        for line in arpa.read_text(encoding="utf-8").splitlines():
            fields = line.split()
            if line.endswith("-grams:"):
                size = int(line[1])
            elif size and len(fields) > size:
                self._take(size, fields)
        self._ones = np.array(self._alone, np.float32)
        self.after = lru_cache(1024)(self._chances)

    def _take(self, size: int, fields: list[str]) -> None:
        gram, chance = tuple(fields[1 : size + 1]), float(fields[0]) * _LN10
        if len(fields) > size + 1:
            self._back[gram] = float(fields[-1]) * _LN10
        if size > 1:
            self._after.setdefault(gram[:-1], []).append((self.number[gram[-1]], chance))
        else:
            self.number[gram[0]] = len(self.words)
            self.words.append(gram[0])
            self._alone.append(chance)

    def _chances(self, history: tuple[str, ...]) -> Chances:
        if not history:
            return self._ones
        chances: Chances = self.after(history[1:]) + np.float32(self._back.get(history, 0.0))
        for number, chance in self._after.get(history, ()):
            chances[number] = chance
        return chances

    def chance(self, history: tuple[str, ...], word: str) -> float:
        """ln P(word | history), history being the last two words at most."""
        return float(self.after(history)[self.number[word]])

    def of(self, words: tuple[str, ...]) -> float:
        """ln P of a whole sentence."""
        said = (BEGIN, *words, END)
        return sum(self.chance(said[max(0, at - 2) : at], said[at]) for at in range(1, len(said)))
