"""PocketSphinx: hears what its language model can say, with the acoustic model of its wheel."""

from collections import deque
from collections.abc import Callable
from dataclasses import dataclass
from math import exp
from pathlib import Path

import numpy as np
import pocketsphinx
from numpy.typing import NDArray

from assistant.audio import RATE_HZ, from_pcm, to_pcm
from assistant.denoise import Denoiser, Frame, NoiseMeter
from assistant.endpoint import LONGEST_MS, PRE_ROLL_MS, Endpointer
from assistant.hear import Heard
from assistant.language_model import ACOUSTIC_MODEL, LanguageModel
from assistant.models import installed

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

_BYTES_PER_MS = RATE_HZ * 2 // 1000
_FRAME = RATE_HZ // 50

_Samples = NDArray[np.float32]


@dataclass(frozen=True)
class Told:
    """What PocketSphinx makes of an utterance, and how sure it is (see `_sureness`)."""

    text: str
    posterior: float
    order: float


# What was said, by the sound as it came and by what PocketSphinx made of it.
SecondOpinion = Callable[[_Samples, Told], Heard]


class SphinxRecogniser:
    """Hears one utterance after another in a stream.

    While somebody speaks, a quick search gives partials. At a pause the utterance is decoded
    whole, with the mean of its own features taken off, and that is what the final says; or what
    a second opinion makes of it and of the sound. Raises MissingModel when the acoustic model
    is not as it was installed.
    """

    def __init__(self, model: LanguageModel, second: SecondOpinion | None = None) -> None:
        self._second = second
        # Checked here: of an altered file its library would end the whole program.
        sounds = installed(ACOUSTIC_MODEL)[0].parent
        self._live = _decoder(model, sounds, fwdflat=False, bestpath=False)
        self._whole = _decoder(model, sounds, cmn="batch")
        self._pink = _pink_noise(LONGEST_MS + 2 * PRE_ROLL_MS)
        self._denoise = Denoiser()
        self._meter = NoiseMeter()
        self._ends = Endpointer()
        self._before: deque[tuple[bytes, bytes]] = deque()
        self._raw, self._clean = bytearray(), bytearray()
        self._decoded: Heard | None = None
        self._shown = ""

    def feed(self, pcm: bytes) -> Heard | None:
        return self._take(pcm, *self._denoise.process(pcm))

    def finish(self) -> Heard | None:
        final = self._take(b"", *self._denoise.process(b"", last=True))
        if final is None or not final.final:
            final = self._final() if self._ends.speaking else None
        self._denoise = Denoiser()
        self._meter = NoiseMeter()
        self._reset()
        return final

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
            final = self._final()
            self._reset()
            return final
        if not self._ends.paused:
            self._decoded = None
        elif self._decoded is None:
            self._decoded = self._decode()
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

    def _final(self) -> Heard | None:
        heard = self._decoded or self._decode()
        return heard if heard.text else None

    def _decode(self) -> Heard:
        quiet = self._meter.snr_db >= QUIET_ROOM_DB
        sound = from_pcm(bytes(self._raw if quiet else self._clean))
        self._whole.start_utt()
        self._whole.process_raw(to_pcm(self._with_floor(sound)), full_utt=True)
        self._whole.end_utt()
        self._live.set_cmn(self._whole.get_cmn())
        told = Told(_text(self._whole), *_sureness(self._whole))
        if self._second is not None:
            return self._second(from_pcm(bytes(self._raw)), told)
        return Heard(told.text, confidence(told), final=True)

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
        self._decoded, self._shown = None, ""


def _pink_noise(length_ms: int) -> _Samples:
    """Noise of equal power in every octave from 100 Hz up, of mean square 1; always the same."""
    size = length_ms * RATE_HZ // 1000
    spectrum = np.fft.rfft(np.random.default_rng(0).normal(size=size))
    spectrum /= np.sqrt(np.maximum(np.fft.rfftfreq(size, 1 / RATE_HZ), 100))
    noise = np.fft.irfft(spectrum, size).astype(np.float32)
    unit: _Samples = noise / noise.std()
    return unit


def _decoder(model: LanguageModel, sounds: Path, **settings: object) -> pocketsphinx.Decoder:
    return pocketsphinx.Decoder(
        pocketsphinx.Config(
            hmm=str(sounds),
            lm=str(model.arpa),
            dict=str(model.words),
            lw=LANGUAGE_WEIGHT,
            loglevel="FATAL",
            **settings,
        )
    )


def _text(decoder: pocketsphinx.Decoder) -> str:
    found = decoder.hyp()
    return found.hypstr if found else ""


def _sureness(decoder: pocketsphinx.Decoder) -> tuple[float, float]:
    """The words' mean posterior in the lattice, and how much of what was heard the language model
    had met: the mean order, 1 to 3, of the n-grams that it fell back to. How well the sound fits,
    against a loop of free phones, told right from wrong no better than chance, and is not used."""
    words = [segment for segment in decoder.seg() or () if segment.word[0] not in "<["]
    if not words:
        return 0.0, 0.0
    posterior = sum(min(1.0, word.prob) for word in words) / len(words)
    return posterior, sum(word.lback for word in words) / len(words)


def confidence(told: Told) -> float:
    """Probability that every word is right."""
    sure = PER_POSTERIOR * told.posterior + PER_ORDER * told.order + ALWAYS
    return 1 / (1 + exp(-sure)) if told.text else 0.0
