"""One utterance in, what it was taken to mean out, as plain values for a line of JSON."""

from collections.abc import Callable

from assistant.meaning import Understood
from assistant.understand import LONGEST
from domain.errors import KitchenError


def understood_line(understand: Callable[[str], Understood], line: str) -> dict[str, object]:
    """What one utterance was taken to mean, as plain values; {"text", "error"} when it is none."""
    text = line.rstrip("\r\n")
    if wrong := _no_utterance(text):
        return {"text": text.encode(errors="replace").decode(), "error": wrong}
    try:
        heard = understand(text)
    except KitchenError as error:
        return {"text": text, "error": str(error)}
    return {
        "text": text,
        "intent": heard.intent,
        "confidence": round(heard.confidence, 3),
        "amounts": [
            {"text": a.text, "value": a.value, "high": a.high, "unit": a.unit, "kind": a.kind}
            for a in heard.amounts
        ],
        "refs": [{"text": r.text, "kind": r.kind, "name": r.name} for r in heard.refs],
    }


def _no_utterance(text: str) -> str:
    """Why a line is nothing that was said; "" when it is."""
    if not text.strip():
        return "the line is empty; write one utterance a line"
    if len(text) > LONGEST:
        return f"the line has {len(text)} characters; write at most {LONGEST}"
    if any("\ud800" <= character <= "\udfff" for character in text):
        return "the line is not UTF-8; write it as UTF-8"
    return ""
