"""The wheel's voice cut in two."""

from pathlib import Path

import numpy as np
import pytest

from assistant import models
from assistant.speak_piper_halves import Halves, cut_once
from domain.errors import KitchenError

_WHEEL = models.installed("en_US-joe-medium")[0]
_HOP = 256  # the voice's own, in its .onnx.json
_PHONEMES = [1, 0, *range(14, 60), 0, 2]


def test_the_pieces_joined_are_the_sound_of_the_whole(monkeypatch: pytest.MonkeyPatch) -> None:
    halves = Halves(_WHEEL, _HOP)
    frames = halves.front.run(
        None,
        {
            "input": np.array([_PHONEMES], np.int64),
            "input_lengths": np.array([len(_PHONEMES)], np.int64),
            "scales": np.array([0.667, 1.0, 0.8], np.float32),
        },
    )[0]
    whole = halves._sound(frames, 0, frames.shape[2])
    monkeypatch.setattr(halves, "front", Fixed(frames))
    pieces = [np.frombuffer(p, np.float32) for p in halves.pieces(_PHONEMES, (0.667, 1.0, 0.8))]
    assert len(pieces) > 2
    assert len(pieces[0]) < 0.2 * 22050  # a first piece is a fifth of a second at most
    assert np.abs(whole).max() > 0.1
    np.testing.assert_allclose(np.concatenate(pieces), whole, atol=1e-4)


class Fixed:
    """A front that always gives these frames; the real one draws its timing at random."""

    def __init__(self, frames: np.ndarray) -> None:
        self._frames = frames

    def run(self, _names: None, _asked: dict[str, np.ndarray]) -> list[np.ndarray]:
        return [self._frames]


def test_a_voice_is_cut_once_and_a_spoilt_half_is_made_anew(own_folders: Path) -> None:
    front, decoder = cut_once(_WHEEL)
    made_at = decoder.stat().st_mtime_ns
    assert cut_once(_WHEEL) == (front, decoder)
    assert decoder.stat().st_mtime_ns == made_at
    decoder.write_bytes(b"cut short")
    with pytest.raises(KitchenError, match="made anew at the next start"):
        Halves(_WHEEL, _HOP)
    Halves(_WHEEL, _HOP)
    assert sorted(file.name for file in front.parent.iterdir()) == [decoder.name, front.name]


def test_a_model_of_another_sort_is_refused(tmp_path: Path, own_folders: Path) -> None:
    import onnx

    value = onnx.helper.make_tensor_value_info("x", onnx.TensorProto.FLOAT, [1])
    other = onnx.helper.make_tensor_value_info("y", onnx.TensorProto.FLOAT, [1])
    node = onnx.helper.make_node("Neg", ["x"], ["y"])
    model = onnx.helper.make_model(onnx.helper.make_graph([node], "g", [value], [other]))
    onnx.save(model, str(tmp_path / "other.onnx"))
    with pytest.raises(KitchenError, match=r"other\.onnx is no Piper voice that can be cut"):
        Halves(tmp_path / "other.onnx", _HOP)


def test_a_model_that_fails_while_speaking_is_told() -> None:
    halves = Halves(_WHEEL, _HOP)
    with pytest.raises(KitchenError, match="the voice’s model failed"):
        list(halves.pieces([99999], (0.667, 1.0, 0.8)))
