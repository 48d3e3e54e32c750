"""The sound card: chunks from the microphone, speech to the loudspeaker.

Devices come at any rate and with any number of channels, go away and come back.
"""

import queue
import threading
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
import soxr
from numpy.typing import NDArray

from assistant.audio import CHUNK_MS, RATE_HZ, from_pcm, rechunk, to_pcm
from domain.errors import KitchenError

Device = str | None  # part of the name, or the number; None for the system's default

# Silence is sound too: a card that gives nothing for this long has gone.
_QUIET_S = 2.0
_NO_SOUND = "the microphone gives no sound; was it unplugged, or taken by another program?"

# How long after a microphone went it is looked for again.
RETRY_S = 3.0

# A microphone's callback holds at most this much sound when its reader is busy.
_BACKLOG_S = 10

_streams_open = 0
_streams = threading.Lock()


@dataclass
class NoMicrophone(KitchenError):
    """No microphone can be opened. `why` is what the sound system says; lasting: so it stays."""

    why: str
    lasting: bool = False

    def __str__(self) -> str:
        return f"I cannot listen: {self.why}; typing works as ever"


@dataclass
class NoSpeaker(KitchenError):
    """No loudspeaker can be opened. `why` is what the sound system says; lasting: so it stays."""

    why: str
    lasting: bool = False

    def __str__(self) -> str:
        return f"I cannot speak: {self.why}; I print instead"


def microphone(device: Device = None) -> Iterator[bytes]:
    """Chunks of `CHUNK_MS` from the microphone until the caller closes this generator.

    Raises NoMicrophone when there is no PortAudio, no such device, another program holds it, or
    it stops giving sound.
    """
    heard: queue.Queue[bytes] = queue.Queue(_BACKLOG_S * 1000 // CHUNK_MS)

    def take(block: NDArray[np.float32], _frames: int, _time: object, _status: object) -> None:
        if not heard.full():
            heard.put_nowait(block.mean(axis=1).tobytes())

    with _card(NoMicrophone) as card:
        found = card.query_devices(_numbered(device), "input")
        rate_hz = int(found["default_samplerate"])
        convert = soxr.ResampleStream(rate_hz, RATE_HZ, 1, dtype="float32")
        with card.InputStream(
            samplerate=rate_hz,
            blocksize=rate_hz * CHUNK_MS // 1000,
            device=found["index"],
            channels=min(2, found["max_input_channels"]),
            dtype="float32",
            callback=take,
        ) as stream:
            try:
                yield from rechunk(_from_card(heard, convert))
            except NoMicrophone:
                # To stop it would wait for sound, which a card that was taken away does not give.
                stream.abort()
                raise


def _from_card(heard: "queue.Queue[bytes]", convert: Any) -> Iterator[bytes]:
    while True:
        try:
            block = heard.get(timeout=_QUIET_S)
        except queue.Empty:
            raise NoMicrophone(_NO_SOUND) from None
        yield to_pcm(convert.resample_chunk(np.frombuffer(block, dtype=np.float32)))


def through_gaps(
    sound: Callable[[], Iterator[bytes]],
    tell: Callable[[str], None],
    over: threading.Event,
    retry_s: float = RETRY_S,
) -> Iterator[bytes]:
    """The chunks of a microphone that may go and come back, until `over` is set.

    sound: opens it. tell: is told once when it goes, and when it is back. Raises NoMicrophone
    only where it cannot come back.
    """
    gone = False
    while not over.is_set():
        try:
            for chunk in sound():
                if gone:
                    tell("I hear you again")
                    gone = False
                yield chunk
            return
        except NoMicrophone as trouble:
            if trouble.lasting:
                raise
            if not gone:
                tell(str(trouble))
            gone = True
        over.wait(retry_s)


def play(pcm: Iterable[bytes], rate_hz: int, device: Device = None) -> None:
    """Play mono 16-bit PCM as it comes, at a rate the card has; returns when it was played.

    Ending the iterable early silences what is left, at the next chunk.
    Raises NoSpeaker when there is no PortAudio, no such device, or it is held by another.
    """
    with _card(NoSpeaker) as card:
        found = card.query_devices(_numbered(device), "output")
        card_hz, channels = _taken(card, found, rate_hz)
        convert = soxr.ResampleStream(rate_hz, card_hz, 1, dtype="float32")
        with card.RawOutputStream(
            samplerate=card_hz,
            device=found["index"],
            channels=channels,
            dtype="int16",
            latency="low",
        ) as stream:
            for chunk in pcm:
                if card_hz != rate_hz:
                    chunk = to_pcm(convert.resample_chunk(from_pcm(chunk)))
                stream.write(_on_channels(chunk, channels))


def _taken(card: Any, found: Any, rate_hz: int) -> tuple[int, int]:
    """The rate and the channels, mono at our own rate where the card takes it."""
    try:
        card.check_output_settings(found["index"], 1, "int16", samplerate=rate_hz)
    except card.PortAudioError:
        return int(found["default_samplerate"]), min(2, found["max_output_channels"])
    return rate_hz, 1


def _on_channels(pcm: bytes, channels: int) -> bytes:
    return pcm if channels == 1 else np.frombuffer(pcm, "<i2").repeat(channels).tobytes()


def _numbered(device: Device) -> int | str | None:
    return int(device) if device and device.isdecimal() else device


def devices(kind: Literal["input", "output"]) -> list[str]:
    """The names of the devices that record ("input") or play. Raises NoMicrophone, NoSpeaker."""
    with _card(NoMicrophone if kind == "input" else NoSpeaker) as card:
        return [one["name"] for one in card.query_devices() if one[f"max_{kind}_channels"]]


@contextmanager
def _card(problem: type[NoMicrophone] | type[NoSpeaker]) -> Iterator[Any]:
    """The sounddevice module, for one stream; what it raises comes in words.

    PortAudio knows the devices of the moment it was started; while nothing is open it is started
    again, so that one plugged in since is found.
    """
    global _streams_open
    try:
        import sounddevice as card
    except OSError as error:
        raise problem(f"PortAudio is not installed ({error})", lasting=True) from error
    what = "microphone" if problem is NoMicrophone else "loudspeaker"
    with _streams:
        if not _streams_open:
            card._terminate()
            card._initialize()
        _streams_open += 1
    try:
        yield card
    except (card.PortAudioError, ValueError) as error:
        raise problem(_in_words(error, what)) from error
    finally:
        with _streams:
            _streams_open -= 1


def _in_words(error: Exception, what: str) -> str:
    said = str(error)
    # PortAudio's way of saying that there is no device of the kind. What another program held
    # when PortAudio looked is not among its devices.
    if "device -1" in said or said.startswith("No "):
        return f"no such {what} is to be found; is it plugged in, and does another program hold it?"
    if "Device unavailable" in said:
        return f"the {what} is not free; does another program hold it?"
    return said
