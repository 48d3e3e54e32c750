"""PocketSphinx: hears what its language model can say, with the acoustic model of its wheel."""

from collections import deque
from collections.abc import Callable
from concurrent.futures import CancelledError, Future, ThreadPoolExecutor, wait
from contextlib import suppress
from dataclasses import dataclass, field
from math import exp
from pathlib import Path
from threading import Event

import numpy as np
import pocketsphinx
from numpy.typing import NDArray

from assistant.audio import RATE_HZ, from_pcm, to_pcm
from assistant.denoise import Denoiser, Frame, NoiseMeter
from assistant.endpoint import LONGEST_MS, PRE_ROLL_MS, Endpointer
from assistant.hear import Heard
from assistant.language_model import ACOUSTIC_MODEL, LanguageModel
from assistant.models import installed
from assistant.sphinx_library import WholeDecoder, Word

LANGUAGE_WEIGHT = 9.5

# Above this ratio of speech to noise RNNoise has nothing to take away, and the sound is heard as
# it came: synthesised and telephone voices lose by it, and others gain nothing.
QUIET_ROOM_DB = 35.0

# The acoustic model was made from recordings of real rooms. Under speech that is cleaner than
# those (denoised, synthesised) a little pink noise is laid, this far below it. Measured on people
# and on synthesised voices: 28 to 42 are alike for people, 22 is worse for all, and without any
# the synthesised ones are half as often right.
FLOOR_DB = 36.0

# Logistic regression of "every word is right" on 431 utterances: sentences of the phrase book,
# half of them kept from the language model, by ten synthesised voices; people's spoken orders
# under their own model, and under a menu's as other speech; chatter; kitchen noise. In five-fold
# cross-validation the area under the curve is 0.93, and what is said and what is true differ by
# at most 0.1 in every bin. At 0.3, 93% of the right ones and 6% of other speech pass; at 0.5,
# 87% and 2%.
PER_POSTERIOR, PER_ORDER, ALWAYS = 7.77, 2.82, -12.11

# The words of a longer utterance are not waited for. It is seldom a request, and to decode it takes
# a fifth of its length: for so long "stop", and all else that is said, would not be heard. No more
# utterances than MOST_DUE are under way, as a file may be fed faster than it is decoded.
LONG_MS = 12_000
MOST_DUE = 3

_BYTES_PER_MS = RATE_HZ * 2 // 1000
_FRAME = RATE_HZ // 50

_Samples = NDArray[np.float32]


@dataclass(frozen=True)
class Told:
    """What PocketSphinx makes of an utterance, and how sure it is (see `_sureness`)."""

    text: str
    posterior: float
    order: float


@dataclass(frozen=True)
class Utterance:
    """Speech up to a pause: the sound as it came, and what PocketSphinx makes of it, once it has.

    stale: set when speech has gone on after the pause, so that nobody waits for the words.
    """

    sound: _Samples
    told: Future[Told]
    stale: Event = field(default_factory=Event)

    def wanted(self) -> bool:
        """Whether there is any use in hearing it: PocketSphinx hears words in all speech, and
        where it hears none there was only noise."""
        over = self.told.done() and not self.told.cancelled() and not self.told.exception()
        return not self.stale.is_set() and not (over and not self.told.result().text)


# What was said, by somebody who works on an utterance while PocketSphinx does.
SecondOpinion = Callable[[Utterance], Heard]


class SphinxRecogniser:
    """Hears one utterance after another in a stream.

    While somebody speaks, a quick search gives partials. From a pause on the utterance is decoded
    whole, with the mean of its own features taken off, and that is what the final says; or what
    a second opinion makes of it and of the sound. Both work in threads of this recogniser's own,
    side by side, while `feed` goes on; only the end of an utterance waits for them. A long one's
    words come with a later `feed`, when they are there, before those of any other. What is
    decoded, and so the words, depends on the sound alone. What goes wrong there is raised by the
    next `feed` or `finish`. Raises MissingModel when the acoustic model is not as it was installed.
    """

    def __init__(self, model: LanguageModel, second: SecondOpinion | None = None) -> None:
        self._second = second
        # Checked here: of an altered file its library would end the whole program.
        settings = _settings(model, installed(ACOUSTIC_MODEL)[0].parent)
        self._live = pocketsphinx.Decoder(
            pocketsphinx.Config(**settings, fwdflat=False, bestpath=False)
        )
        self._whole = WholeDecoder({**settings, "cmn": "batch"})
        self._first_thread = ThreadPoolExecutor(1, "whole utterance")
        self._second_thread = ThreadPoolExecutor(1, "second opinion")
        self._mean = ""
        self._pink = _pink_noise(LONGEST_MS + 2 * PRE_ROLL_MS)
        self._denoise = Denoiser()
        self._meter = NoiseMeter()
        self._ends = Endpointer()
        self._before: deque[tuple[bytes, bytes]] = deque()
        self._raw, self._clean = bytearray(), bytearray()
        self._ahead: tuple[Utterance, Future[Heard]] | None = None
        self._due: deque[tuple[Utterance, Future[Heard]]] = deque()
        self._dropped: list[Future[Heard]] = []
        self._shown = ""

    def feed(self, pcm: bytes) -> Heard | None:
        self._settle([one for one in self._dropped if one.done()])
        partial = self._take(pcm, *self._denoise.process(pcm))
        if not self._due or not self._due[0][1].done():
            return partial
        self._shown = ""  # a partial in its stead is told by the next
        return self._told()

    def finish(self) -> Heard | None:
        try:
            self._take(b"", *self._denoise.process(b"", last=True))
            if self._ends.speaking:
                self._end()
        finally:
            self._denoise = Denoiser()
            self._meter = NoiseMeter()
            self._reset()
        self._settle(self._dropped)
        return _joined([self._told() for _ in range(len(self._due))])

    def _take(self, raw: bytes, clean: bytes, frames: list[Frame]) -> Heard | None:
        was_speaking = self._ends.speaking
        for frame in frames:
            self._ends.push(frame.chance)
            self._meter.push(frame)
        self._before.append((raw, clean))
        if not self._ends.speaking:
            self._trim()
            return None
        if not was_speaking:
            self._live.start_utt()
        partial = self._partial(b"".join(part for _, part in self._before))
        for raw, clean in self._before:
            self._raw += raw
            self._clean += clean
        self._before.clear()
        if self._ends.ended:
            self._end()
            return None
        if not self._ends.paused:
            self._drop()
        elif self._ahead is None:
            self._ahead = self._begin()
        return partial

    def _trim(self) -> None:
        """Keep of the past only what belongs to the beginning of the next utterance."""
        held = sum(len(clean) for _, clean in self._before)
        while held - len(self._before[0][1]) > PRE_ROLL_MS * _BYTES_PER_MS:
            held -= len(self._before.popleft()[1])

    def _partial(self, clean: bytes) -> Heard | None:
        if clean:
            self._live.process_raw(clean)
        text = _text(self._live)
        if text == self._shown:
            return None
        self._shown = text
        return Heard(text, 0.0, final=False)

    def _begin(self) -> tuple[Utterance, Future[Heard]]:
        """Have what was said so far decoded, aside."""
        quiet = self._meter.snr_db >= QUIET_ROOM_DB
        raw = from_pcm(bytes(self._raw))
        sound = raw if quiet else from_pcm(bytes(self._clean))
        said = Utterance(raw, self._first_thread.submit(self._decode, sound))
        return said, self._second_thread.submit(self._second or _as_told, said)

    def _end(self) -> None:
        """The utterance is over and its words are due: now, unless it or one before it is long."""
        long = self._ends.length_ms >= LONG_MS
        said, opinion = self._ahead or self._begin()
        self._ahead = None
        self._due.append((said, opinion))
        self._reset()
        if len(self._due) > MOST_DUE:
            wait([self._due[0][1]])
        elif len(self._due) == 1 and not long:
            wait([said.told])
            wait([opinion])
            if self._mean:
                self._live.set_cmn(self._mean)

    def _told(self) -> Heard | None:
        """What was said in the first utterance that is due."""
        said, opinion = self._due.popleft()
        said.told.result()
        heard = opinion.result()
        return heard if heard.text else None

    def _drop(self) -> None:
        """Give up what was begun at a pause, after which speech has gone on."""
        if self._ahead is not None:
            said, heard = self._ahead
            said.stale.set()
            said.told.cancel()
            heard.cancel()
            self._dropped.append(heard)
            self._ahead = None

    def _settle(self, dropped: list[Future[Heard]]) -> None:
        """Wait for what was given up, and raise what went wrong in it."""
        for heard in list(dropped):
            self._dropped.remove(heard)
            with suppress(CancelledError):
                heard.result()

    def _decode(self, sound: _Samples) -> Told:
        decoded = self._whole.decode(to_pcm(self._with_floor(sound)))
        self._mean = decoded.mean
        return Told(decoded.text, *_sureness(decoded.words))

    def _with_floor(self, sound: _Samples) -> _Samples:
        frames = sound[: len(sound) // _FRAME * _FRAME].reshape(-1, _FRAME)
        powers = np.sort(np.mean(frames**2, axis=1))
        # The louder half is speech: about a second of an utterance is the silence around it.
        level = float(np.sqrt(powers[len(powers) // 2 :].mean()))
        floor = np.float32(max(level * 10 ** (-FLOOR_DB / 20), 1 / 32768))
        heard: _Samples = sound + floor * self._pink[: len(sound)]
        return heard

    def _reset(self) -> None:
        if self._ends.speaking:
            self._live.end_utt()
        self._ends.reset()
        self._meter.forget_speech()
        self._before.clear()
        self._raw.clear()
        self._clean.clear()
        self._drop()
        self._shown = ""


def _pink_noise(length_ms: int) -> _Samples:
    """Noise of equal power in every octave from 100 Hz up, of mean square 1; always the same."""
    size = length_ms * RATE_HZ // 1000
    spectrum = np.fft.rfft(np.random.default_rng(0).normal(size=size))
    spectrum /= np.sqrt(np.maximum(np.fft.rfftfreq(size, 1 / RATE_HZ), 100))
    noise = np.fft.irfft(spectrum, size).astype(np.float32)
    unit: _Samples = noise / noise.std()
    return unit


def _settings(model: LanguageModel, sounds: Path) -> dict[str, object]:
    return {
        "hmm": str(sounds),
        "lm": str(model.arpa),
        "dict": str(model.words),
        "lw": LANGUAGE_WEIGHT,
        "loglevel": "FATAL",
    }


def _as_told(said: Utterance) -> Heard:
    told = said.told.result()
    return Heard(told.text, confidence(told), final=True)


def _joined(told: list[Heard | None]) -> Heard | None:
    """Several finals as one, as sure as the least sure."""
    said = [heard for heard in told if heard is not None]
    if not said:
        return None
    sure = min(heard.confidence for heard in said)
    return Heard(" ".join(heard.text for heard in said), sure, final=True)


def _text(decoder: pocketsphinx.Decoder) -> str:
    found = decoder.hyp()
    return found.hypstr if found else ""


def _sureness(segments: tuple[Word, ...]) -> tuple[float, float]:
    """The words' mean posterior in the lattice, and how much of what was heard the language model
    had met: the mean order, 1 to 3, of the n-grams that it fell back to. How well the sound fits,
    against a loop of free phones, told right from wrong no better than chance, and is not used."""
    words = [segment for segment in segments if segment.text[0] not in "<["]
    if not words:
        return 0.0, 0.0
    posterior = sum(min(1.0, word.posterior) for word in words) / len(words)
    return posterior, sum(word.order for word in words) / len(words)


def confidence(told: Told) -> float:
    """Probability that every word is right."""
    sure = PER_POSTERIOR * told.posterior + PER_ORDER * told.order + ALWAYS
    return 1 / (1 + exp(-sure)) if told.text else 0.0
