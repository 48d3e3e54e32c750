"""Reports in the words of a step itself: "rice is rinsed", "sliced the radishes", "pears are out".

A step is named as one is told to do it, so its verb in the past, or where it puts its thing, tells
that it is done. Only wordings in which nothing else is said are taken for that: not "nearly
drained", nor "is the rice rinsed".
"""

import re
from dataclasses import replace
from functools import lru_cache

from assistant.meaning import Ref, Understood
from assistant.resolve import stem as rough_stem
from assistant.scene import Scene
from assistant.wording import plain
from domain.menu import Dish, Step
from scheduling.queries import starts_at
from scheduling.timetable import is_heating

_AROUND = frozenset(
    """and so now okay right well then there finally all both already i we you have had been is are
    was were the a my our that them it of up done got gone too yes""".split()  # noqa: SIM905
)
_QUESTION = re.compile(r"^(?:is|are|was|were|has|have (?!put\b|set\b|cut\b))")
_CLAUSES = re.compile(r"[,;.!]+\s+(?:and\s+)?|\s+and\s+(?!it\b)")
# Told of what was done with a word before them; "cut the fennel" alone may be what is to be done.
_SAME_IN_PAST = frozenset({"cut", "put", "set", "spread"})
_HAVING = frozenset("is are was were have has been".split())  # noqa: SIM905
_ARTICLES = frozenset({"the", "my", "our", "a", "some"})
_ORDERS = re.compile(r"(?:^|[.,;:] |\band )(\w+)")
_PAST = {"beaten": "beat", "laid": "lay", "made": "make", "shaken": "shake", "taken": "take"}
_PLACES = frozenset({"in", "out", "on", "off"})
_WHERE = frozenset({"the", "now", "oven", "heat", "hob", "stove", "pan", "pot"})


def stem(word: str) -> str:
    """The rough stem with one letter for two at its end, so that "fluffed" is of "fluff"."""
    short = rough_stem(word)
    return short[:-1] if short[-2:-1] == short[-1:] else short


def told_done(ask: Understood, scene: Scene) -> Understood | None:
    """`ask` as the report of the step that it tells, in that step's own words, is done or begun."""
    if ask.text.rstrip().endswith("?"):
        return None
    parts = [plain(part).split() for part in _CLAUSES.split(ask.text)]
    clauses = [words for words in parts if not _AROUND.issuperset(words)]
    if not clauses or _QUESTION.match(" ".join(clauses[0])):
        return None
    found = [step for step in open_steps(scene) if all(_tells(c, step, scene) for c in clauses)]
    named = any(word not in _AROUND for words in clauses for word in words[:-1])
    if not found or (len(found) > 1 and not named):
        return None
    step = found[0]
    intent = "report_done" if step.attention == "hands-on" else "report_begun"
    ref = Ref(step.name, "step", step.key, 1.0, 0, len(ask.text))
    return replace(ask, intent=intent, confidence=1.0, refs=(ref,), by="exact")


def open_steps(scene: Scene) -> list[Step]:
    """The steps under way, then those whose turn has come, as the plan has them."""
    states = scene.live.state.steps

    def open_now(step: Step) -> bool:
        before = (states[follow.step].status for follow in step.follows if follow.until == "start")
        waiting = states[step.key].status == "waiting" and "waiting" not in before
        return waiting or states[step.key].status == "running"

    return sorted(
        filter(open_now, scene.live.steps.values()),
        key=lambda s: (states[s.key].status != "running", starts_at(scene.live, s.key)),
    )


def _tells(words: list[str], step: Step, scene: Scene) -> bool:
    """Whether nothing is said but that this step is done, or its thing where it is to be."""
    dish = next((dish for dish in scene.menu.dishes if dish.name == step.dish), None)
    verbs, things, places = _names(step, dish)
    for place, word in enumerate(words):
        if words[place - 1 : place] and words[place - 1] in _ARTICLES:
            continue  # "the chopped nuts" are a thing
        said = _past(word, words[:place]) if step.attention == "hands-on" else _going(word, step)
        others = [*words[:place], *words[place + 1 :]]
        if said in verbs and all(w in _AROUND or stem(w) in things for w in others):
            return True
    while len(words) > 2 and words[-1] in _WHERE:
        words = words[:-1]
    *about, place_told = words
    named = [stem(word) for word in about if word not in _AROUND]
    # "Put the pears in" may be what is to be done.
    orders = named[:1] == [stem(step.name.split()[0])]
    on = places | {"on"} if is_heating(step) else places
    return place_told in on and not orders and bool(named) and things.issuperset(named)


def _past(word: str, before: list[str]) -> str:
    """The stem of a verb that tells what was done; "" for any other word."""
    if word in _SAME_IN_PAST:
        return stem(word) if not _HAVING.isdisjoint(before) else ""
    if word in _PAST:
        return stem(_PAST[word])
    if word.endswith("ied"):
        return f"{word[:-3]}y"
    return stem(word) if word.endswith("ed") else ""


def _going(word: str, step: Step) -> str:
    """The stem of a verb that tells that an oven is heating; "" for any other word."""
    return stem(word) if word.endswith("ing") and is_heating(step) else ""


@lru_cache(maxsize=1024)
def _names(step: Step, dish: Dish | None) -> tuple[frozenset[str], frozenset[str], frozenset[str]]:
    """The stems of what is done in a step and to what it is done, and where that is put."""
    called = [plain(text.replace("-", " ")).split() for text in (step.name, *step.also)]
    verbs = {words[0] for words in called if words} | set(_ORDERS.findall(step.say.lower()))
    things = {word for words in called for word in words}
    if dish is not None:
        lines = [line for line in dish.ingredients if line.name in step.ingredients]
        names = [*dish.also, *(name for line in lines for name in (line.name, *line.also))]
        things |= {word for name in names for word in plain(name).split()}
    places = frozenset(word for words in called for word in words if word in _PLACES)
    if "off the heat" in step.say.lower():
        places |= {"off"}
    return frozenset(map(stem, verbs)), frozenset(map(stem, things)), places
