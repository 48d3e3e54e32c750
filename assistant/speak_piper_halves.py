"""A Piper voice cut in two, so that its sound begins before the clause is made.

Such a voice (VITS) is a front, which decides what a clause will sound like, frame by frame, and a
decoder, which turns frames into sound. Whole, it gives nothing until all is made; cut where one
tensor goes over, the front takes a quarter of the time and the decoder can be asked for a few
frames at once. Its convolutions reach no further than `_REACH` frames, so that the pieces, made
with so many frames around them, are the very sound of the whole.
"""

import hashlib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import onnxruntime
import platformdirs
from numpy.typing import NDArray

from domain.errors import KitchenError
from domain.whole_file import write_whole

_REACH = 10  # measured on the medium voices: with 10 frames the same to 1e-6, with 8 to 1e-3
_DECODER = "/dec/"  # how the nodes of the decoder begin in every voice that Piper exports
_FIRST_FRAMES, _FRAMES = 16, 64  # of 256 samples: a little sound soon, then what is efficient


class Halves:
    """A voice's two halves. hop: samples in a frame. Raises KitchenError for another sort."""

    def __init__(self, voice: Path, hop: int) -> None:
        self.front, self._decoder = map(_session, cut_once(voice))
        self._frames_name = self._decoder.get_inputs()[0].name
        self._hop = hop

    def pieces(self, phonemes: list[int], scales: tuple[float, float, float]) -> Iterator[bytes]:
        """Yield the sound of a clause's phonemes (samples of -1 to 1 as float32), piece by piece.

        scales: how much the sound varies, how long it lasts, how much its timing varies.
        """
        asked = {
            "input": np.array([phonemes], np.int64),
            "input_lengths": np.array([len(phonemes)], np.int64),
            "scales": np.array(scales, np.float32),
        }
        frames = _run(self.front, asked)
        start, size = 0, _FIRST_FRAMES
        while start < frames.shape[2]:
            yield self._sound(frames, start, start + size).tobytes()
            start, size = start + size, _FRAMES

    def _sound(self, frames: NDArray[np.float32], start: int, end: int) -> NDArray[np.float32]:
        before = min(start, _REACH)
        part = frames[:, :, start - before : end + _REACH]
        sound = _run(self._decoder, {self._frames_name: part}).ravel()
        return sound[before * self._hop : (before + end - start) * self._hop]


def _session(half: Path) -> onnxruntime.InferenceSession:
    options = onnxruntime.SessionOptions()
    # Threads that spin while they wait take the cores from whoever is listening.
    options.add_session_config_entry("session.intra_op.allow_spinning", "0")
    try:
        return onnxruntime.InferenceSession(str(half), options)
    except Exception as trouble:  # the library's errors have no common class of their own
        half.unlink(missing_ok=True)
        raise KitchenError(f"{half.name} was not whole; it is made anew at the next start") from (
            trouble
        )


def _run(half: onnxruntime.InferenceSession, asked: dict[str, Any]) -> NDArray[np.float32]:
    try:
        made: NDArray[np.float32] = half.run(None, asked)[0]
    except Exception as trouble:  # as above
        raise KitchenError(f"the voice’s model failed ({trouble})") from trouble
    return made


def cut_once(voice: Path) -> tuple[Path, Path]:
    """The two halves of a voice's .onnx file, kept in the cache folder from the first time on."""
    with voice.open("rb") as content:
        digest = hashlib.file_digest(content, "sha256").hexdigest()[:16]
    folder = platformdirs.user_cache_path("hobside")
    halves = folder / f"voice-{digest}-front.onnx", folder / f"voice-{digest}-decoder.onnx"
    if not all(half.is_file() for half in halves):
        for half, made in zip(halves, _cut(voice), strict=True):
            write_whole(half, made)
    return halves


def _cut(voice: Path) -> tuple[bytes, bytes]:
    """The front and the decoder as models of their own. Raises KitchenError for another sort."""
    import onnx  # only the first time: it takes memory

    model = onnx.load(str(voice))
    decoder = [node for node in model.graph.node if node.name.startswith(_DECODER)]
    made = {name for node in decoder for name in node.output}
    weights = {weight.name for weight in model.graph.initializer}
    taken = {name for node in decoder for name in node.input} - made - weights - {""}
    if len(taken) != 1:
        raise KitchenError(f"{voice.name} is no Piper voice that can be cut in two; use another")
    over = onnx.helper.make_tensor_value_info(taken.pop(), onnx.TensorProto.FLOAT, [1, None, None])
    sound = onnx.helper.make_tensor_value_info(
        decoder[-1].output[0], onnx.TensorProto.FLOAT, [1, 1, None]
    )

    def part(nodes: Any, inputs: Any, outputs: Any) -> bytes:
        used = {name for node in nodes for name in node.input}
        own = [weight for weight in model.graph.initializer if weight.name in used]
        graph = onnx.helper.make_graph(nodes, "half", inputs, outputs, own)
        half = onnx.helper.make_model(
            graph, opset_imports=model.opset_import, ir_version=model.ir_version
        )
        return bytes(half.SerializeToString())

    rest = [node for node in model.graph.node if node not in decoder]
    front = [node for node in rest if not made & set(node.input)]
    return part(front, model.graph.input, [over]), part(decoder, [over], [sound])
