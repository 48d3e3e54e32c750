"""Answers that change how the assistant answers, remembered for the next time, and what is set."""

import re

from assistant.answer_allergens import guest_warning
from assistant.answer_convert import convert_amount
from assistant.answer_knowledge import answer_altitude, metres_said
from assistant.figures import joined
from assistant.meaning import Understood
from assistant.measures import capital
from assistant.reply import Reply
from assistant.scene import Scene
from assistant.speak import VOICES
from assistant.wording import plain
from domain.boiling import HIGHEST_M, LOWEST_M
from domain.ingredients import allergen_index, foods_in

_UNIT_WORDS = {
    "metric": "metric", "grams": "metric", "gram": "metric", "celsius": "metric",
    "american": "us", "us": "us", "cups": "us", "ounces": "us", "fahrenheit": "us",
    "imperial": "uk", "british": "uk", "uk": "uk", "australian": "au",
}  # fmt: skip
_UNITS = {"metric": "metric", "us": "American", "uk": "British", "au": "Australian"}
_TO_A_UNIT = frozenset({"to", "in", "into", "as", "and", "or"})

# Words that tell a country's English, and a few foods whose names are one country's only.
_AMERICAN = frozenset(
    {"american", "america", "us", "usa", "states", "zucchini", "cilantro", "eggplant", "arugula"}
)
_BRITISH = frozenset(
    {"british", "britain", "uk", "english", "england", "courgette", "courgettes", "coriander",
     "aubergine", "aubergines", "rocket"}
)  # fmt: skip
_STRICTEST = frozenset({"strictest", "strict", "safest", "careful", "cautious", "both"})
_FORGET = re.compile(
    r"\b(?:forget|remove|delete|drop|clear|wipe|take .* off|not allergic|no longer|no allerg\w+|"
    r"has no|have no|is not)\b"
)
_LISTENS = {
    "open": "I listen to everything",
    "name": "I listen when you say {name}",
    "key": "I listen after a key",
}


def set_units(ask: Understood, scene: Scene) -> Reply:
    """Other units, remembered; a unit alone ("to ounces") is for the amount in the air."""
    units = {word for amount in ask.amounts for word in plain(amount.text).split()}
    if units and not set(plain(ask.text).split()) - units - _TO_A_UNIT:
        return convert_amount(ask, scene)
    for word in plain(ask.text).split():
        if word in _UNIT_WORDS:
            system = _UNIT_WORDS[word]
            words = f"{capital(_UNITS[system])} measures from now on."
            return Reply(words, settings=(("units", system),))
    return Reply("Metric, American, British or Australian?")


def set_foods(ask: Understood, scene: Scene) -> Reply:
    """The country whose names of foods and spelling are used; asked without one, which it is."""
    words = set(plain(ask.text).split())
    american, british = words & _AMERICAN, words & _BRITISH
    if bool(american) == bool(british):
        return Reply(f"I use {_english(scene)} names of foods. American or British?")
    foods, name = ("us", "American") if american else ("uk", "British")
    return Reply(f"{name} names of foods from now on.", settings=(("foods", foods),))


def set_food_rules(ask: Understood, scene: Scene) -> Reply:
    """Whose food-safety rules are told; asked without one, whose it is."""
    words = set(plain(ask.text).split())
    chosen = [
        rules
        for rules, known in (("strictest", _STRICTEST), ("us", _AMERICAN), ("uk", _BRITISH))
        if words & known
    ]
    if len(chosen) != 1:
        return Reply(f"I tell {_rules(scene)}. British, American, or the strictest?")
    told = {"strictest": "the strictest", "us": "American", "uk": "British"}[chosen[0]]
    more = "Local rules come first where they are stricter."
    said = f"I tell {told} food-safety rules from now on."
    return Reply(said, more=more, settings=(("food_rules", chosen[0]),))


def set_allergy(ask: Understood, scene: Scene) -> Reply:
    """What must not be in the food, remembered or forgotten, and where it is in this menu."""
    kept = scene.settings.allergies
    named = _avoided(ask)
    if _FORGET.search(plain(ask.text)):
        return _forgotten(named, kept)
    if not named:
        has = f"I remember {joined(kept)}." if kept else "I remember no allergy."
        return Reply(f"{has} What must not be in the food?")
    new = tuple(dict.fromkeys((*kept, *named)))
    warned = [line for words in named for line in guest_warning(words, scene)]
    told = " ".join(warned) or "Nothing in this menu's names shows it. Check the labels."
    words = f"I will remember: no {joined(named, 'or')}. {told}"
    more = "I warn from the names alone; labels and doctors decide."
    return Reply(words, more=more, settings=(("allergies", new),) if new != kept else ())


def _forgotten(named: tuple[str, ...], kept: tuple[str, ...]) -> Reply:
    """Fewer are remembered: those that were named, else all."""
    gone = tuple(words for words in kept if words in named) if named else kept
    if not gone:
        return Reply(f"I have not remembered {joined(named, 'or')}." if named else _NONE_KEPT)
    left = tuple(words for words in kept if words not in gone)
    still = f" I still remember {joined(left)}." if left else ""
    return Reply(f"Forgotten: {joined(gone)}.{still}", settings=(("allergies", left),))


_NONE_KEPT = "I remember no allergy."


def _avoided(ask: Understood) -> tuple[str, ...]:
    """The allergens or foods that are named, by the names of the lists where they have one."""
    found = [row.name for match in allergen_index().within(ask.text) for row in match.rows]
    return tuple(dict.fromkeys(found or foods_in(ask.text)))


def set_altitude(ask: Understood, scene: Scene) -> Reply:
    """The height of this kitchen, remembered, and what it changes."""
    metres = metres_said(ask)
    if metres is None:
        now = _altitude_m(scene)
        return Reply(f"I reckon with {now:,.0f} metres above the sea. Tell me if it is another.")
    answer = answer_altitude(ask, scene)
    if not LOWEST_M <= metres <= HIGHEST_M:
        return answer
    return Reply(
        f"I will remember that. {answer.spoken}",
        f"I will remember that. {answer.shown}",
        answer.more,
        settings=(("altitude_m", round(metres)),),
    )


def by_ear_on(_: Understood, __: Scene) -> Reply:
    """Nothing that is said needs a look from now on."""
    words = "From now on I say what you can hear, feel and smell."
    more = "I say how long a step takes, and what is hot or sharp, before it begins."
    return Reply(words, more=more, settings=(("by_ear", True),))


def by_ear_off(_: Understood, __: Scene) -> Reply:
    """What is said may need a look again."""
    return Reply("I tell how things look again.", settings=(("by_ear", False),))


def shorter(_: Understood, __: Scene) -> Reply:
    """Brief answers from now on."""
    return Reply("Short answers from now on.", settings=(("answers", "brief"),))


def fuller(_: Understood, scene: Scene) -> Reply:
    """Full answers from now on, and the rest of the last one."""
    last = scene.context.reply
    words = "Full answers from now on."
    rest, shown = (last.more, last.more_shown) if last else ("", "")
    settings = (("answers", "full"),)
    return Reply(f"{words} {rest}".strip(), f"{words} {shown}".strip(), settings=settings)


def my_settings(_: Understood, scene: Scene) -> Reply:
    """What is set, the most telling first; the rest on "more"."""
    now = scene.settings
    units = _UNITS[now.units or scene.kitchen.units]
    avoided = f"No {joined(now.allergies, 'or')}." if now.allergies else "No allergy is remembered."
    looks = "By ear" if now.by_ear else "With looks"
    more = [
        f"I tell {_rules(scene)}.",
        f"This kitchen is at {_altitude_m(scene):,.0f} metres.",
        f"{looks}, {now.answers} answers.",
        f"{_LISTENS[now.listening].format(name=now.called.title())}.",
        f"{capital(_voice(scene))}, speed {now.speed:g}, volume {now.volume:g}.",
        f"In an emergency call {now.emergency_number}.",
    ]
    spoken = f"{units.capitalize()} measures, {_english(scene)} names of foods. {avoided}"
    return Reply(spoken, more=" ".join(more))


def _altitude_m(scene: Scene) -> float:
    own = scene.settings.altitude_m
    return scene.kitchen.altitude_m if own is None else own


def _english(scene: Scene) -> str:
    return "American" if scene.settings.foods == "us" else "British"


def _rules(scene: Scene) -> str:
    rules = {"strictest": "the strictest", "us": "American", "uk": "British"}
    return f"{rules[scene.settings.food_rules]} food-safety rules"


def _voice(scene: Scene) -> str:
    voice = VOICES.get(scene.settings.voice)
    return voice.said if voice else "the best voice there is"
