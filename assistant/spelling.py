"""How a word is said, guessed from its letters by a small neural network.

The network is that of the wheel `g2p-en` (Apache-2.0), of which only its weights are read: one
recurrent layer reads the letters, another writes the phones, as in Sutskever, Vinyals and Le 2014,
"Sequence to sequence learning with neural networks", with the gated units of Cho et al. 2014.
"""

from importlib.metadata import distribution

import numpy as np
from numpy.typing import NDArray

from assistant.published import unaccented

_LETTERS = ("<pad>", "<unk>", "</s>", *"abcdefghijklmnopqrstuvwxyz")
# What it writes, in its order; a vowel has a form for each of the three degrees of stress.
_WRITTEN = (
    "<pad> <unk> <s> </s> AA* AE* AH* AO* AW* AY* B CH D DH EH* ER* EY* F G HH IH* IY* JH K L M N"
    " NG OW* OY* P R S SH T TH UH* UW UW* V W Y Z ZH"
)
_PHONES = [name.strip("*") for name in _WRITTEN.split() for _ in range(3 if "*" in name else 1)]
_BEGIN, _END = 2, 3  # of what it writes
_LONGEST = 20  # phones

_Array = NDArray[np.float32]


class Speller:
    """Guesses pronunciations in ARPAbet. Read once: its weights are 3 MB."""

    def __init__(self) -> None:
        file = distribution("g2p-en").locate_file("g2p_en/checkpoint20.npz")
        with np.load(str(file)) as weights:
            self._of = {name: weights[name].astype(np.float32) for name in weights}

    def __call__(self, word: str) -> str:
        state = np.zeros(self._of["enc_w_hh"].shape[1], np.float32)
        for letter in (*unaccented(word), "</s>"):
            at = _LETTERS.index(letter) if letter in _LETTERS else 1
            state = self._step("enc", self._of["enc_emb"][at], state)
        said, at = [], _BEGIN
        for _ in range(_LONGEST):
            state = self._step("dec", self._of["dec_emb"][at], state)
            at = int(np.argmax(self._of["fc_w"] @ state + self._of["fc_b"]))
            if at <= _END:
                break
            said.append(_PHONES[at])
        return " ".join(said)

    def _step(self, name: str, read: _Array, state: _Array) -> _Array:
        """The state of the layer `name` after it read a letter or phone."""
        size = len(state)
        from_input = self._of[f"{name}_w_ih"] @ read + self._of[f"{name}_b_ih"]
        from_state = self._of[f"{name}_w_hh"] @ state + self._of[f"{name}_b_hh"]
        gates = 1 / (1 + np.exp(-(from_input + from_state)[: 2 * size]))
        forget, keep = gates[:size], gates[size:]
        new = np.tanh(from_input[2 * size :] + forget * from_state[2 * size :])
        after: _Array = (1 - keep) * new + keep * state
        return after
