"""Figures of hearing people: `make bench-voice RECORDINGS=DIR NOISE=FILE`.

RECORDINGS is a folder with a phrase book (one .yml in Rasa's NLU format), sound files, and
`labels.json`: a list of {"file", "slots": {name: words}}. A recording is right when the words of
every slot are in what was heard. NOISE is a sound file, mixed in at several ratios of the
recording's mean power to the noise's. The language model comes from the phrase book alone.

How late words are is heard at the pace of the clock, as from a microphone: every other recording,
clean and in the most noise. Late is from when the chunk of sound was there upon which speech was
taken to have ended, to when its words were; of an utterance of 12 s and more, which is not waited
for, that is not seen. Held is how long one chunk kept the caller, and so "stop" in the next. Work
is the processor's time, of all threads, as a share of the sound's.
"""

import json
import sys
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from pathlib import Path

import numpy as np
import psutil
from numpy.typing import NDArray

from assistant.audio import CHUNK_BYTES, RATE_HZ, from_pcm, read_chunks, to_pcm
from assistant.hear import Heard, Recogniser, open_recogniser
from assistant.language_model import compile_model
from assistant.models import FOLDER as MODELS
from assistant.phrasebook import read_phrase_book

SNR_DB = (None, 24, 18, 12, 6)
ACTED_UPON = 0.3
BINS = (0.0, 0.1, 0.3, 0.5, 0.7, 0.9, 1.01)


@dataclass(frozen=True)
class Row:
    """One recording: right or not, its least confidence, seconds of sound and of hearing it."""

    right: bool
    confidence: float
    lasted: float
    took: float


@dataclass
class Live:
    """What sound was like to hear at the pace of the clock, in seconds: each final late, each
    chunk held, and all of the sound and the work."""

    late: list[float] = field(default_factory=list)
    held: list[float] = field(default_factory=list)
    lasted: float = 0.0
    worked: float = 0.0

    def __str__(self) -> str:
        late = [f"{1000 * np.percentile(self.late, share):.0f}" for share in (50, 95, 100)]
        held = [f"{1000 * np.percentile(self.held, share):.0f}" for share in (50, 99, 100)]
        return (
            f"{len(self.late)} finals, ms late {'/'.join(late)} (median/95%/most); "
            f"a chunk held ms {'/'.join(held)} (median/99%/most); "
            f"work {self.worked / self.lasted:.2f} of real time"
        )


def main(arguments: Sequence[str]) -> None:
    """Print a table of each noise level; or what is missing for it."""
    folder, noise = [Path(argument) for argument in [*arguments, "", ""]][:2]
    if not (folder / "labels.json").is_file():
        print("no recordings: give RECORDINGS=DIR, a folder with labels.json, and NOISE=FILE")
        return
    labels = json.loads((folder / "labels.json").read_text(encoding="utf-8"))
    book = read_phrase_book(next(iter(sorted(folder.glob("*.yml")))))
    engine = arguments[2] if len(arguments) > 2 else "pair"
    before = resident_mb()
    ear = open_recogniser(engine, compile_model(book), MODELS)
    hiss = sound_of(noise) if noise.is_file() else None
    print(f"{engine}, {len(labels)} recordings; right: every slot's words were heard")
    everything: list[Row] = []
    for snr_db in SNR_DB if hiss is not None else (None,):
        rows = list(heard_all(ear, folder, labels, hiss, snr_db))
        everything += rows
        print(line("clean" if snr_db is None else f"{snr_db} dB", rows), flush=True)
    for snr_db in (None, SNR_DB[-1]) if hiss is not None else (None,):
        live = Live()
        for _, sound in sounds(folder, labels, hiss, snr_db)[::2]:
            hear_live(ear, sound, live)
        print(f"as from a microphone, {'clean' if snr_db is None else f'{snr_db} dB'}: {live}")
    print(f"the recogniser takes {resident_mb() - before:.0f} MB")
    print("\n".join(reliability(everything)))


def line(name: str, rows: Sequence[Row]) -> str:
    """What was reached at one noise level."""
    right = [row for row in rows if row.right]
    sure = [row for row in right if row.confidence > ACTED_UPON]
    share = sum(row.took for row in rows) / sum(row.lasted for row in rows)
    return (
        f"{name:>6}: {len(right)} of {len(rows)} ({len(right) / len(rows):.0%}), {len(sure)} of"
        f" them above {ACTED_UPON} confidence; {share:.2f} of real time"
    )


def reliability(rows: Sequence[Row]) -> Iterator[str]:
    """Beside each confidence told, how often it was right."""
    yield "confidence: recordings, right"
    for low, high in pairwise(BINS):
        within = [row.right for row in rows if low <= row.confidence < high]
        if within:
            mean = sum(within) / len(within)
            yield f"{low:.1f} to {min(high, 1.0):.1f}: {len(within)}, {mean:.0%}"


def heard_all(
    ear: Recogniser,
    folder: Path,
    labels: list[dict[str, object]],
    hiss: NDArray[np.float32] | None,
    snr_db: float | None,
) -> Iterator[Row]:
    """Every recording, heard at this noise level (None: as it is)."""
    for label, sound in sounds(folder, labels, hiss, snr_db):
        began = time.perf_counter()
        finals = heard(ear, sound)
        took = time.perf_counter() - began
        text = f" {' '.join(final.text for final in finals)} "
        slots = label["slots"]
        assert isinstance(slots, dict)
        right = all(f" {words} " in text for words in slots.values())
        sure = min((final.confidence for final in finals), default=0.0)
        yield Row(right, sure, len(sound) / RATE_HZ, took)


def sounds(
    folder: Path,
    labels: list[dict[str, object]],
    hiss: NDArray[np.float32] | None,
    snr_db: float | None,
) -> list[tuple[dict[str, object], NDArray[np.float32]]]:
    """Every recording with its label, at this noise level."""
    clean = [sound_of(folder / str(label["file"])) for label in labels]
    if hiss is None or snr_db is None:
        return list(zip(labels, clean, strict=True))
    return [
        (label, mixed(sound, hiss, snr_db, number))
        for number, (label, sound) in enumerate(zip(labels, clean, strict=True))
    ]


def hear_live(ear: Recogniser, sound: NDArray[np.float32], live: Live) -> None:
    """Feed the sound as it would come from a microphone. What only its end ended is not late."""
    began, worked = time.perf_counter(), time.process_time()
    for nth, chunk in enumerate(chunks(sound)):
        there = began + (nth * CHUNK_BYTES + len(chunk)) / 2 / RATE_HZ
        time.sleep(max(0.0, there - time.perf_counter()))
        fed = time.perf_counter()
        told = ear.feed(chunk)
        now = time.perf_counter()
        live.held.append(now - fed)
        if told is not None and told.final:
            live.late.append(now - there)
    ear.finish()
    live.lasted += len(sound) / RATE_HZ
    live.worked += time.process_time() - worked


def heard(ear: Recogniser, sound: NDArray[np.float32]) -> list[Heard]:
    """The finals of a sound fed in chunks, as fast as it goes."""
    told = [*map(ear.feed, chunks(sound)), ear.finish()]
    return [one for one in told if one is not None and one.final]


def chunks(sound: NDArray[np.float32]) -> list[bytes]:
    """The sound as a microphone gives it, piece by piece."""
    pcm = to_pcm(sound)
    return [pcm[at : at + CHUNK_BYTES] for at in range(0, len(pcm), CHUNK_BYTES)]


def resident_mb() -> float:
    """Memory of this process."""
    return psutil.Process().memory_info().rss / 2**20


def mixed(
    sound: NDArray[np.float32], hiss: NDArray[np.float32], snr_db: float, number: int
) -> NDArray[np.float32]:
    """The sound over noise from another place of the noise for each recording, by its number."""
    start = int(np.random.default_rng(number).integers(len(hiss)))
    noise = np.resize(np.roll(hiss, -start), len(sound))
    gain = np.sqrt(np.mean(sound**2) / np.mean(noise**2)) * 10 ** (-snr_db / 20)
    both: NDArray[np.float32] = sound + noise * np.float32(gain)
    return both


def sound_of(path: Path) -> NDArray[np.float32]:
    """A sound file's samples at RATE_HZ."""
    return from_pcm(b"".join(read_chunks(path)))


if __name__ == "__main__":
    main(sys.argv[1:])
