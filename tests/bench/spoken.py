"""Figures of hearing and understanding together: unseen utterances said by eight voices.

    python -m tests.bench.spoken open            # for work
    python -m tests.bench.spoken sealed          # once, at the end
    python -m tests.bench.spoken open --each 1   # every line by every voice: over an hour

Each voice says every fifth line of a half (`--each`), another fifth from the next voice on, with
the language model of the line's menu: as it is, and over noise of the bench's own at 20 and 10 dB,
a kind for each line in turn. A line in scope is right when its intent and its amounts are, asking
back being wrong; of what is out of scope the share is told that nothing is done about.
"""

import argparse
from collections import defaultdict
from collections.abc import Callable, Iterator
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assistant import conversation, wiring
from assistant.audio import RATE_HZ, from_pcm, resample
from assistant.hear import Heard, Recogniser
from assistant.meaning import Understood
from assistant.speak import Speaker
from tests.bench.chatter import VOICES
from tests.bench.kitchen_noise import NOISES
from tests.bench.understanding import amounts_right, intent_right, lines, meant_by
from tests.bench.voice import heard, mixed

SNR_DB = (None, 20, 10)
USUAL_MENU = "harbour-supper"
_AROUND_S = 0.6

Samples = NDArray[np.float32]
Understand = Callable[[str], Understood]


def main(arguments: list[str] | None = None) -> None:
    """Print a row for each voice."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("half", choices=("open", "sealed"))
    parser.add_argument("--each", type=int, default=5, help="every which line; default: 5")
    options = parser.parse_args(arguments)
    said = list(lines(options.half))
    noises = {name: make(60.0, 1) for name, make in NOISES.items()}
    columns = ["clean" if snr is None else f"{snr} dB" for snr in SNR_DB]
    print(f"{options.half} half; in scope right / out of scope left alone, at {columns}")
    totals = [Tally() for _ in SNR_DB]
    for number, (voice, made) in enumerate(VOICES.items()):
        part = said[number % options.each :: options.each]
        row = [Tally() for _ in SNR_DB]
        for line, level, right in scored(part, made(), noises):
            for tally in (row[level], totals[level]):
                tally.add(line["intent"] is not None, right)
        print(f"{voice:26}", *row, flush=True)
    print(f"{'all':26}", *totals)


class Tally:
    """How many lines there were, in scope and out of it, and how many were right."""

    def __init__(self) -> None:
        self._right, self._of = {True: 0, False: 0}, {True: 0, False: 0}

    def add(self, in_scope: bool, right: bool) -> None:
        self._of[in_scope] += 1
        self._right[in_scope] += right

    def __str__(self) -> str:
        shares = [
            f"{self._right[scope] / max(1, self._of[scope]):4.0%} of {self._of[scope]:3}"
            for scope in (True, False)
        ]
        return " / ".join(shares) + "   "


def scored(
    said: list[dict[str, Any]], speaker: Speaker, noises: dict[str, Samples]
) -> Iterator[tuple[dict[str, Any], int, bool]]:
    """Each line, the level of noise as an index of SNR_DB, and whether it came out right."""
    by_menu: dict[str, list[tuple[int, dict[str, Any]]]] = defaultdict(list)
    for number, line in enumerate(said):
        by_menu[line.get("menu") or USUAL_MENU].append((number, line))
    for name, numbered in by_menu.items():
        menu = wiring.menu_named([name])
        ear = wiring.recogniser(menu, None)
        with wiring.understanding(menu) as understand:
            for number, line in numbered:
                noise = noises[list(noises)[number % len(noises)]]
                for level, right in at_each_level(line, speaker, ear, understand, noise, number):
                    yield line, level, right


def at_each_level(
    line: dict[str, Any],
    speaker: Speaker,
    ear: Recogniser,
    understand: Understand,
    noise: Samples,
    number: int,
) -> Iterator[tuple[int, bool]]:
    """Whether a line is right at each level of noise."""
    clean = voiced(line["say"], speaker)
    for level, snr_db in enumerate(SNR_DB):
        sound = clean if snr_db is None else mixed(clean, noise, snr_db, number)
        meant = tuple(one for one in understood(heard(ear, sound), understand) if one.intent)
        if line["intent"] is None:
            yield level, not meant
        else:
            yield level, bool(meant) and intent_right(line, meant) and amounts_right(line, meant)


def understood(finals: list[Heard], understand: Understand) -> Iterator[Understood]:
    """What is meant by what was heard well enough to be for us, as in a conversation."""
    for final in finals:
        for meant in meant_by(final.text, understand):
            if conversation.for_us(meant, final.confidence, addressed=False):
                yield meant


def voiced(words: str, speaker: Speaker) -> Samples:
    """A sentence by this voice at RATE_HZ, with near silence around it."""
    sound = from_pcm(resample(b"".join(speaker.say(words)), speaker.rate_hz))
    around = np.zeros(int(_AROUND_S * RATE_HZ), np.float32)
    return np.concatenate([around, sound, around])


if __name__ == "__main__":
    main()
