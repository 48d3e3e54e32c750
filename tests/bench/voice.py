"""Figures of hearing people: `make bench-voice RECORDINGS=DIR NOISE=FILE`.

RECORDINGS is a folder with a phrase book (one .yml in Rasa's NLU format), sound files, and
`labels.json`: a list of {"file", "slots": {name: words}}. A recording is right when the words of
every slot are in what was heard. NOISE is a sound file, mixed in at several ratios of the
recording's mean power to the noise's. The language model comes from the phrase book alone.

Late is how long after the sound that ended an utterance its words were there, at the 95th
percentile, had the sound come in as from a microphone: each chunk waits for the one before it.
"""

import json
import sys
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
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
    """One recording: right or not, its least confidence, seconds of sound, of work, and late."""

    right: bool
    confidence: float
    lasted: float
    took: float
    late: tuple[float, ...]


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
    print(f"the recogniser takes {resident_mb() - before:.0f} MB")
    print("\n".join(reliability(everything)))


def line(name: str, rows: Sequence[Row]) -> str:
    """What was reached at one noise level."""
    right = [row for row in rows if row.right]
    sure = [row for row in right if row.confidence > ACTED_UPON]
    share = sum(row.took for row in rows) / sum(row.lasted for row in rows)
    late = np.percentile([one for row in rows for one in row.late], 95)
    return (
        f"{name:>6}: {len(right)} of {len(rows)} ({len(right) / len(rows):.0%}), {len(sure)} of"
        f" them above {ACTED_UPON} confidence; {share:.2f} of real time; {1000 * late:.0f} ms late"
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
    for number, label in enumerate(labels):
        sound = sound_of(folder / str(label["file"]))
        if hiss is not None and snr_db is not None:
            sound = mixed(sound, hiss, snr_db, number)
        finals, late, took = heard_live(ear, sound)
        text = f" {' '.join(final.text for final in finals)} "
        slots = label["slots"]
        assert isinstance(slots, dict)
        right = all(f" {words} " in text for words in slots.values())
        sure = min((final.confidence for final in finals), default=0.0)
        yield Row(right, sure, len(sound) / RATE_HZ, took, tuple(late))


def heard_live(
    ear: Recogniser, sound: NDArray[np.float32]
) -> tuple[list[Heard], list[float], float]:
    """The finals of a sound fed in chunks, as from a microphone; how late each was, seconds;
    and the seconds of work."""
    pcm = to_pcm(sound)
    finals, late, took, free = [], [], 0.0, 0.0
    for at in range(0, len(pcm) + CHUNK_BYTES, CHUNK_BYTES):
        chunk = pcm[at : at + CHUNK_BYTES]
        there = (at + len(chunk)) / 2 / RATE_HZ
        began = time.perf_counter()
        told = ear.feed(chunk) if chunk else ear.finish()
        spent = time.perf_counter() - began
        took, free = took + spent, max(free, there) + spent
        if told is not None and told.final:
            finals.append(told)
            late.append(free - there)
    return finals, late, took


def heard(ear: Recogniser, sound: NDArray[np.float32]) -> list[Heard]:
    """The finals of a sound fed in chunks."""
    return heard_live(ear, sound)[0]


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
