"""Figures of hearing people: `make bench-voice RECORDINGS=DIR NOISE=FILE`.

RECORDINGS is a folder with a phrase book (one .yml in Rasa's NLU format), sound files, and
`labels.json`: a list of {"file", "slots": {name: words}}. A recording is right when the words of
every slot are in what was heard. NOISE is a sound file, mixed in at several ratios of the
recording's mean power to the noise's. The language model comes from the phrase book alone.
"""

import json
import sys
import time
from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from assistant.audio import CHUNK_BYTES, RATE_HZ, from_pcm, read_chunks, to_pcm
from assistant.hear import Heard, Recogniser
from assistant.hear_sphinx import SphinxRecogniser
from assistant.language_model import compile_model
from assistant.phrasebook import read_phrase_book

SNR_DB = (None, 24, 18, 12, 6)
ACTED_UPON = 0.3


def main(arguments: Sequence[str]) -> None:
    """Print a table of each noise level; or what is missing for it."""
    folder, noise = [Path(argument) for argument in [*arguments, "", ""]][:2]
    if not (folder / "labels.json").is_file():
        print("no recordings: give RECORDINGS=DIR, a folder with labels.json, and NOISE=FILE")
        return
    labels = json.loads((folder / "labels.json").read_text(encoding="utf-8"))
    book = read_phrase_book(next(iter(sorted(folder.glob("*.yml")))))
    ear = SphinxRecogniser(compile_model(book))
    hiss = sound_of(noise) if noise.is_file() else None
    print(f"PocketSphinx, {len(labels)} recordings; right: every slot's words were heard")
    for snr_db in SNR_DB if hiss is not None else (None,):
        rows = list(heard_all(ear, folder, labels, hiss, snr_db))
        right = [row for row in rows if row[0]]
        sure = [row for row in right if row[1] > ACTED_UPON]
        took, lasted = sum(row[2] for row in rows), sum(row[3] for row in rows)
        print(
            f"{'clean' if snr_db is None else f'{snr_db} dB':>6}: {len(right)} of {len(rows)}"
            f" ({len(right) / len(rows):.0%}), {len(sure)} of them above {ACTED_UPON}"
            f" confidence; {took / lasted:.2f} of real time",
            flush=True,
        )


def heard_all(
    ear: Recogniser,
    folder: Path,
    labels: list[dict[str, object]],
    hiss: NDArray[np.float32] | None,
    snr_db: float | None,
) -> Iterator[tuple[bool, float, float, float]]:
    """Of each recording: right, confidence, seconds it took, seconds it lasts."""
    for number, label in enumerate(labels):
        sound = sound_of(folder / str(label["file"]))
        if hiss is not None and snr_db is not None:
            sound = mixed(sound, hiss, snr_db, number)
        began = time.perf_counter()
        finals = heard(ear, sound)
        took = time.perf_counter() - began
        text = f" {' '.join(final.text for final in finals)} "
        slots = label["slots"]
        assert isinstance(slots, dict)
        right = all(f" {words} " in text for words in slots.values())
        sure = min((final.confidence for final in finals), default=0.0)
        yield right, sure, took, len(sound) / RATE_HZ


def heard(ear: Recogniser, sound: NDArray[np.float32]) -> list[Heard]:
    """The finals of a sound fed in chunks, as from a microphone."""
    pcm = to_pcm(sound)
    told = [ear.feed(pcm[at : at + CHUNK_BYTES]) for at in range(0, len(pcm), CHUNK_BYTES)]
    told.append(ear.finish())
    return [one for one in told if one is not None and one.final]


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
