"""Which amount, of which food, and in what: read from a question about measures."""

import re
from dataclasses import dataclass

from assistant.figures import named_foods
from assistant.meaning import AmountHeard, Understood
from assistant.measures import scaled_span
from assistant.scene import Scene
from domain import densities
from domain.errors import KitchenError, UnknownUnit
from domain.names import singular
from domain.rough import canned_index, rough
from domain.units import kind_of, plain

PIECES = "piece"  # the unit of what is counted by itself: "two onions"
SIZES = ("extra large", "small", "medium", "large", "jumbo")
_SIZE = re.compile(rf"^({'|'.join(SIZES)}|big|average|medium-sized)\b\s*")
# Where the name of a food ends.
_STOPS = frozenset(
    """in into to as is are how what weigh weighs weighing weight does do please make makes equal
    equals per for come comes would be and or roughly about then drained by it that if but have has
    i each when will go goes there use with times divided multiplied""".split()  # noqa: SIM905
)
_LEADING = re.compile(r"^(?:of|the|my|our|your|some|these|those|an?)\s+")
_HOW_MANY = re.compile(r"\bhow (?:many|much) ([^|?]+)")
_JUICE = re.compile(r"\bjuice (?:is |is there )?(?:in|of|from) (?:an?|one|two|the|half|\||\d)")
_ASKED = re.compile(
    r"^\W*(?:(?:and|what is|what's|what does|what about|convert|give me|tell me)\s+)*"
)
# "How much does an egg weigh", "the weight of an onion", "an egg in grams": one of them.
_ONE = re.compile(
    r"\b(?:do|does|is|will) (?:an?|one|the|each) ([^|]+?) weigh"
    r"|\bweight of (?:an?|one|each) ([^|]+)|\bheavy is (?:an?|one|the) ([^|]+)"
    r"|^(?:what is |what's )?(?:an?|one) ([^|]+?) in \||\bjuice .*?(?:an?|one) ([^|]+)"
)


@dataclass(frozen=True)
class Asked:
    """An amount asked about. unit: "" for a count; high: the end of a range; size: of a piece.

    target: the unit it is wanted in, `PIECES` or a counted unit when a number of them is; "" when
    none was said.
    """

    value: float
    unit: str
    food: str = ""
    high: float | None = None
    size: str = ""
    target: str = ""


def asked_amount(ask: Understood, scene: Scene) -> Asked | None:
    """The amount asked about: said now, or the one in the air; None when there is none."""
    text = _masked(ask)
    targets = [a.unit for a in ask.amounts if a.value is None and a.unit]
    said = _said(ask)
    phrase, size = _sized(_food_said(text, ask, scene))
    phrase = _juice_of(text, phrase)
    if said is not None:
        value, target = float(said.value or 0), targets[0] if targets else ""
        if not target and said.kind in ("mass", "volume"):
            target, phrase = _counted(text, phrase)
        return Asked(value, said.unit or "", phrase, said.high, size, target)
    target = targets[-1] if targets else ""
    if _ONE.search(text):
        return Asked(1.0, "", phrase, None, size, target)
    measure = _bare_measure(ask.text.lower())
    if measure:
        return Asked(1.0, measure, phrase, None, size, target)
    return _in_the_air(ask, scene, phrase, target)


def juice_asked(text: str) -> bool:
    """Whether it is asked how much juice some fruit gives."""
    return bool(_JUICE.search(text.lower()))


def _juice_of(text: str, fruit: str) -> str:
    """ "lemon juice" for the lemons whose juice is asked about; the food itself otherwise."""
    juice = f"{singular(fruit)} juice"
    return juice if fruit and _JUICE.search(text) and known_weight(juice) else fruit


def _said(ask: Understood) -> AmountHeard | None:
    """The amount in the question: one with a unit before a bare count ("three times 40 g")."""
    numbers = [a for a in ask.amounts if isinstance(a.value, float | int)]
    return next((a for a in numbers if a.unit), numbers[0] if numbers else None)


def known_weight(food: str) -> bool:
    """Whether a food has a published weight."""
    try:
        densities.weight_of(food)
    except KitchenError:
        return False
    return bool(food)


def _in_the_air(ask: Understood, scene: Scene, food: str, target: str) -> Asked | None:
    """The amount last told; else that of the ingredient named."""
    last = scene.context.reply.measured if scene.context.reply else None
    names = named_foods(ask, scene)
    named = names[0] if names else food
    if last is not None and (not named or named == last.ingredient):
        return Asked(last.value, last.unit, last.ingredient, last.high, target=target)
    for dish in scene.menu.dishes:
        for line in dish.ingredients:
            if line.name == named and line.value is not None:
                value, high = scaled_span(line, dish, scene)
                return Asked(value, line.unit or "", line.name, high, target=target)
    if last is None or (named and known_weight(named)):
        return None
    return Asked(last.value, last.unit, last.ingredient, last.high, target=target)


def _masked(ask: Understood) -> str:
    """The question in small letters, with every amount as bars of its length."""
    text = ask.text.lower()
    for amount in ask.amounts:
        bars = "|" * (amount.end - amount.start)
        text = text[: amount.start] + bars + text[amount.end :]
    return text


def _food_said(text: str, ask: Understood, scene: Scene) -> str:
    """The food of the question: of the phrases that may name it, the first that is known."""
    phrases = list(dict.fromkeys(filter(None, _phrases(text, ask.amounts))))
    for phrase in phrases:
        food = _sized(phrase)[0]
        if known_weight(food) or _rough_or_canned(food, ask.amounts):
            return phrase
    named = [name for name in named_foods(ask, scene) if known_weight(name)]
    if named and not any(a.kind == "count" and a.unit is None for a in ask.amounts):
        return named[0]
    return phrases[0] if phrases else ""


def _phrases(text: str, amounts: tuple[AmountHeard, ...]) -> list[str]:
    found = [_until_stop(text[a.end :]) for a in amounts if a.value is not None]
    many = _HOW_MANY.search(text)
    one = _ONE.search(text)
    if one:
        found.append(_until_stop(next(filter(None, one.groups()))))
    if many:
        words = _until_stop(many[1])
        found += [words.partition(" of ")[2] or words, words]
    if not any(found):  # "sugar in cups"
        found.append(_until_stop(_ASKED.sub("", text)))
    found.append(_until_stop(text.rpartition(" of ")[2]) if " of " in text else "")
    return found


def _until_stop(text: str) -> str:
    words = []
    for word in re.findall(r"[|?!.,;]|[^\s|?!.,;]+", text):
        if word in "|?!.,;" or (word in _STOPS):
            break
        words.append(word)
    phrase = " ".join(words)
    while (shorter := _LEADING.sub("", phrase)) != phrase:
        phrase = shorter
    return phrase


def _sized(phrase: str) -> tuple[str, str]:
    """The food without its size, and that size: ("eggs", "large")."""
    found = _SIZE.match(phrase)
    if not found:
        return phrase, ""
    size = {"big": "large", "average": "medium", "medium-sized": "medium"}.get(found[1], found[1])
    return phrase[found.end() :], size


def _counted(text: str, food: str) -> tuple[str, str]:
    """What a weight is to be counted in, and the food: "how many cloves of garlic is | |"."""
    found = re.search(r"\bhow (many|much)\b\s*([^|?]*)", text)
    if not found:
        return "", food
    unit_word, _, of = _until_stop(found[2]).partition(" of ")
    if of and _is_piece(unit_word):
        return plain(unit_word), of
    many = found[1] == "many" or _comes_in_sizes(food)
    if many and _is_piece(unit_word):
        return plain(unit_word), food
    return PIECES if many else "", food


def _bare_measure(text: str) -> str:
    """The unit of "cup of flour in grams" and "how much butter is a stick"; else ""."""
    found = re.match(r"\W*(?:how (?:much|heavy) is |what is |what's )?(\w+) of \w", text)
    found = found or re.search(r"\bhow much .+ is (?:an?|one) (\w+)\W*$", text)
    try:
        name = plain(found[1]) if found else ""
    except UnknownUnit:
        return ""
    return name if name and kind_of(name) in ("volume", "mass", "count") else ""


def _comes_in_sizes(food: str) -> bool:
    if not known_weight(food):
        return False
    return any(size in densities.weight_of(food).pieces for size in SIZES)


def _is_piece(word: str) -> bool:
    try:
        return kind_of(word) == "count"
    except UnknownUnit:
        return False


def _rough_or_canned(food: str, amounts: tuple[AmountHeard, ...]) -> bool:
    units = [a.unit for a in amounts if a.unit and a.kind == "count"]
    return bool(canned_index().within(food)) or any(rough(unit, food) for unit in units)
