"""Pronunciations for words that the recogniser's dictionary lacks, from eSpeak NG's phonemes.

eSpeak NG keeps its state in one place per process, and the fallback voice may be using it; so
it is asked in a process of its own: `python -m assistant.pronounce VOICE...`, a word a line in,
the word and its phonemes by voice, tab-separated, a line out.
"""

import ctypes
import subprocess
import sys
import unicodedata
from collections.abc import Sequence
from pathlib import Path

from assistant.arpabet import arpabet
from domain.errors import KitchenError

# How a cook may say a word: American English, as the acoustic model, and British English.
VOICES = ("en-us", "en")  # eSpeak NG calls British English "en"

_SYNCHRONOUS = 2
_UTF8 = 1
_IPA = 2


def pronunciations(words: Sequence[str]) -> dict[str, tuple[str, ...]]:
    """Each word's pronunciations in ARPAbet, the likeliest first; none in another script.

    Raises KitchenError where eSpeak NG cannot be asked.
    """
    words = [word for word in words if _latin(word)]
    if not words:
        return {}
    asked = subprocess.run(
        [sys.executable, "-m", "assistant.pronounce", *VOICES],
        cwd=Path(__file__).parents[1],
        input="\n".join(words),
        capture_output=True,
        encoding="utf-8",
        check=False,
    )
    if asked.returncode:
        raise KitchenError(f"eSpeak NG does not tell how words are said: {asked.stderr.strip()}")
    said = (row.split("\t") for row in asked.stdout.splitlines())
    return {
        word: tuple(dict.fromkeys(filter(None, map(arpabet, phonemes)))) for word, *phonemes in said
    }


def _latin(word: str) -> bool:
    """Whether it is written as English is; of other scripts eSpeak NG tells the letters' names."""
    return all(
        unicodedata.name(letter, "").startswith("LATIN") for letter in word if letter.isalpha()
    )


def _phonemes(library: ctypes.CDLL, word: str) -> str:
    text = ctypes.c_char_p(word.encode())
    said = []
    while text.value:  # the library moves the pointer on by clauses, to NULL at the end
        said.append(library.espeak_TextToPhonemes(ctypes.byref(text), _UTF8, _IPA).decode())
    return "".join(said)


def main(voices: Sequence[str]) -> None:
    import espeakng_loader

    library = ctypes.CDLL(espeakng_loader.get_library_path())
    library.espeak_TextToPhonemes.restype = ctypes.c_char_p
    data = espeakng_loader.get_data_path().encode()
    library.espeak_Initialize(_SYNCHRONOUS, 0, data, 0)
    words = sys.stdin.read().split()
    columns = []
    for voice in voices:
        library.espeak_SetVoiceByName(voice.encode())
        columns.append([_phonemes(library, word) for word in words])
    for word, *phonemes in zip(words, *columns, strict=True):
        print(word, *phonemes, sep="\t")


if __name__ == "__main__":
    main(sys.argv[1:])
