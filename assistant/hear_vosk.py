"""Vosk: a Kaldi recogniser, used when one of its models is in the models folder."""

import json
from collections.abc import Sequence
from pathlib import Path

import vosk

from assistant.audio import RATE_HZ
from assistant.hear import Heard
from assistant.models import installed
from domain.errors import MissingModel

# The manifest's English models, the best first. Only the small one takes a grammar: the other's
# graph is fixed when it is built (https://alphacephei.com/vosk/models).
FREE = ("vosk-model-en-us-0.22", "vosk-model-small-en-us-0.15")
WITH_GRAMMAR = ("vosk-model-small-en-us-0.15",)
_GRAMMAR_PART = "graph/Gr.fst"

# What every Vosk model folder holds: the acoustic model and its settings.
_NEEDED = ("am/final.mdl", "conf/mfcc.conf")

# Where the model has a word for all other speech, it is let in, so that chatter is not forced
# into the grammar's words.
_UNKNOWN = "[unk]"


class VoskRecogniser:
    """Hears the phrases of a grammar, in any order of their word pairs, or a free vocabulary.

    phrases: the grammar; None for the model's whole vocabulary. Raises MissingModel for a
    folder that is not a whole Vosk model, or takes no grammar when it is given one.
    """

    def __init__(self, folder: Path, phrases: Sequence[str] | None = None) -> None:
        _check(folder, _NEEDED if phrases is None else (*_NEEDED, _GRAMMAR_PART))
        vosk.SetLogLevel(-1)
        model = vosk.Model(str(folder))
        if phrases is None:
            self._vosk = vosk.KaldiRecognizer(model, RATE_HZ)
        else:
            known = [_UNKNOWN] if model.vosk_model_find_word(_UNKNOWN) >= 0 else []
            grammar = json.dumps([*phrases, *known], ensure_ascii=False)
            self._vosk = vosk.KaldiRecognizer(model, RATE_HZ, grammar)
        self._vosk.SetWords(True)
        self._shown = ""

    def feed(self, pcm: bytes) -> Heard | None:
        if self._vosk.AcceptWaveform(pcm):
            return self._final(self._vosk.Result())
        text = json.loads(self._vosk.PartialResult())["partial"]
        if text == self._shown:
            return None
        self._shown = text
        return Heard(text, 0.0, final=False)

    def finish(self) -> Heard | None:
        final = self._final(self._vosk.FinalResult())
        self._vosk.Reset()
        return final

    def _final(self, result: str) -> Heard | None:
        """The words but for what the grammar does not know; their mean confidence."""
        self._shown = ""
        words = json.loads(result).get("result", [])
        said = [word["word"] for word in words if word["word"] != _UNKNOWN]
        if not said:
            return None
        # An unknown word lowers the confidence of the whole: part of it was not understood.
        sure = sum(word["conf"] for word in words if word["word"] != _UNKNOWN) / len(words)
        return Heard(" ".join(said), min(1.0, sure), final=True)


def find_model(models: Path, names: Sequence[str]) -> Path:
    """The first of these models that is in the models folder, checked by hash.

    Raises MissingModel, saying how to get the last of them, where there is none or it was altered.
    """
    for name in names[:-1]:
        try:
            return installed(name, models)[0]
        except MissingModel:
            continue
    return installed(names[-1], models)[0]


def _check(folder: Path, parts: Sequence[str]) -> None:
    for part in parts:
        if not (folder / part).is_file():
            raise MissingModel(folder.name, f"there is no {folder / part}; get the model again")
