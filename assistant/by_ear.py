"""The schedule as it is told to a cook who does not look: by sound, smell, touch and time."""

import re
from dataclasses import replace
from functools import lru_cache

from assistant.measures import span
from domain.menu import Cues, Dish, Gate, Step
from scheduling.view import View

# Words that only a look can tell of. Brown, green, red and white are in the names of foods too.
LOOKS = re.compile(
    r"\b(?:look\w*|see|sees|seen|watch|watching|colou?r\w*|clear(?:ly)?|cloudy|gold(?:en)?|pale|"
    r"pink|gloss\w*|glassy|shin\w+|shimmer\w*|opaque|translucent|transparent|visib\w+|shows?|"
    r"browned|browning|bright|wilted)\b|\bbrown(?=\s*(?:[.,;:]|$|(?:and|all|on|at|outside|where|to)\b))|"
    r"\bundersides brown\b",
    re.I,
)
_READS = re.compile(r"\breads\b")
_SPEAKING = "Use a thermometer that speaks."
# Until when something is done: left out where only a look can tell.
_UNTIL = re.compile(r",?\s*\b(?:until|till|so that|once)\b[^,.;]*")
_SENTENCE = re.compile(r"[^.;!?]+(?:[.;!?]+|$)")


def by_ear(view: View) -> View:
    """The view with every step told so that nothing has to be looked at.

    A step begins with what is hot or sharp and ends with how long it takes.
    """
    menu = replace(view.menu, dishes=_told(view.menu.dishes))
    # The view's own steps: the plan may do one of them another way than its dish does first.
    steps = {key: _heard(step) for key, step in view.steps.items()}
    return replace(view, menu=menu, steps=steps)


@lru_cache(maxsize=4)
def _told(dishes: tuple[Dish, ...]) -> tuple[Dish, ...]:
    return tuple(replace(dish, steps=tuple(map(_heard, dish.steps))) for dish in dishes)


@lru_cache(maxsize=512)
def _heard(step: Step) -> Step:
    hazards = [told for caution in step.cautions if (told := without_looks(caution))]
    careful = f"Careful: {' '.join(hazards)} " if hazards else ""
    do = without_looks(step.say) or f"{step.name.capitalize()}."
    if any(use.what == "thermometer" for use in step.uses):
        do = f"{do} {_SPEAKING}"
    length = f"About {span(step.duration.likely_s)}."
    return replace(
        step,
        say=f"{careful}{do} {length}",
        more=without_looks(step.more),
        cautions=tuple(hazards),
        gate=_gate(step),
        cues=replace(step.cues, sight=""),
    )


def _gate(step: Step) -> Gate | None:
    """What is told of the gate: what is heard, felt or smelt of it, where it is a look itself."""
    gate = step.gate
    if gate is None:
        return None
    shown = _READS.sub("has reached", gate.shown)
    if LOOKS.search(shown):
        shown = _by_other_senses(step.cues) or f"{span(step.duration.likely_s)} are over"
    return replace(gate, shown=shown, says=(gate.shown, *gate.says))


def _by_other_senses(cues: Cues) -> str:
    cue = next(filter(None, (cues.sound, cues.smell, cues.feel)), "")
    return cue[:1].lower() + cue[1:].rstrip(".")


def without_looks(text: str) -> str:
    """The text without the clauses, or the sentences, that only a look can follow."""
    kept = []
    for sentence in _SENTENCE.findall(text):
        told = _UNTIL.sub(lambda clause: "" if LOOKS.search(clause[0]) else clause[0], sentence)
        told = _READS.sub("reaches", told).replace("must read", "must reach")
        if not LOOKS.search(told):
            kept.append(told.strip())
    return " ".join(kept)
