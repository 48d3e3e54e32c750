"""What a thermometer reads, beside what a step waits for: "it reads sixty eight"."""

import re
from dataclasses import replace

from assistant.amounts import find_amounts
from assistant.meaning import AmountHeard, Ref, Understood
from assistant.scene import Scene
from assistant.subject import dishes_named
from assistant.told_deeds import open_steps
from assistant.wording import plain
from domain.menu import Step
from domain.units import convert

_READS = re.compile(r"\b(?:reads?|reading|says|shows|showing|thermometer|only at)\b")
_ASKS = re.compile(r"^(?:what|when|how|is|are|can|should|must|does|do|will|if|why)\b|\bshould\b")
_AROUND = frozenset("it is at only still now just up to degrees and".split())  # noqa: SIM905
_LEAST_READ = 30.0  # a smaller bare number is no reading of cooked food, in either scale
# 165 °F is 73.9 °C: a figure is met when it is read in the other scale.
_SAME_DEGREE = 0.3


def told_reading(ask: Understood, scene: Scene) -> Understood | None:
    """`ask` as the report that what is cooked is hot enough, or is not yet; None for other talk."""
    said = plain(ask.text)
    if _ASKS.search(said) or ask.text.rstrip().endswith("?"):
        return None
    # A number alone is a reading only while somebody is at the thermometer.
    steps = open_steps(scene) if _READS.search(said) else []
    if not steps and _alone(said, ask):
        steps = scene.live.running()
    for step in _named_first(list(steps), ask):
        wanted = wanted_reading(step)
        read = _reading(ask, wanted.unit or "celsius") if wanted else None
        if wanted is None or read is None:
            continue
        enough = isinstance(wanted.value, float) and read >= wanted.value - _SAME_DEGREE
        ref = Ref(step.name, "step", step.key, 1.0, 0, len(ask.text))
        intent = "report_gate" if enough else "report_not_yet"
        return replace(ask, intent=intent, confidence=1.0, refs=(ref,), by="exact")
    return None


def wanted_reading(step: Step) -> AmountHeard | None:
    """The temperature that a step's gate waits for; None where it waits for something else."""
    amounts = find_amounts(step.gate.shown, "metric") if step.gate else ()
    return next((amount for amount in amounts if amount.kind == "temperature"), None)


def _alone(said: str, ask: Understood) -> bool:
    """Whether nothing is said but a number: "seventy four now"."""
    numbers = {word for amount in ask.amounts for word in plain(amount.text).split()}
    return len(ask.amounts) == 1 and set(said.split()) <= _AROUND | numbers


def _named_first(steps: list[Step], ask: Understood) -> list[Step]:
    """The steps of what was named, where anything was that is waited for; else all."""
    dishes = dishes_named(ask.refs)
    return [step for step in steps if step.dish in dishes] or steps


def _reading(ask: Understood, scale: str) -> float | None:
    """What was read, in this scale; a number without one is meant in it.

    "One forty five" is 145 here, and no time of day.
    """
    for amount in ask.amounts:
        if amount.kind == "temperature" and isinstance(amount.value, float) and amount.unit:
            return convert(amount.value, amount.unit, scale).value
        if amount.kind == "clock" and isinstance(amount.value, str):
            hours, minutes = map(int, amount.value.split(":"))
            return float(hours % 12 * 100 + minutes)
        if amount.kind == "count" and isinstance(amount.value, float | int):
            return float(amount.value) if amount.value >= _LEAST_READ else None
    return None
