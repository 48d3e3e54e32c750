"""PocketSphinx: hears what its language model can say, with the acoustic model of its wheel."""

from collections import deque

import numpy as np
import pocketsphinx

from assistant.audio import RATE_HZ
from assistant.denoise import Denoiser
from assistant.endpoint import PAUSE_MS, PRE_ROLL_MS, Endpointer
from assistant.hear import Heard
from assistant.language_model import LanguageModel

# Digital silence upsets the recogniser; noise of this many units (of 32768) does not.
DITHER = 2.0

LANGUAGE_WEIGHT = 9.5

_BYTES_PER_MS = RATE_HZ * 2 // 1000


class SphinxRecogniser:
    """Hears one utterance after another in a stream.

    While somebody speaks, a quick search gives partials. At a pause the utterance is decoded
    whole, with the mean of its own features taken off, and that is what the final says.
    """

    def __init__(self, model: LanguageModel) -> None:
        self._live = _decoder(model, fwdflat=False, bestpath=False)
        self._whole = _decoder(model, cmn="batch")
        self._dither = np.random.default_rng(0)
        self._denoise = Denoiser()
        self._ends = Endpointer()
        self._before: deque[bytes] = deque()
        self._speech = bytearray()
        self._decoded: Heard | None = None
        self._shown = ""

    def feed(self, pcm: bytes) -> Heard | None:
        clean, chances = self._denoise.process(pcm)
        return self._take(clean, chances)

    def finish(self) -> Heard | None:
        clean, chances = self._denoise.process(b"", last=True)
        final = self._take(clean, chances)
        if final is None or not final.final:
            final = self._final() if self._ends.speaking else None
        self._denoise = Denoiser()
        self._reset()
        return final

    def _take(self, clean: bytes, chances: list[float]) -> Heard | None:
        was_speaking = self._ends.speaking
        for chance in chances:
            self._ends.push(chance)
        if not self._ends.speaking:
            self._keep(clean)
            return None
        if not was_speaking:
            self._live.start_utt()
            clean = b"".join(self._before) + clean
            self._before.clear()
        clean = self._dithered(clean)
        self._speech += clean
        if self._ends.ended:
            final = self._final()
            self._reset()
            return final
        if self._ends.silent_ms < PAUSE_MS:
            self._decoded = None
        elif self._decoded is None:
            self._decoded = self._decode()
        return self._partial(clean)

    def _keep(self, clean: bytes) -> None:
        """Hold what was heard last, for the beginning of the next utterance."""
        self._before.append(clean)
        while sum(map(len, self._before)) > PRE_ROLL_MS * _BYTES_PER_MS + len(clean):
            self._before.popleft()

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
        self._whole.start_utt()
        self._whole.process_raw(bytes(self._speech), full_utt=True)
        self._whole.end_utt()
        return Heard(_text(self._whole), _confidence(self._whole), final=True)

    def _reset(self) -> None:
        if self._ends.speaking:
            self._live.end_utt()
        self._ends.reset()
        self._before.clear()
        self._speech.clear()
        self._decoded, self._shown = None, ""

    def _dithered(self, pcm: bytes) -> bytes:
        samples = np.frombuffer(pcm, "<i2") + self._dither.normal(0, DITHER, len(pcm) // 2)
        return np.clip(samples, -32768, 32767).astype("<i2").tobytes()


def _decoder(model: LanguageModel, **settings: object) -> pocketsphinx.Decoder:
    return pocketsphinx.Decoder(
        pocketsphinx.Config(
            hmm=pocketsphinx.get_model_path("en-us/en-us"),
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


def _confidence(decoder: pocketsphinx.Decoder) -> float:
    """Mean posterior of the words."""
    words = [s for s in decoder.seg() or () if s.word[0] not in "<["]
    if not words:
        return 0.0
    return float(np.mean([min(1.0, word.prob) for word in words]))
