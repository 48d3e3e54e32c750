"""One clause of a recipe as a step: how long, with how much of the cook, on what heat, in what.

What the recipe says counts. For the rest stands what its cooking verb usually means
(tables/recipe_words.yaml); each such value has in `why` the words that it was made from.
"""

import re
from dataclasses import dataclass, field, replace

from assistant.recipe_clauses import Clause, oven_in, time_in, to_the_point
from domain.menu import Attention
from domain.recipe_words import Place, attention_in, recipe_words, vessel_in

_OFF_HEAT = re.compile(r"\b(?:off|from) (?:the )?(?:heat|hob|oven)\b|\bout of the oven\b", re.I)
_IN_OVEN = re.compile(r"\b(?:in|into|to) the (?:hot |preheated )?oven\b", re.IGNORECASE)
_ON_RING = re.compile(
    r"\b(?:over|on) (?:a |the )?(?:very )?(?:(?:low|gentle|medium|moderate|high|hot)[- ]?)*"
    r"(?:heat|flame|hob)\b",
    re.IGNORECASE,
)
_BOILS = re.compile(r"\b(?:bring|brought|come)\b.*\bboil\b", re.IGNORECASE)
_NAME_ENDS = re.compile(
    r"[,;:.(]|\b(?:in|on|onto|into|over|until|for|with|to|at|from|and|about|around|according"
    r"|then|so|while|before|after|or)\b"
)
_PARTICLE = re.compile(r" (?:in|to|on|off|over)\b")  # of the verb: "stir in the barley"
_NAME_WORDS = 6
_ANY_VESSEL = ("pan", "pot")


@dataclass(frozen=True)
class Guessed:
    """A step of a draft. low_s, high_s: how long it takes. oven: "180 C", "" outside the oven.

    after: steps before it, with the gap to each. heated: it cooks. verb: what it does, "" for a
    word that is not known. why: by field, what a guess was made from.
    """

    name: str
    say: str
    low_s: int
    high_s: int
    attention: Attention
    place: Place
    ring: bool = False
    oven: str = ""
    vessel: str = ""
    after: dict[str, str] = field(default_factory=dict)
    boils: bool = False
    ingredients: tuple[str, ...] = ()
    more: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    why: dict[str, str] = field(default_factory=dict)
    verb: str = ""

    @property
    def heated(self) -> bool:
        return self.ring or bool(self.oven)


@dataclass
class Stove:
    """Where the food stands while the instructions are read on."""

    heat: str = ""  # "ring", "oven" or ""
    vessel: str = ""
    tin: str = ""  # made ready for the oven
    oven: str = ""
    oven_said: str = ""
    untold: list[str] = field(default_factory=list)  # what set the oven, until a step tells it


def step_of(clause: Clause, stove: Stove, ingredients: tuple[str, ...]) -> Guessed | None:
    """The step of a clause, which moves the food on the stove; None for what takes no time."""
    said = time_in(clause.text)
    verb = clause.verb
    if verb and verb.word in ("set", "leave") and not said:
        return None
    place = _place(clause, stove, bool(said))
    why: dict[str, str] = {}
    if said:
        low, high = said[0], said[1]
    else:
        low, high = _usual_time(clause, len(ingredients) if verb and verb.each else 1)
        usual = f"usual for “{verb.word}”" if verb else "no verb is known here"
        why["takes"] = f"no time is said; {usual}"
    attention = _attention(clause, place, why)
    step = Guessed(
        name=_name(clause),
        say=clause.text,
        low_s=low,
        high_s=high,
        attention=attention,
        place=place,
        boils=bool(_BOILS.search(clause.text)),
        ingredients=ingredients,
        why=why,
        verb=verb.word if verb else "",
    )
    return _placed(step, stove)


def _place(clause: Clause, stove: Stove, timed: bool) -> Place:
    text, verb = clause.text.lower(), clause.verb
    place: Place = verb.place if verb else "same"
    if "grill" in text or "broiler" in text:
        return "bench"
    if _IN_OVEN.search(text) and timed:
        return "oven"
    if _OFF_HEAT.search(text) and place == "same":
        return "off"
    if place == "same" and _ON_RING.search(text):
        return "ring"
    if place == "heat":
        return "oven" if stove.heat == "oven" else "ring"
    return place


def _usual_time(clause: Clause, times: int) -> tuple[int, int]:
    usual = clause.verb.takes if clause.verb else recipe_words().usual.unknown_verb
    return usual.low_s * max(1, times), usual.high_s * max(1, times)


def _attention(clause: Clause, place: Place, why: dict[str, str]) -> Attention:
    """By the words beside the verb, else by the verb; what is in the oven is left alone."""
    words = attention_in(clause.text) if place in ("ring", "oven") else None
    if words:
        why["attention"] = f"the recipe says “{words[1]}”"
        return words[0]
    if clause.verb is None:
        why["attention"] = "no verb is known here"
        return "hands-on"
    if place == "oven":
        why["attention"] = "usual for the oven"
        return "unattended"
    why["attention"] = f"usual for “{clause.verb.word}”"
    return clause.verb.attention


def _placed(step: Guessed, stove: Stove) -> Guessed:
    """The step with its ring, oven and vessel; the stove is as it is after it."""
    named = vessel_in(step.say)
    if named and named[1] in _ANY_VESSEL and stove.vessel:
        named = None  # the one that is meant is known
    usual = recipe_words().usual
    why = dict(step.why)
    if named and step.place == "bench":
        stove.tin = named[0]  # lined, for later
    elif named:
        stove.vessel = named[0]
    if named and named[0] != named[1]:
        why["uses"] = f"“{named[1]}” is taken for a {named[0]}"
    if step.place == "bench":
        return replace(step, vessel=named[0] if named else "", why=why)
    if step.place in ("ring", "oven"):
        stove.heat = step.place
        if step.place == "oven" and stove.tin:
            stove.vessel, stove.tin = stove.tin, ""
        if not stove.vessel:
            stove.vessel = usual.oven if step.place == "oven" else usual.ring
            why["uses"] = "no vessel is named"
        elif not named:
            why["uses"] = "the vessel of the step before"
    elif step.place == "off":
        stove.heat = ""
    elif _IN_OVEN.search(step.say):
        stove.heat = "oven"
    if stove.heat == "oven" and step.place == "same" and (set_to := oven_in(step.say)):
        stove.oven, stove.oven_said = set_to[0], step.say
    oven = ""
    if step.place == "oven":
        oven, said = _oven_for(step.say, stove)
        why["uses"] = "; ".join(filter(None, (why.get("uses", ""), said)))
    ring = step.place == "ring" or (step.place == "same" and stove.heat == "ring")
    if step.place in ("same", "off") and stove.vessel and not named:
        why["uses"] = "where the food of the step before is"
    why = {field: words for field, words in why.items() if words}
    return replace(step, ring=ring, oven=oven, vessel=stove.vessel, why=why)


def _oven_for(text: str, stove: Stove) -> tuple[str, str]:
    """The temperature of an oven step, and what it was taken from when it does not say so."""
    before = " ".join(stove.untold)
    stove.untold.clear()
    if own := oven_in(text):
        stove.oven, stove.oven_said = own[0], text
        return own[0], f"before it: “{before}”" if before else ""
    if stove.oven:
        return stove.oven, f"the oven as in “{before or stove.oven_said}”"
    said = f"no temperature is said (“{before}”)" if before else "no temperature is said"
    return f"{recipe_words().usual.celsius:g} C", f"{said}; a moderate oven"


def _name(clause: Clause) -> str:
    """A few words of the clause for the name of its step, from its verb on."""
    words = re.sub(r"[“”\"/–—]", " , ", to_the_point(clause.text)).strip(" .!,").lower()
    if clause.verb and (joined := re.search(rf"\band {re.escape(clause.verb.word)}\b", words)):
        words = words[joined.start() + 4 :]  # "cover and bake"
    first = re.match(r"[\w'’-]+", words)
    begun = first.end() if first else 0
    if particle := _PARTICLE.match(words, begun):
        begun = particle.end()
    cut = _NAME_ENDS.search(words, begun)
    short = words[: cut.start()] if cut and begun else words
    name = re.sub(r"[^\w\s'’-]", "", " ".join(short.split()[:_NAME_WORDS])).strip()
    return name or "this step"
