"""eSpeak NG in this process, through the library that the wheel `espeakng_loader` carries.

The library keeps one voice, one rate and one callback for the whole process, so a clause is made
whole under a lock. Its "retrieval" mode speaks on a thread of its own and loses sound when asked
again at once; the synchronous mode does not. Piper's own eSpeak is another copy and is not touched.
"""

import ctypes
import threading
from collections.abc import Iterator
from pathlib import Path

import espeakng_loader

from assistant.audio import from_pcm
from assistant.loudness import AS_MADE, at_volume
from assistant.speak import clauses
from domain.errors import KitchenError

# Numbers of speak_lib.h (eSpeak NG 1.52).
_SYNCHRONOUS, _DONT_EXIT = 2, 0x8000
_BY_CHARACTER, _UTF8 = 1, 1
_RATE, _VOLUME = 1, 2
_NORMAL_WORDS_PER_MINUTE, _LEAST_RATE, _MOST_RATE = 165, 80, 450
_LEVEL = 130  # of its own 0 to 200; its loudest voices begin to clip here

_CALLBACK = ctypes.CFUNCTYPE(
    ctypes.c_int, ctypes.POINTER(ctypes.c_short), ctypes.c_int, ctypes.c_void_p
)
# The language tag and the name of its voice file differ only here.
_VOICE_FILES = {"en-gb": "en"}


class _Library:
    """The one eSpeak NG of this process."""

    def __init__(self) -> None:
        data = espeakng_loader.get_data_path()
        try:
            self._lib = ctypes.CDLL(espeakng_loader.get_library_path())
        except OSError as trouble:
            raise KitchenError(f"eSpeak NG's library does not load ({trouble})") from trouble
        self.rate_hz = int(self._lib.espeak_Initialize(_SYNCHRONOUS, 0, data.encode(), _DONT_EXIT))
        if self.rate_hz <= 0:
            raise KitchenError(f"eSpeak NG cannot read its data in {data}; set it up again")
        self._sound: list[bytes] = []
        self._callback = _CALLBACK(self._take)  # kept: the library holds only a bare pointer
        self._lib.espeak_SetSynthCallback(self._callback)
        self._lock = threading.Lock()
        self._variants = {file.name for file in (Path(data) / "voices" / "!v").iterdir()}

    def _take(self, wav: "ctypes._Pointer[ctypes.c_short]", samples: int, _events: int) -> int:
        if wav and samples > 0:
            self._sound.append(ctypes.string_at(wav, 2 * samples))
        return 0

    def select(self, voice: str) -> bool:
        """Make the voice current; False when there is none of that name."""
        tag, _, variant = voice.partition("+")
        if variant and variant not in self._variants:
            return False
        name = _VOICE_FILES.get(tag, tag) + (f"+{variant}" if variant else "")
        return int(self._lib.espeak_SetVoiceByName(name.encode())) == 0

    def make(self, text: str, voice: str, rate: int) -> bytes:
        """Return the whole sound of the text."""
        words = text.encode()
        with self._lock:
            self._sound = []
            self.select(voice)
            self._lib.espeak_SetParameter(_RATE, rate, 0)
            self._lib.espeak_SetParameter(_VOLUME, _LEVEL, 0)
            self._lib.espeak_Synth(words, len(words) + 1, 0, _BY_CHARACTER, 0, _UTF8, None, None)
            self._lib.espeak_Synchronize()
            return b"".join(self._sound)


_library: _Library | None = None
_loading = threading.Lock()


def _shared() -> _Library:
    global _library
    with _loading:
        if _library is None:
            _library = _Library()
        return _library


class EspeakSpeaker:
    """An eSpeak NG voice: "en-us", "en-gb", "en-gb-scotland", "en-us+f3", "ko", ...

    speed 1.0 is 165 words a minute. Raises KitchenError for a voice that it does not have.
    """

    def __init__(self, voice: str = "en-us", speed: float = 1.0, volume: float = AS_MADE) -> None:
        self._library = _shared()
        self.rate_hz = self._library.rate_hz
        self.voice, self.speed, self.volume = voice, speed, volume
        if not self._library.select(voice):
            raise KitchenError(f"eSpeak NG has no voice “{voice}”; try en-us, en-gb or en-us+f3")

    def say(self, sentence: str) -> Iterator[bytes]:
        """Yield the sentence's sound, clause by clause (mono 16-bit at rate_hz)."""
        rate = round(_NORMAL_WORDS_PER_MINUTE * self.speed)
        rate = min(max(rate, _LEAST_RATE), _MOST_RATE)
        for clause in clauses(sentence):
            made = self._library.make(clause, self.voice, rate)
            yield at_volume(from_pcm(made), self.volume)

    def prepare(self, sentence: str) -> None:
        """Nothing: it is quick enough."""
