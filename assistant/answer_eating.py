"""Answers to whether something may be eaten, and to clean and safe handling.

What the question can be measured by decides: days, hours, degrees, raw or pink. Then the advice
of the tables. What none of them knows is said not to be known, with what to do.
"""

import re

from assistant.advised import advice_on
from assistant.answer_allergens import answer_allergens
from assistant.answer_cooling import answer_reheat
from assistant.answer_keeping import answer_keeps, stood_out, stood_reply, too_old
from assistant.answer_safety import place_asked, temperatures_reply
from assistant.figures import asked_about, food, sources_of
from assistant.inside_temperature import celsius_told, temperatures_asked, undone
from assistant.kept_for import kept_s
from assistant.meaning import Understood
from assistant.reply import Reply
from assistant.scene import Scene
from assistant.wording import plain
from domain.ingredients import foods_in, shows

_CANNOT_SEE = "I cannot see or smell it; when in doubt, throw it out."
_EATEN = re.compile(r"\b(?:eat\w*|serv\w+|tast\w+|have|tartare|sushi)\b")
_ALLERGIC = re.compile(r"\b(?:allerg\w+|intoleran\w+|coeliac|celiac)\b")
_REHEAT = re.compile(r"\b(?:re ?heat\w*|warm\w* up|heat\w* up|microwav\w*)\b")


def answer_safe_to_eat(ask: Understood, scene: Scene) -> Reply:
    """Whether this may be eaten: by what can be measured, by the advice, else not known."""
    ruled = advice_on(ask, scene)
    if ruled:
        return ruled
    if stood_out(ask):
        return stood_reply(ask, scene)
    if _ALLERGIC.search(plain(ask.text)):
        return answer_allergens(ask, scene)
    return _measured(ask, scene) or _judged(ask, scene)


def _measured(ask: Understood, scene: Scene) -> Reply | None:
    """The answer by the degrees or the days that are told, or by how far it is cooked."""
    place = place_asked(ask, scene) if celsius_told(ask) is not None else None
    if place:
        return place
    asked = temperatures_asked(ask, scene)
    if asked and celsius_told(ask) is not None:
        return temperatures_reply(ask, asked, scene)
    kept = answer_keeps(ask, scene) if kept_s(ask, scene.now) is not None else None
    # What is fresh enough may still be raw; what is too old is not eaten in any state.
    if not asked or not undone(ask) or too_old(ask, scene):
        return kept
    if kept is None or _EATEN.search(plain(ask.text)):
        return temperatures_reply(ask, asked, scene)
    lines = " ".join(("Then cook it through.", *asked.lines(scene)))
    return Reply(f"{kept.spoken} {lines}", f"{kept.shown}\n{lines}", kept.more)


def _judged(ask: Understood, scene: Scene) -> Reply:
    if _REHEAT.search(plain(ask.text)):
        return answer_reheat(ask, scene)
    return advice_on(ask, scene, weak=True) or _raw_plant(ask, scene) or _unjudged(ask, scene)


def _raw_plant(ask: Understood, scene: Scene) -> Reply | None:
    """A plant asked about raw: no rule against it is known, nor is it called safe."""
    plants = [name for name in foods_in(ask.text) if shows(name).known and not shows(name).animal]
    if not undone(ask) or not plants:
        return None
    return Reply(
        f"I know no published rule against raw {food(plants[0], scene)}.",
        more="Rinse it under running water. When in doubt, cook it or leave it.",
    )


def _unjudged(ask: Understood, scene: Scene) -> Reply:
    """What cannot be judged from here, with the figures that there are for the food."""
    asked = temperatures_asked(ask, scene)
    kept = answer_keeps(ask, scene) if asked or asked_about(ask.text) else None
    sentences = [_CANNOT_SEE]
    shown = ""
    if asked:
        sentences += asked.lines(scene)
        shown = f"\n{sources_of(row.source for row in asked.told.values())}"
    sentences.append("Your local food-safety advice and a doctor go before me.")
    spoken = " ".join(sentences)
    return Reply(spoken, f"{spoken}{shown}", kept.spoken if kept else "")


def answer_hygiene(ask: Understood, scene: Scene) -> Reply:
    """Clean and safe handling: by the advice, by a fridge's limit, else what is known of it."""
    found = advice_on(ask, scene, weak=True) or place_asked(ask, scene)
    if found:
        return found
    return Reply(
        "I know no published rule for that; check your local food-safety advice.",
        more="Ask me about hands, boards, cloths, washing, thawing, or where in the fridge.",
    )
