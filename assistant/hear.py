"""Sound to words: the `Recogniser` protocol, what it returns, and the engines by name."""

import time
from collections.abc import Callable
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Protocol

from assistant.audio import RATE_HZ, BadAudio, read_chunks
from assistant.language_model import LanguageModel
from domain.errors import KitchenError


@dataclass(frozen=True)
class Heard:
    """Words recognised. confidence: 0 to 1, probability that the words are right (final only)."""

    text: str
    confidence: float
    final: bool


class Recogniser(Protocol):
    """Streaming recogniser of one utterance at a time; 16 kHz mono 16-bit PCM."""

    def feed(self, pcm: bytes) -> Heard | None:
        """Take a chunk; return a partial, or a final at an utterance's end, or None.

        Only the end of an utterance may wait, for what is still being decoded; the final of a
        long one comes later, once it is, with any other chunk.
        """
        ...

    def finish(self) -> Heard | None:
        """End of sound: return all that is still to be told as one final, None if nothing is."""
        ...


class StopEar(Protocol):
    """Listens for "stop" while we speak; 16 kHz mono 16-bit PCM without our own voice."""

    def take(self, pcm: bytes, others: bool) -> float | None:
        """Hear the next chunk: how surely "stop" was said (0 to 1), or None; never waits.

        others: another voice than ours seems to be in the latest sound.
        """
        ...

    def finish(self) -> None:
        """We have fallen silent; what comes next is heard anew."""
        ...


def _sphinx(model: LanguageModel, _models: Path) -> Recogniser:
    from assistant.hear_sphinx import SphinxRecogniser

    return SphinxRecogniser(model)


def _pair(model: LanguageModel, _models: Path) -> Recogniser:
    from assistant.hear_pair import Pair
    from assistant.hear_sphinx import SphinxRecogniser

    return SphinxRecogniser(model, Pair(model))


def _vosk(model: LanguageModel, models: Path) -> Recogniser:
    from assistant.hear_vosk import WITH_GRAMMAR, VoskRecogniser, find_model

    return VoskRecogniser(find_model(models, WITH_GRAMMAR), model.phrases())


def _vosk_free(_model: LanguageModel, models: Path) -> Recogniser:
    from assistant.hear_vosk import FREE, VoskRecogniser, find_model

    return VoskRecogniser(find_model(models, FREE))


# Engines by name; each is imported only when it is asked for.
ENGINES: dict[str, Callable[[LanguageModel, Path], Recogniser]] = {
    "pair": _pair,
    "sphinx": _sphinx,
    "vosk": _vosk,
    "vosk-free": _vosk_free,
}


def open_recogniser(engine: str, model: LanguageModel, models: Path) -> Recogniser:
    """The engine of this name (a key of ENGINES) for what the language model can say.

    models: the folder of downloaded models. Raises MissingModel, and KitchenError for a name
    that is not an engine's.
    """
    if engine not in ENGINES:
        raise KitchenError(f"no recogniser is called {engine}; there are {', '.join(ENGINES)}")
    return ENGINES[engine](model, models)


@dataclass(frozen=True)
class FileHeard:
    """What was heard in a sound file; text "" and confidence 0 when nobody spoke.

    confidence: of the least certain utterance. audio_s, took_s: seconds of sound and of work.
    error: what kept the rest of a damaged file from being heard, "" for a whole one.
    """

    file: str
    text: str
    confidence: float
    audio_s: float
    took_s: float
    error: str = ""


def hear_file(path: Path, recogniser: Recogniser) -> FileHeard:
    """All that is said in a sound file, its utterances joined; what comes before a damage is kept.

    Raises BadAudio for a file of which nothing can be read.
    """
    began = time.perf_counter()
    said: list[Heard] = []
    size, trouble = 0, ""
    try:
        for chunk in read_chunks(path):
            size += len(chunk)
            heard = recogniser.feed(chunk)
            if heard is not None and heard.final:
                said.append(heard)
    except BadAudio as error:
        if not size:
            raise
        trouble = str(error)
    finally:
        last = recogniser.finish()
    if last is not None:
        said.append(last)
    return FileHeard(
        str(path),
        " ".join(heard.text for heard in said),
        round(min((heard.confidence for heard in said), default=0.0), 3),
        round(size / 2 / RATE_HZ, 3),
        round(time.perf_counter() - began, 3),
        trouble,
    )


def hear_line(path: Path, recogniser: Recogniser) -> dict[str, object]:
    """`hear_file` as one JSON line's fields, "error" only where there was one."""
    try:
        fields = asdict(hear_file(path, recogniser))
        return fields if fields["error"] else {k: v for k, v in fields.items() if k != "error"}
    except KitchenError as error:
        return {"file": str(path), "error": str(error)}
