"""`hobside soundcheck`: what the microphone hears of the room and the cook, and what to do."""

import itertools
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from math import inf, log10

import numpy as np

from assistant.audio import CHUNK_MS, from_pcm
from assistant.denoise import FRAME_MS, Denoiser, Frame, NoiseMeter
from assistant.sound_card import Device, NoMicrophone, devices, microphone

# Hearing loses a word in ten at 6 dB of kitchen noise and hardly any from 12 dB on (README).
_NOISY_DB, _FAIR_DB = 6.0, 12.0
# Speech this quiet comes near the steps of 16-bit sound and the hiss of cheap cards: our choice.
_FAINT_DBFS = -50.0
# A share of samples at full scale that is more than a door that slams: our choice.
_CLIPPED = 0.0005
# What speaks for less than this did not speak: our choice.
_SPOKEN_MS = 500
# The level that a fifth of the time is below is the room's, between the words: our choice. (The
# chance of speech does not tell noise that is steady from speech.)
_QUIET = 0.2
_FULL_SCALE = 32_766 / 32_768


@dataclass(frozen=True)
class Room:
    """What ten seconds told. Levels in dB below full scale (mean square; -inf for none).

    speech_dbfs is None when nobody spoke; clipped: the share of samples at full scale; dead: the
    microphone gave nothing but zeros.
    """

    noise_dbfs: float
    speech_dbfs: float | None
    clipped: float
    dead: bool

    @property
    def above_noise_db(self) -> float:
        """How far speech stands above the noise; inf where there is none of either."""
        return inf if self.speech_dbfs is None else self.speech_dbfs - self.noise_dbfs


def listened(chunks: Iterable[bytes]) -> Room:
    """What these chunks (16 kHz mono PCM) tell of the room."""
    denoiser, frames = Denoiser(), list[Frame]()
    count = clipped = loudest = 0
    for chunk in chunks:
        samples = np.abs(from_pcm(chunk))
        count += len(samples)
        clipped += int((samples >= _FULL_SCALE).sum())
        loudest = max(loudest, int(samples.max(initial=0) * 32_768))
        frames += denoiser.process(chunk)[1]
    noise = float(np.quantile([frame.power for frame in frames], _QUIET)) if frames else 0.0
    # A hiss alone has moments that pass for speech, but they are no louder than it is.
    speech = [
        frame.power
        for frame in frames
        if frame.chance >= NoiseMeter.SPEECH and frame.power > 2 * noise
    ]
    spoke = len(speech) * FRAME_MS >= _SPOKEN_MS
    return Room(
        noise_dbfs=_decibels(noise),
        speech_dbfs=_decibels(sum(speech) / len(speech)) if spoke else None,
        clipped=clipped / count if count else 0.0,
        dead=loudest == 0,
    )


def _decibels(power: float) -> float:
    return 10 * log10(power) if power > 0 else -inf


def advice(room: Room) -> Iterator[str]:
    """What was found and what to do about it, a sentence each, the worst first."""
    if room.dead:
        yield "The microphone gives only silence: switch it on, or choose another."
        return
    if room.clipped > _CLIPPED:
        yield "Loud sounds are cut off: turn its level down, or move it away from the hob."
    if room.speech_dbfs is None:
        yield "I heard nobody speak: say something next time, or come nearer."
        return
    if room.speech_dbfs < _FAINT_DBFS:
        yield "You are faint: turn the microphone's level up, or move it nearer."
    if room.above_noise_db < _NOISY_DB:
        yield "The room is as loud as you are: move the microphone nearer, or turn the hood down."
    elif room.above_noise_db < _FAIR_DB:
        yield "The room is noisy, some words will be missed: nearer would be better."
    elif room.clipped <= _CLIPPED and room.speech_dbfs >= _FAINT_DBFS:
        yield "You are heard well."


def command(device: Device, seconds: float, tell: Callable[[str], None]) -> int:
    """Listen and tell; the exit status. Raises NoMicrophone."""
    known = devices("input")
    if not known:
        raise NoMicrophone("this machine has no microphone")
    tell(f"Microphones: {'; '.join(known)}.")
    tell(f"Listening for {seconds:g} seconds: say something, as you would at the hob.")
    sound = microphone(device)
    room = listened(itertools.islice(sound, int(seconds * 1000 / CHUNK_MS)))
    sound.close()  # type: ignore[attr-defined]  # a generator
    tell(f"Noise {_shown(room.noise_dbfs)}, speech {_shown(room.speech_dbfs)}.")
    tell(f"{room.clipped:.1%} of the sound is cut off.")
    for line in advice(room):
        tell(line)
    return 0


def _shown(dbfs: float | None) -> str:
    if dbfs is None:
        return "none"
    return f"{dbfs:.0f} dB below full scale".replace("-", "") if dbfs > -inf else "none"
