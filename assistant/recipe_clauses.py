"""The instructions of a recipe in clauses, each with one thing to do, and what their words say.

"Fry the onions for 5 minutes, then add the stock and simmer for 20" is three of them. Every word
is kept: what is no action is told apart as a remark.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from assistant.amounts import find_amounts
from assistant.meaning import AmountHeard
from assistant.number_words import word_set
from domain import units
from domain.errors import ImpossibleAmount
from domain.recipe_words import Verb, verb_of

_SENTENCE = re.compile(r"(?<=[.!?])[\"”)]*\s+(?=[\"“(]?[A-Z0-9])")
# Where the next thing to do may begin.
_JOINT = re.compile(r"\s*(?:;|,?\s+and\s+then|,?\s+then|,?\s+and|,)\s+", re.IGNORECASE)
_REMARK = re.compile(
    r"^(?:(?:the|this|that|these|those|it|it[’']s|they|you|you[’']ll|your|there|don[’']t|do not"
    r"|never|be|if|note|remember|make sure|watch|take care|keep an eye|we|i|a|an|enjoy"
    r"|alternatively|no)\b|(?:tips?|notes?|nb)\s*:)",
    re.IGNORECASE,
)
_STATES = re.compile(r"\b(?:is|are|will|can|keeps?|should|may|has|have)\b", re.IGNORECASE)
_DANGER = re.compile(
    r"\b(?:careful|carefully|caution|warning|danger\w*|beware|never|do not|don[’']t|scald\w*|burn"
    r"|burns? you|very hot|will spit|spits)\b",
    re.IGNORECASE,
)
_LEAD = re.compile(
    r"^(?:in|on|once|when|while|whilst|after|as|using|with|for|to|at|before|meanwhile|next|finally"
    r"|first|now|lastly|just)\b[^,]*,\s+",
    re.IGNORECASE,
)
_PARALLEL = re.compile(
    r"^(?:meanwhile|in the meantime|while|whilst|at the same time)\b", re.IGNORECASE
)
_JOINED = re.compile(r"^(?:and|then|next|finally|meanwhile|in the meantime),?\s+", re.IGNORECASE)
_OPENS = word_set("let leave allow continue keep start begin set")
_BRINGS = {"": "mix", "room temperature": "rest"}  # "bring together into a dough"
_DETERMINERS = word_set(
    """the a an it them your each all both some in into for over until on with to from at well
    gently half two three four any up down as through together another hard covered uncovered
    again more"""
)
_OVEN_SET = re.compile(
    r"^(?:pre-?heat|heat|set|turn|reduce|increase|lower|raise)\b.*\b(?:(?<!dutch )oven|gas)\b",
    re.IGNORECASE,
)
_HEAT_SET = re.compile(
    r"^(?:reduce|lower|turn|increase|raise)\b[^,]*?\b(?:heat|down|up|off)\b", re.IGNORECASE
)
_NOT_ITS_TIME = re.compile(
    r"\b(?:every|after|last|final|within|first)\s+(?:the\s+)?$", re.IGNORECASE
)
_AHEAD_OF = re.compile(
    r"\s*(?:before(?! (?:serv|slic|carv|cutting|eating))|ahead|in advance|earlier)\b", re.IGNORECASE
)
_INSIDE = re.compile(  # a temperature of the food, not of the oven
    r"\b(?:reads?|registers?|reach(?:es)?|internal|thermometer|inside|probe)\b[^.;]*$", re.I
)
_TWICE = re.compile(r"^\s*(?:on |per |for )?(?:each side|a side|per side|side\b|both sides)")
_OVERNIGHT = re.compile(r"\b(?:overnight|the (?:day|night) before)\b", re.IGNORECASE)
_SCALES = ("celsius", "fan celsius", "fahrenheit", "gas mark")  # the surest first


@dataclass(frozen=True)
class Clause:
    """One thing to do. verb: None for a word that is not known. parallel: beside what goes on."""

    text: str
    verb: Verb | None
    parallel: bool = False


@dataclass(frozen=True)
class Remark:
    """A sentence that is nothing to do. danger: it tells what can hurt."""

    text: str
    danger: bool


def clauses_of(paragraph: str) -> Iterator[Clause | Remark]:
    """What a paragraph of instructions says, in order."""
    for sentence in _SENTENCE.split(paragraph):
        text = sentence.strip()
        if (_REMARK.match(text) and not _finite_verb(text)) or _is_statement(text):
            yield Remark(text, bool(_DANGER.search(text)))
        elif text:
            yield from _parts(text)


def _is_statement(text: str) -> bool:
    """ "Leftovers keep for three days" asks for nothing."""
    begins = " ".join(text.split()[:4])
    return bool(_STATES.search(begins)) and _main_verb(text[_lead(text) :]) is None


def _lead(text: str) -> int:
    """Where a sentence comes to the point: after "In a large bowl, "."""
    lead = _LEAD.match(text)
    return lead.end() if lead else 0


def to_the_point(text: str) -> str:
    """A clause without what leads to it: "In a large bowl, mix it" as "mix it"."""
    return text[_lead(text) :]


def _finite_verb(text: str) -> bool:
    """ "If it boils, turn it down" asks for something after all."""
    _, comma, after = text.partition(", ")
    return text.lower().startswith("if ") and bool(comma) and _first_verb(after) is not None


def _parts(sentence: str) -> Iterator[Clause]:
    parallel = bool(_PARALLEL.match(sentence))
    begun = _lead(sentence)
    start, verb = 0, _main_verb(sentence[begun:])
    for joint in _JOINT.finditer(sentence, begun):
        after = sentence[joint.end() :]
        following = _first_verb(after)
        if following is None or not _is_told(after, following):
            continue
        told = sentence[start : joint.start()]
        size = len(told.split())  # "Cover and bake ...", "Reduce the heat, cover and simmer ..."
        small = size <= 2 or (size <= 8 and bool(_HEAT_SET.match(told)))
        alike = verb and (verb.place, verb.attention) == (following.place, following.attention)
        if not sets_oven(told) and (verb is None or small or alike):
            verb = _main_verb(after) if verb is None or small else verb
            continue
        yield Clause(_whole(told), _timed_verb(told, verb), parallel)
        start, verb = joint.end(), _main_verb(after)
    rest = sentence[start:]
    yield Clause(_whole(rest), _timed_verb(rest, verb), parallel)


def _timed_verb(text: str, verb: Verb | None) -> Verb | None:
    """What takes the time of a clause: of "turn over and boil for 5 minutes" the boiling."""
    if (verb is None or verb.place in ("bench", "same")) and time_in(text):
        for word in re.findall(r"\b(?:and|then|,) (\w+)", text.lower()):
            later = _plain_verb(word)
            if later and later.place not in ("bench", "same"):
                return later
    return verb


def _whole(text: str) -> str:
    """A clause as a sentence of its own."""
    text = text.strip(" ,;")
    text = _JOINED.sub("", text)
    text = text[:1].upper() + text[1:]
    return text if text.endswith((".", "!", "?", ")", "”")) else f"{text}."


def _words(text: str) -> list[str]:
    return re.findall(r"[^\W\d_]+(?:-[^\W\d_]+)*", text.lower())


def _first_verb(text: str) -> Verb | None:
    """The verb that the text begins with, an adverb before it or not."""
    if _HEAT_SET.match(text):
        return verb_of("turn")
    words = _words(text)[:3]
    for word in words:
        if verb := _plain_verb(word):
            return verb
        if not word.endswith("ly") and word not in ("then", "now", "continue", "keep", "let"):
            return _main_verb(text) if word in _OPENS else None
    return None


def _plain_verb(word: str) -> Verb | None:
    """A verb in its plain form alone: "chopped parsley" begins nothing to do."""
    verb = verb_of(word)
    return verb if verb and verb.word == word else None


def _determined(following: list[str]) -> bool:
    """Whether a word that may be a thing is a verb, by the word that follows it."""
    return any(word in _DETERMINERS or word.endswith("ly") for word in following)


def _is_told(text: str, verb: Verb) -> bool:
    """False where the word is a thing: "the flour, butter and sugar"."""
    words = _words(text)
    at = words.index(verb.word) if verb.word in words[:3] else 0
    following = words[at + 1] if at + 1 < len(words) else ""
    ends = re.match(rf"(?:\w+ly )?{re.escape(verb.word)}\s*[.,;]?$", text.strip(), re.IGNORECASE)
    if verb.noun:
        return _determined([following]) and not ends
    return bool(ends) or following not in ("", "and", "or")


def _main_verb(text: str) -> Verb | None:
    """What a clause does; of "leave to simmer" and "keep stirring" the second word counts."""
    words = _words(text)
    if _HEAT_SET.match(text):
        return verb_of("turn")
    for at, word in enumerate(words[:6]):
        if word in _OPENS:
            return _second_verb(words[at:]) or _plain_verb(word)
        verb = _plain_verb(word)
        if verb and (at == 0 or not verb.noun or _determined(words[at + 1 : at + 2])):
            return verb_of(_BRINGS.get(_brought(text), verb.word)) if word == "bring" else verb
    return None


def _second_verb(words: list[str]) -> Verb | None:
    """ "let the pie rest", "leave it to cool", "continue cooking": what goes on."""
    for at in range(1, min(len(words), 7)):
        told = words[0] == "let" or words[at - 1] == "to" or words[at].endswith("ing")
        verb = verb_of(words[at]) if told and words[at] not in _OPENS else None
        if verb and verb.place in ("ring", "oven", "off", "heat"):
            return verb
    return None


def _brought(text: str) -> str:
    """What is brought where: "to the boil", "to room temperature", or together."""
    found = re.search(r"\b(?:boil|simmer|room temperature)\b", text, re.IGNORECASE)
    return found[0].lower() if found else ""


# --- what a clause says of time and heat --------------------------------------------------------


def sets_oven(text: str) -> bool:
    """ "Preheat the oven to 180 C", which our plan does by itself."""
    turns = bool(re.match(r"pre-?heat|heat|set", text, re.IGNORECASE)) or oven_in(text)
    return bool(turns and _OVEN_SET.match(text))


def overnight(text: str) -> bool:
    """Whether it is meant for the day before."""
    return bool(_OVERNIGHT.search(text))


def time_in(text: str) -> tuple[int, int, str] | None:
    """(least, most seconds, the words) that a clause takes; several times are added up."""
    low = high = 0.0
    said: list[str] = []
    for amount in find_amounts(text):
        before, after = text[: amount.start], text[amount.end :]
        if amount.kind != "duration" or not amount.unit:
            continue
        if _NOT_ITS_TIME.search(before) or _AHEAD_OF.match(after):
            continue
        if not isinstance(amount.value, float):
            continue
        sides = 2 if _TWICE.match(after) else 1
        try:
            ends = [
                sides * units.convert(value, amount.unit, "second").value
                for value in (amount.value, amount.high or amount.value)
            ]
        except ImpossibleAmount:
            continue
        low, high = low + ends[0], high + ends[1]
        said.append(amount.text + (_TWICE.match(after) or [""])[0])
    return (round(low), round(high), " and ".join(said)) if high >= 1 else None


def oven_in(text: str) -> tuple[str, str] | None:
    """An oven's temperature as a dish file writes it ("180 C", "gas 4"), and the words."""
    spaced = re.sub(r"(?<=[A-Za-z°º])\s*/\s*", ", ", text)
    found: dict[str, AmountHeard] = {}
    for amount in find_amounts(spaced):
        if amount.kind != "temperature" or _INSIDE.search(spaced[: amount.start]):
            continue
        if isinstance(amount.value, float) and amount.unit:
            found.setdefault(amount.unit, amount)
    for scale in _SCALES:
        if scale in found:
            amount = found[scale]
            assert isinstance(amount.value, float)
            written = {
                "celsius": f"{amount.value:g} C",
                "fan celsius": f"{amount.value:g} C fan",
                "fahrenheit": f"{amount.value:g} F",
                "gas mark": f"gas {amount.value:g}",
            }[scale]
            try:
                celsius = units.to_celsius(amount.value, scale.replace(" ", "_"))
            except ImpossibleAmount:
                continue
            if 40 <= celsius <= 300:
                return written, amount.text
    return None
