"""Sound as 16 kHz mono 16-bit PCM, from files of any kind.

Everything that listens takes `bytes` of little-endian 16-bit samples at `RATE_HZ`.
"""

import stat
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import soundfile
import soxr
from numpy.typing import NDArray

from domain.errors import KitchenError

RATE_HZ = 16_000
CHUNK_MS = 30
CHUNK_BYTES = RATE_HZ * CHUNK_MS // 1000 * 2


@dataclass
class BadAudio(KitchenError):
    """A sound file that cannot be read. `why` completes the sentence."""

    path: str
    why: str

    def __str__(self) -> str:
        return f"{self.path}: {self.why}; give a WAV or FLAC recording of speech"


def read_chunks(path: Path) -> Iterator[bytes]:
    """Chunks of `CHUNK_MS` (the last may be shorter) of a WAV, FLAC or Ogg file of any rate.

    The file is read as it is consumed, so an hour of sound takes no more memory than a second.
    Raises BadAudio for a file that is missing, empty, damaged or not sound; what comes before the
    damage is yielded first. A recording shorter than its header says is read as far as it goes.
    """
    _check_file(path)
    read_s = 0.0
    try:
        with soundfile.SoundFile(str(path)) as sound:
            if not sound.frames:
                raise BadAudio(str(path), "it holds no sound")
            for chunk in rechunk(_resampled(sound)):
                yield chunk
                read_s += len(chunk) / 2 / RATE_HZ
    except soundfile.LibsndfileError as error:
        what = f"damaged after {read_s:.0f} s" if read_s else "not sound that I can read"
        raise BadAudio(str(path), f"it is {what} ({error.error_string})") from error


def _check_file(path: Path) -> None:
    """Raise BadAudio for what cannot be a sound file, in plainer words than a sound library's."""
    try:
        about = path.stat()
        if stat.S_ISDIR(about.st_mode):
            raise BadAudio(str(path), "it is a folder")
        if not stat.S_ISREG(about.st_mode):
            raise BadAudio(str(path), "it is no file")
        path.open("rb").close()
    except FileNotFoundError as error:
        raise BadAudio(str(path), "there is no such file") from error
    except OSError as error:
        raise BadAudio(str(path), f"it cannot be opened ({error.strerror})") from error
    if not about.st_size:
        raise BadAudio(str(path), "the file is empty")


def _resampled(sound: Any) -> Iterator[bytes]:
    """The file's sound as mono PCM at RATE_HZ, a second at a time."""
    convert = (
        None
        if sound.samplerate == RATE_HZ
        else soxr.ResampleStream(sound.samplerate, RATE_HZ, 1, dtype="float32")
    )
    left = sound.frames
    while left > 0:
        block = sound.read(sound.samplerate, dtype="float32", always_2d=True)
        left = left - len(block) if len(block) else 0
        mono = block.mean(axis=1)
        yield to_pcm(convert.resample_chunk(mono, last=left <= 0) if convert else mono)


def rechunk(blocks: Iterable[bytes]) -> Iterator[bytes]:
    """The same sound in chunks of `CHUNK_MS`, the last may be shorter."""
    pending = b""
    for block in blocks:
        pending += block
        whole = len(pending) - len(pending) % CHUNK_BYTES
        for start in range(0, whole, CHUNK_BYTES):
            yield pending[start : start + CHUNK_BYTES]
        pending = pending[whole:]
    if pending:
        yield pending


def to_pcm(samples: NDArray[np.float32]) -> bytes:
    """Samples of -1 to 1 (beyond that clipped, what is not a number silent) as 16-bit PCM."""
    finite = np.nan_to_num(samples, nan=0.0, posinf=1.0, neginf=-1.0)
    return (np.clip(finite, -1.0, 1.0) * 32767).astype("<i2").tobytes()


def from_pcm(pcm: bytes) -> NDArray[np.float32]:
    """16-bit PCM as samples of -1 to 1."""
    return np.frombuffer(pcm, dtype="<i2").astype(np.float32) / np.float32(32768)


def resample(pcm: bytes, rate_hz: int, to_hz: int = RATE_HZ) -> bytes:
    """Mono PCM at rate_hz as mono PCM at to_hz."""
    return pcm if rate_hz == to_hz else to_pcm(soxr.resample(from_pcm(pcm), rate_hz, to_hz))
