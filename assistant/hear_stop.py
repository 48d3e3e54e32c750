"""Hears "stop" over our own speech, in sound from which our own voice was taken out.

The network hears it best, and asks for so little of the sound that it can be asked again and
again while somebody else speaks; where it cannot be had, PocketSphinx listens.
"""

from collections import deque
from concurrent.futures import Executor, Future, ThreadPoolExecutor
from math import exp

import numpy as np
from numpy.typing import NDArray

from assistant.audio import CHUNK_BYTES, CHUNK_MS, from_pcm
from assistant.hear import Recogniser
from assistant.moonshine import BEGIN_TOKEN, END_TOKEN, Moonshine
from assistant.wording import plain

# So much of the latest sound is asked about, so often: 1.5 s hold more that is not the cook's, and
# "stop" is heard less surely in them.
_WINDOW_MS, _EVERY_MS = 1000, 150
# ln P of "stop" alone. Over replies, rooms and moments other than those of the figures it came to
# -1.2 or more for 31 of 35 by seven voices, with our echo 12 dB over them to 12 dB below (two of
# the others were not noticed as another voice); of our own voice to -4.1 at most in 1,296
# windows, of prose by eight voices to -7.7 in 423, and of "corner shop" over us once to -1.9.
_ENOUGH = -1.5

_CHUNKS = _WINDOW_MS // CHUNK_MS

_Samples = NDArray[np.float32]


class StopByNetwork:
    """Asks the network, aside, whether the last second held "stop" and nothing else.

    aside: where it is asked; a thread of its own unless told. What goes wrong there is raised by
    the next `take`.
    """

    def __init__(self, network: Moonshine, aside: Executor | None = None) -> None:
        self._stop = StopAlone(network)
        self._aside = aside or ThreadPoolExecutor(1, "stop")
        self._begin()

    def _begin(self) -> None:
        self._lately = deque([bytes(CHUNK_BYTES)] * _CHUNKS, maxlen=_CHUNKS)
        self._since_asked_ms = _EVERY_MS
        self._asked: Future[float] | None = None

    def take(self, pcm: bytes, others: bool) -> float | None:
        self._lately.append(pcm)
        self._since_asked_ms += CHUNK_MS
        chance = None
        if self._asked is not None and self._asked.done():
            chance, self._asked = self._asked.result(), None
        if others and self._asked is None and self._since_asked_ms >= _EVERY_MS:
            self._since_asked_ms = 0
            self._asked = self._aside.submit(self._stop, from_pcm(b"".join(self._lately)))
        return exp(chance) if chance is not None and chance >= _ENOUGH else None

    def finish(self) -> None:
        self._begin()


class StopAlone:
    """ln P, by the network, that a sound holds "stop" and nothing else; all in one step."""

    def __init__(self, network: Moonshine) -> None:
        number = network.tokens.number
        self._network = network
        self._written = [number("▁stop"), number("▁Stop")]
        self._ends = [END_TOKEN, *map(number, ".!?,")]

    def __call__(self, sound: _Samples) -> float:
        rows = [[BEGIN_TOKEN, stop] for stop in self._written]
        after, _ = self._network.next(rows, self._network.encode(sound), None)
        ended = np.logaddexp.reduce(after[:, 1, self._ends], axis=1)
        return float(np.logaddexp.reduce(after[0, 0, self._written] + ended))


class StopBySphinx:
    """PocketSphinx, by a language model of which much is "stop": heeded before it is over."""

    def __init__(self, recogniser: Recogniser) -> None:
        self._recogniser = recogniser

    def take(self, pcm: bytes, others: bool) -> float | None:
        heard = self._recogniser.feed(pcm)
        if heard is None or not others:
            return None
        return heard.confidence if plain(heard.text).split()[-1:] == ["stop"] else None

    def finish(self) -> None:
        self._recogniser.finish()
