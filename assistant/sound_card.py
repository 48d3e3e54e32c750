"""The sound card: chunks from the microphone, speech to the loudspeaker."""

import queue
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
import soxr
from numpy.typing import NDArray

from assistant.audio import CHUNK_MS, RATE_HZ, rechunk, to_pcm
from domain.errors import KitchenError

# Silence is sound too: a card that gives nothing for this long has gone.
_QUIET_S = 2.0

# A microphone's callback holds at most this much sound when its reader is busy.
_BACKLOG_S = 10


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
            yield from rechunk(_from_card(heard, convert))
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
