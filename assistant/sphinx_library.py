"""PocketSphinx decoding whole utterances, while the other threads of this process go on.

The wheel's own classes keep Python's lock for as long as they decode, a quarter of a second and
more. Here the same library is called by its C interface (`pocketsphinx.h`) through ctypes, which
lets go of the lock.
"""

import ctypes
import json
from ctypes import POINTER, byref, c_char_p, c_double, c_int, c_int32, c_size_t, c_void_p
from dataclasses import dataclass

from pocketsphinx import _pocketsphinx

from domain.errors import KitchenError

_library = ctypes.CDLL(_pocketsphinx.__file__)

_SIGNATURES = {
    "ps_config_parse_json": (c_void_p, [c_void_p, c_char_p]),
    "ps_config_free": (c_int, [c_void_p]),
    "ps_init": (c_void_p, [c_void_p]),
    "ps_free": (c_int, [c_void_p]),
    "ps_start_utt": (c_int, [c_void_p]),
    "ps_process_raw": (c_int, [c_void_p, c_char_p, c_size_t, c_int, c_int]),
    "ps_end_utt": (c_int, [c_void_p]),
    "ps_get_hyp": (c_char_p, [c_void_p, c_void_p]),
    "ps_get_cmn": (c_char_p, [c_void_p, c_int]),
    "ps_get_logmath": (c_void_p, [c_void_p]),
    "logmath_exp": (c_double, [c_void_p, c_int]),
    "ps_seg_iter": (c_void_p, [c_void_p]),
    "ps_seg_next": (c_void_p, [c_void_p]),
    "ps_seg_word": (c_char_p, [c_void_p]),
    "ps_seg_prob": (c_int32, [c_void_p, *[POINTER(c_int32)] * 3]),
}
for _name, (_result, _arguments) in _SIGNATURES.items():
    _function = getattr(_library, _name)
    _function.restype, _function.argtypes = _result, _arguments


@dataclass(frozen=True)
class Word:
    """A word heard: its posterior in the lattice, and the order of the n-gram that it fell to."""

    text: str
    posterior: float
    order: int


@dataclass(frozen=True)
class Decoded:
    """What was heard in one utterance, and the mean of its features, as `set_cmn` takes it."""

    text: str
    words: tuple[Word, ...]
    mean: str


class WholeDecoder:
    """Decodes one whole utterance at a time, less the mean of its features; one thread's only."""

    def __init__(self, settings: dict[str, object]) -> None:
        """settings: PocketSphinx's own. Raises KitchenError when it cannot be made of them."""
        self._decoder = None
        config = _library.ps_config_parse_json(None, json.dumps(settings).encode())
        self._decoder = _library.ps_init(config)
        _library.ps_config_free(config)
        if not self._decoder:
            raise KitchenError(f"PocketSphinx cannot be set up with {settings}")

    def __del__(self) -> None:
        if self._decoder:
            _library.ps_free(self._decoder)

    def decode(self, pcm: bytes) -> Decoded:
        """What is said in 16-bit PCM at 16 kHz. Raises KitchenError when the library fails."""
        decoder = self._decoder
        if (
            _library.ps_start_utt(decoder) < 0
            or _library.ps_process_raw(decoder, pcm, len(pcm) // 2, False, True) < 0
            or _library.ps_end_utt(decoder) < 0
        ):
            raise KitchenError(f"PocketSphinx failed on {len(pcm) // 32} ms of sound")
        text = (_library.ps_get_hyp(decoder, None) or b"").decode()
        return Decoded(text, tuple(self._words()), _library.ps_get_cmn(decoder, False).decode())

    def _words(self) -> list[Word]:
        powers = _library.ps_get_logmath(self._decoder)
        words = []
        at = _library.ps_seg_iter(self._decoder)
        while at:
            order = c_int32()
            chance = _library.ps_seg_prob(at, c_int32(), c_int32(), byref(order))
            posterior = _library.logmath_exp(powers, chance)
            words.append(Word(_library.ps_seg_word(at).decode(), posterior, order.value))
            at = _library.ps_seg_next(at)
        return words
