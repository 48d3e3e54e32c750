"""A neural recogniser, Moonshine (Jeffries and others 2024, “Moonshine: speech recognition for
live transcription and voice commands”), bound to what the language model can say.

Its own free decoding writes anything; here a beam follows only spellings of our words, each
weighed by the trigram, and gives its best sentences with their scores.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from math import inf

import numpy as np
import onnxruntime
from numpy.typing import NDArray

from assistant.audio import RATE_HZ
from assistant.models import installed
from assistant.network_cache import ready
from assistant.ngrams import BEGIN, END
from assistant.spellings import Node, Spellings, Tokens

MODEL = "moonshine-base-en"

# Weight of the trigram beside the network's own sense of English, and what each word is given:
# about what the trigram takes, or short sentences would always win. Of 129 unseen utterances by
# synthesised voices, 73 of them in noise, 77 were rightly understood with 1.5 a word and 85 with
# 2; 2.5 is no better. People are heard alike with 1.5 and 2.
PER_CHANCE, PER_WORD = 0.5, 2.0

# What it takes from the score when the network's own next token is let by, unheard: a part of a
# word that the language model does not have.
PER_UNKNOWN = 4.0

# Different beginnings followed at a time, and how far behind the best one may be.
BEAM, BEHIND = 6, 8.0
BEST = 12

# A token this much less likely than the network's own choice is not tried (nat).
UNLIKELY = 12.0

# More than this is not said in a second: the network repeats itself.
TOKENS_PER_S = 8

BEGIN_TOKEN, END_TOKEN = 1, 2
_HEADS, _WIDTH = 8, 52

_Samples = NDArray[np.float32]
_State = list[NDArray[np.float32]]


@dataclass(frozen=True)
class Sentence:
    """What may have been said. score: ln P of it by the network, weighed with the trigram.

    doubt: how much likelier the network found its own next tokens, over all of the sentence (nat).
    """

    words: tuple[str, ...]
    doubt: float
    score: float


@dataclass(frozen=True)
class _Path:
    """An unfinished sentence: `at` within a spelling, `beam` the number of its tokens' row.

    closed: punctuation stands after the last word: 1, a comma, more must follow; 2, it has ended.
    """

    score: float
    doubt: float
    words: tuple[str, ...]
    at: Node
    beam: int
    token: int
    closed: int = 0

    @property
    def history(self) -> tuple[str, ...]:
        return (BEGIN, *self.words)[-2:]


class Moonshine:
    """The network's two halves: what is in the sound, and which token comes next."""

    def __init__(self) -> None:
        encoder, decoder, tokens = installed(MODEL)
        self.tokens = Tokens(tokens)
        options = onnxruntime.SessionOptions()
        # One core: on the other PocketSphinx decodes, and what listens goes on.
        options.intra_op_num_threads = 1
        self._encoder = onnxruntime.InferenceSession(str(encoder), options)
        self._decoder = onnxruntime.InferenceSession(str(ready(decoder)), options)
        self._names = [
            given.name for given in self._decoder.get_inputs() if given.name.startswith("past")
        ]

    def encode(self, sound: _Samples) -> _Samples:
        hidden: _Samples = self._encoder.run(None, {"input_values": sound[None]})[0]
        return hidden

    def next(
        self, tokens: Sequence[Sequence[int]], hidden: _Samples, past: _State | None
    ) -> tuple[_Samples, _State]:
        """ln P of every token after each of these, in rows that are continued by them.

        The rows are alike in length. Returned by row and place, with the state after the last.
        """
        rows = len(tokens)
        fresh = past is None
        if past is None:
            past = [np.zeros((1, _HEADS, 0, _WIDTH), np.float32)] * len(self._names)
        if not fresh:
            hidden = hidden[:, :1]  # what is of the sound is in the state, and would be copied
        given = {
            "input_ids": np.array(tokens, np.int64),
            "encoder_hidden_states": np.broadcast_to(hidden, (rows, *hidden.shape[1:])),
            "use_cache_branch": np.array([not fresh]),
            **dict(zip(self._names, past, strict=True)),
        }
        chances, *present = self._decoder.run(None, given)
        kept = [
            new if fresh or _own(name) else old
            for name, new, old in zip(self._names, present, past, strict=True)
        ]
        chances -= chances.max(axis=2, keepdims=True)
        chances -= np.log(np.exp(chances).sum(axis=2, keepdims=True))
        return chances, kept

    def rows(self, past: _State, rows: Sequence[int]) -> _State:
        """The state of these rows; what is of the sound is one for all."""
        return [
            part[list(rows)] if _own(name) else part
            for name, part in zip(self._names, past, strict=True)
        ]


def _own(name: str) -> bool:
    return "decoder" in name


class Search:
    """Finds the likeliest sentences of the language model in a sound."""

    def __init__(self, network: Moonshine, spellings: Spellings) -> None:
        self._network = network
        self._spellings = spellings
        number = network.tokens.number
        self._marks = {number(","): 1, number("."): 2, number("?"): 2, number("!"): 2}
        self._ends = [number("."), number("?")]

    def sentences(
        self,
        sound: _Samples,
        also: Callable[[], tuple[str, ...]] = tuple,
        wanted: Callable[[], bool] = lambda: True,
    ) -> list[Sentence]:
        """The best first, and among them or after them the sentence that `also` gives.

        also: asked when the others are found, and may wait. wanted: asked at each token; none
        are found any more when it says no.
        """
        hidden = self._network.encode(sound)
        begun = self._network.next([[BEGIN_TOKEN]], hidden, None)
        found = self._search(hidden, begun, len(sound) / RATE_HZ, wanted)
        one = also()
        if one and wanted() and all(sentence.words != one for sentence in found):
            found.append(self._weighed(one, hidden, begun))
        return found

    def _weighed(
        self, words: tuple[str, ...], hidden: _Samples, begun: tuple[_Samples, _State]
    ) -> Sentence:
        """This sentence, as the network would rather have it written: all ways in one step."""
        bodies = [self._network.tokens.encode(f" {text}") for text in self._spellings.of(words)]
        rows = [[*body, mark] for body in bodies for mark in self._ends]
        longest = max(map(len, rows))
        filled = [row + [END_TOKEN] * (longest - len(row)) for row in rows]
        first, past = begun
        after, _ = self._network.next(filled, hidden, self._network.rows(past, [0] * len(rows)))
        heard, doubt = max(
            way
            for row, chances in zip(rows, after, strict=True)
            for way in _endings(row, [first[0, 0], *chances])
        )
        chance = self._spellings.ngrams.of(words)
        return Sentence(words, doubt, heard + PER_WORD * len(words) + PER_CHANCE * chance)

    def _search(
        self,
        hidden: _Samples,
        begun: tuple[_Samples, _State],
        seconds: float,
        wanted: Callable[[], bool],
    ) -> list[Sentence]:
        paths = [_Path(0.0, 0.0, (), self._spellings.root, 0, BEGIN_TOKEN)]
        done: dict[tuple[str, ...], Sentence] = {}
        chances, past = begun
        for _ in range(int(seconds * TOKENS_PER_S) + 4):
            longer: dict[tuple[tuple[str, ...], int, int], _Path] = {}
            for path in paths:
                row = chances[path.beam, -1]
                if path.at is self._spellings.root and path.words:
                    self._finish(path, row, done)
                for step in self._steps(path, row):
                    key = step.words, step.at.number, step.closed
                    if key not in longer or longer[key].score < step.score:
                        longer[key] = step
            best = max((one.score for one in done.values()), default=-inf)
            kept = sorted(longer.values(), key=lambda path: -path.score)
            if not kept or kept[0].score < best - BEHIND:
                break
            paths, tokens, parents = _beam(kept)
            if not wanted():
                return []
            chances, past = self._network.next(tokens, hidden, self._network.rows(past, parents))
        return sorted(done.values(), key=lambda one: -one.score)[:BEST]

    def _finish(self, path: _Path, row: _Samples, done: dict[tuple[str, ...], Sentence]) -> None:
        heard = float(row[END_TOKEN])
        chance = self._spellings.ngrams.chance(path.history, END)
        score = path.score + heard + PER_CHANCE * chance
        known = done.get(path.words)
        if known is None or known.score < score:
            doubt = path.doubt + float(row.max()) - heard
            done[path.words] = Sentence(path.words, doubt, score)

    def _steps(self, path: _Path, row: _Samples) -> Iterator[_Path]:
        """Every way on by one token."""
        if path.closed == 2:
            return
        root, best = self._spellings.root, float(row.max())
        if path.at is root:
            token = int(row.argmax())
            if token != END_TOKEN:
                heard, doubt = float(row[token]) - PER_UNKNOWN, path.doubt + PER_UNKNOWN
                yield _Path(path.score + heard, doubt, path.words, root, path.beam, token)
        if path.at is root and path.words and not path.closed:
            for mark, closed in self._marks.items():
                heard = float(row[mark])
                doubt = path.doubt + best - heard
                yield _Path(path.score + heard, doubt, path.words, root, path.beam, mark, closed)
        ahead = self._spellings.ahead(path.history)
        paid = 0.0 if path.at is root else float(ahead[path.at.number])
        for token in np.flatnonzero(row >= best - UNLIKELY).tolist():
            node = path.at.next.get(token)
            if node is None:
                continue
            heard = float(row[token])
            score, doubt = path.score + heard - PER_CHANCE * paid, path.doubt + best - heard
            if node.next:
                coming = PER_CHANCE * float(ahead[node.number])
                yield _Path(score + coming, doubt, path.words, node, path.beam, token)
            for said in node.said:
                gained = self._said(path.history, said)
                yield _Path(score + gained, doubt, path.words + said, root, path.beam, token)

    def _said(self, history: tuple[str, ...], said: tuple[str, ...]) -> float:
        """What the trigram and the bonus for each word make of these words."""
        all_words = history + said
        return PER_WORD * len(said) + PER_CHANCE * sum(
            self._spellings.ngrams.chance(all_words[max(0, at - 2) : at], all_words[at])
            for at in range(len(history), len(all_words))
        )


def _endings(row: list[int], chances: Sequence[_Samples]) -> Iterator[tuple[float, float]]:
    """How likely the row is, and how doubtful: as it is, and without the mark at its end."""
    for tokens in ([*row, END_TOKEN], [*row[:-1], END_TOKEN]):
        told = chances[: len(tokens)]
        heard = sum(float(one[token]) for one, token in zip(told, tokens, strict=True))
        yield heard, sum(float(one.max()) for one in told) - heard


def _beam(paths: list[_Path]) -> tuple[list[_Path], list[list[int]], list[int]]:
    """The paths that are followed, and of each row its new token and the row it came from.

    Several paths may share a row: the same tokens, read as a word or as a word's beginning.
    """
    rows: dict[tuple[int, int], int] = {}
    followed = []
    for path in paths:
        key = path.beam, path.token
        if path.score < paths[0].score - BEHIND or (key not in rows and len(rows) == BEAM):
            continue
        row = rows.setdefault(key, len(rows))
        followed.append(replace(path, beam=row))
    return followed, [[token] for _, token in rows], [parent for parent, _ in rows]
