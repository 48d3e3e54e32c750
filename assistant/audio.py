"""Sound in and out: 16 kHz mono 16-bit PCM chunks from files and microphones, PCM to the card.

Everything that listens takes `bytes` of little-endian 16-bit samples at `RATE_HZ`.
"""

import queue
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

# Silence is sound too: a card that gives nothing for this long has gone.
_QUIET_S = 2.0

# A microphone's callback holds at most this much sound when its reader is busy.
_BACKLOG_S = 10


@dataclass
class BadAudio(KitchenError):
    """A sound file that cannot be read. `why` completes the sentence."""

    path: str
    why: str

    def __str__(self) -> str:
        return f"{self.path}: {self.why}; give a WAV or FLAC recording of speech"


@dataclass
class NoMicrophone(KitchenError):
    """No microphone can be opened. `why` is what the sound system says."""

    why: str

    def __str__(self) -> str:
        return f"I cannot listen: {self.why}; typing works as ever"


@dataclass
class NoSpeaker(KitchenError):
    """No loudspeaker can be opened. `why` is what the sound system says."""

    why: str

    def __str__(self) -> str:
        return f"I cannot speak: {self.why}; I print instead"


def read_chunks(path: Path) -> Iterator[bytes]:
    """Chunks of `CHUNK_MS` (the last may be shorter) of a WAV, FLAC or Ogg file of any rate.

    The file is read as it is consumed, so an hour of sound takes no more memory than a second.
    Raises BadAudio for a file that is missing, empty, cut short or not sound.
    """
    if not path.is_file():
        raise BadAudio(str(path), "there is no such file")
    if not path.stat().st_size:
        raise BadAudio(str(path), "the file is empty")
    try:
        with soundfile.SoundFile(str(path)) as sound:
            if not sound.frames:
                raise BadAudio(str(path), "it holds no sound")
            yield from _rechunk(_resampled(sound))
    except soundfile.LibsndfileError as error:
        raise BadAudio(str(path), f"it is not sound that I can read ({error.error_string})") from (
            error
        )


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


def _rechunk(blocks: Iterable[bytes]) -> Iterator[bytes]:
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


def microphone(device: int | str | None = None) -> Iterator[bytes]:
    """Chunks of `CHUNK_MS` from the microphone until the caller closes this generator.

    device: number or part of the name of a sound device; None for the system's default.
    Raises NoMicrophone when there is no PortAudio, no such device, or it stops giving sound.
    """
    card = _sound_card(NoMicrophone)
    heard: queue.Queue[bytes] = queue.Queue(_BACKLOG_S * 1000 // CHUNK_MS)
    try:
        found = card.query_devices(device, "input")
        rate_hz = int(found["default_samplerate"])
        convert = soxr.ResampleStream(rate_hz, RATE_HZ, 1, dtype="float32")

        def take(block: NDArray[np.float32], _frames: int, _time: object, _status: object) -> None:
            if not heard.full():
                heard.put_nowait(block.mean(axis=1).tobytes())

        with card.InputStream(
            samplerate=rate_hz,
            blocksize=rate_hz * CHUNK_MS // 1000,
            device=device,
            channels=min(2, found["max_input_channels"]),
            dtype="float32",
            callback=take,
        ):
            yield from _rechunk(_from_card(heard, convert))
    except (card.PortAudioError, ValueError) as error:
        raise NoMicrophone(_in_words(error, "microphone")) from error


def _from_card(heard: "queue.Queue[bytes]", convert: Any) -> Iterator[bytes]:
    while True:
        try:
            block = heard.get(timeout=_QUIET_S)
        except queue.Empty:
            raise NoMicrophone("the microphone has gone quiet; was it unplugged?") from None
        yield to_pcm(convert.resample_chunk(np.frombuffer(block, dtype=np.float32)))


def play(pcm: Iterable[bytes], rate_hz: int, device: int | str | None = None) -> None:
    """Play mono 16-bit PCM as it comes; returns when it was played.

    Ending the iterable early silences what is left, at the next chunk.
    Raises NoSpeaker when there is no PortAudio, no such device, or it is held by another.
    """
    card = _sound_card(NoSpeaker)
    try:
        with card.RawOutputStream(
            samplerate=rate_hz, device=device, channels=1, dtype="int16", latency="low"
        ) as stream:
            for chunk in pcm:
                stream.write(chunk)
    except (card.PortAudioError, ValueError) as error:
        raise NoSpeaker(_in_words(error, "loudspeaker")) from error


def _in_words(error: Exception, what: str) -> str:
    # PortAudio's way of saying that the machine has no device of the kind at all.
    return f"this machine has no {what}" if "device -1" in str(error) else str(error)


def _sound_card(problem: type[NoMicrophone] | type[NoSpeaker]) -> Any:
    """The sounddevice module, whose import fails where PortAudio is not installed."""
    try:
        import sounddevice
    except OSError as error:
        raise problem(f"PortAudio is not installed ({error})") from error
    return sounddevice
