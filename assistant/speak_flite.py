"""flite: small voices made from recordings of people, through its command-line program."""

import shutil
import subprocess
import tempfile
import wave
from collections.abc import Iterator
from pathlib import Path

from assistant.audio import from_pcm
from assistant.loudness import AS_MADE, at_volume
from assistant.speak import clauses
from domain.errors import KitchenError

RATE_HZ = 16_000
_LIMIT_S = 20.0  # no clause takes longer to make


class FliteSpeaker:
    """A flite voice: "slt", "rms", "awb". Raises KitchenError when flite is not installed."""

    rate_hz = RATE_HZ

    def __init__(self, voice: str = "slt", speed: float = 1.0, volume: float = AS_MADE) -> None:
        program = shutil.which("flite")
        if program is None:
            raise KitchenError("flite is not installed; as root, type: apt-get install flite")
        self._program = program
        self.voice, self.speed, self.volume = voice, speed, volume

    def say(self, sentence: str) -> Iterator[bytes]:
        """Yield the sentence's sound, clause by clause (mono 16-bit at 16 kHz)."""
        for clause in clauses(sentence):
            yield at_volume(from_pcm(self._made(clause)), self.volume)

    def prepare(self, sentence: str) -> None:
        """Nothing: a program of its own makes each clause, when it is said."""

    def _made(self, clause: str) -> bytes:
        with tempfile.TemporaryDirectory() as folder:
            file = Path(folder) / "clause.wav"
            stretch = f"duration_stretch={1 / self.speed:.2f}"
            command = [self._program, "-voice", self.voice, "--setf", stretch, "-t", clause]
            try:
                subprocess.run(
                    [*command, "-o", str(file)],
                    stdin=subprocess.DEVNULL,
                    capture_output=True,
                    check=True,
                    timeout=_LIMIT_S,
                )
            except subprocess.SubprocessError as trouble:
                raise KitchenError(f"flite failed ({trouble})") from trouble
            with wave.open(str(file)) as sound:
                pcm: bytes = sound.readframes(sound.getnframes())
                return pcm
