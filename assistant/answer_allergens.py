"""Answers about allergens and who cannot eat a dish.

They tell what the names of the ingredients show, what often hides in shop-bought kinds, and what
no table knows. They never call a dish safe: labels decide.
"""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from assistant.figures import food, joined, sources_of
from assistant.measures import capital
from assistant.reply import Reply
from assistant.scene import Scene
from assistant.understand import Understood
from domain.ingredients import Allergen, allergen_index, allergens, shows, source_of_shows
from domain.menu import Dish
from domain.tables import caution

_LABELS = "Check the labels."


@dataclass(frozen=True)
class Guest:
    """A way of eating: what it leaves out, and the words that mean it."""

    who: str
    words: tuple[str, ...]
    animal: frozenset[str]
    note: str = ""


# What each way of eating leaves out: the trade's usual meaning of the words (common practice).
_FLESH = frozenset({"meat", "pork", "fish", "shellfish", "gelatine"})
GUESTS = (
    Guest("vegans", ("vegan",), _FLESH | {"dairy", "egg", "honey", "rennet"}),
    Guest("vegetarians", ("vegetarian", "veggie"), _FLESH | {"rennet"}),
    Guest("pescatarians", ("pescatarian",), frozenset({"meat", "pork", "gelatine"})),
    Guest("people who eat no pork", ("pork",), frozenset({"pork", "gelatine"})),
    Guest("people who take no alcohol", ("alcohol",), frozenset({"alcohol"})),
    Guest("people who eat halal", ("halal", "muslim"), frozenset({"pork", "gelatine", "alcohol"}),
          "A name cannot show how meat was slaughtered."),
    Guest("people who eat kosher", ("kosher",), frozenset({"pork", "shellfish", "gelatine"}),
          "A name cannot show how meat was slaughtered, nor what was kept apart."),
)  # fmt: skip


def answer_allergens(ask: Understood, scene: Scene) -> Reply:
    """The allergens that the names show in what was named, else in the whole menu."""
    title, lines = _asked(ask, scene)
    asked = [row for match in allergen_index().within(_without_things(ask)) for row in match.rows]
    if asked:
        return _one_allergen(list(dict.fromkeys(asked)), title, lines, scene)
    found = {name: _where(name, lines, "contains", scene) for name in _names(scene)}
    found = {name: where for name, where in found.items() if where}
    unknown = [food(line, scene) for line in lines if not shows(line).known]
    head = f"{title}: {joined(list(found)) if found else 'none shows in the names'}."
    sentences = [head if found else f"{title}: no allergen shows in the names.", _LABELS]
    if unknown:
        sentences.insert(1, f"I cannot tell for {joined(unknown)}.")
    detail = [f"{capital(name)}: {joined(where)}." for name, where in found.items()]
    hidden = _hidden(lines, found, scene)
    more = [*detail, *hidden, caution("allergens").say]
    return Reply(" ".join(sentences), f"{' '.join(sentences)}\n{_cited(found)}", " ".join(more))


def _asked(ask: Understood, scene: Scene) -> tuple[str, list[str]]:
    """What is asked about, and the names of its ingredients."""
    ingredients = [ref.name for ref in ask.refs if ref.kind == "ingredient"]
    dishes = list(dict.fromkeys(
        ref.name.split("/")[0] for ref in ask.refs if ref.kind in ("dish", "step")
    ))  # fmt: skip
    if dishes:
        chosen = [scene.menu.dish(name) for name in dishes]
        return joined([dish.title for dish in chosen]), _lines(chosen)
    if ingredients:
        return capital(joined([food(name, scene) for name in ingredients])), ingredients
    return "The menu", _lines(scene.menu.dishes)


def _lines(dishes: Iterable[Dish]) -> list[str]:
    return list(dict.fromkeys(line.name for dish in dishes for line in dish.ingredients))


def _without_things(ask: Understood) -> str:
    """The question without the things named, so that "nuts in the walnut tart" asks of nuts."""
    text = ask.text
    for ref in sorted(ask.refs, key=lambda ref: -ref.start):
        text = f"{text[: ref.start]} {text[ref.end :]}"
    return text


def _names(scene: Scene) -> list[str]:
    """The allergens to tell of: all of EU and UK law, which hold US law's, wheat by its own name
    where US rules are asked for."""
    us = scene.settings.food_rules == "us"
    return [row.name for row in allergens() if (row.us if us else row.eu)]


def _where(name: str, lines: Sequence[str], kind: str, scene: Scene) -> list[str]:
    return [food(line, scene) for line in lines if name in getattr(shows(line), kind)]


def _hidden(lines: Sequence[str], found: Iterable[str], scene: Scene) -> list[str]:
    """What shop-bought kinds often carry and nothing else in the dish shows."""
    sentences = []
    for line in lines:
        often = sorted(shows(line).check & set(_names(scene)) - set(found))
        if often:
            sentences.append(f"{capital(food(line, scene))} can carry {joined(often)}.")
    return sentences


def _one_allergen(
    asked: Sequence[Allergen], title: str, lines: Sequence[str], scene: Scene
) -> Reply:
    """Whether one allergen (or the few that a word means) shows, where, and what to check."""
    names = [row.name for row in asked]
    holds = list(
        dict.fromkeys(where for n in names for where in _where(n, lines, "contains", scene))
    )
    often = list(dict.fromkeys(where for n in names for where in _where(n, lines, "check", scene)))
    often = [line for line in often if line not in holds]
    unknown = [food(line, scene) for line in lines if not shows(line).known]
    what = joined([name for name in names if _where(name, lines, "contains", scene)] or names, "or")
    if holds:
        sentences = [f"Yes, {what}: {joined(holds)}."]
    else:
        sentences = [f"{title}: no {what} shows in the names."]
    if often:
        sentences.append(f"It can hide in {joined(often)}.")
    if unknown:
        sentences.append(f"I cannot tell for {joined(unknown)}.")
    sentences.append(_LABELS)
    notes = [row.note for row in asked if row.note]
    more = [*notes, caution("allergens").say]
    return Reply(" ".join(sentences), f"{' '.join(sentences)}\n{_cited(names)}", " ".join(more))


def _cited(names: Iterable[str]) -> str:
    wanted = set(names)
    rows = [row.source for row in allergens() if row.name in wanted]
    return sources_of([*rows, source_of_shows()])


def answer_who_cannot(ask: Understood, scene: Scene) -> Reply:
    """Who cannot eat what was named, else the menu: the cook's own guests first, then the rest."""
    title, lines = _asked(ask, scene)
    text = _without_things(ask)
    own = [_guest(words, lines, scene) for words in scene.settings.allergies]
    asked = [guest for guest in GUESTS if _means(guest, text)]
    allergic = [row for match in allergen_index().within(text) for row in match.rows]
    if allergic and not asked:
        return _one_allergen(list(dict.fromkeys(allergic)), title, lines, scene)
    if asked:
        sentences = [_guest_sentence(guest, lines, scene) for guest in asked]
        return _closing([*sentences, _LABELS], [], lines, scene)
    others = [guest.who for guest in GUESTS if _animals(guest, lines, scene)]
    found = [name for name in _names(scene) if _where(name, lines, "contains", scene)]
    if found:
        others.append(f"anyone avoiding {joined(found, 'or')}")
    head = f"Not for {joined(others)}." if others else f"{title}: nobody that the names show."
    sentences = [*(line for line in own if line), head, _LABELS]
    detail = [
        _guest_sentence(guest, lines, scene) for guest in GUESTS if _animals(guest, lines, scene)
    ]
    detail += [f"{capital(n)}: {joined(_where(n, lines, 'contains', scene))}." for n in found]
    return _closing(sentences, [*detail, *_hidden(lines, found, scene)], lines, scene)


def _closing(sentences: list[str], detail: list[str], lines: Sequence[str], scene: Scene) -> Reply:
    unknown = [food(line, scene) for line in lines if not shows(line).known]
    if unknown:
        detail = [*detail, f"I cannot tell for {joined(unknown)}."]
        sentences = [*sentences[:-1], f"I cannot tell for {joined(unknown)}.", sentences[-1]]
    more = [*detail, caution("allergens").say]
    cited = sources_of([source_of_shows()])
    return Reply(" ".join(sentences), f"{' '.join(sentences)}\n{cited}", " ".join(more))


def _guest(words: str, lines: Sequence[str], scene: Scene) -> str:
    """A warning for one of the cook's own allergies, "" when nothing of it shows."""
    names = [row.name for match in allergen_index().within(words) for row in match.rows]
    holds = [line for line in lines if shows(line).contains & set(names) or _same(words, line)]
    often = [line for line in lines if shows(line).check & set(names) and line not in holds]
    if holds:
        return f"Careful, your guest's {words}: {joined([food(line, scene) for line in holds])}."
    if often:
        lines_of = joined([food(line, scene) for line in often])
        return f"For your guest's {words}, read the label of {lines_of}."
    return ""


def _same(words: str, line: str) -> bool:
    """Whether an allergy that no list names ("kiwi") is itself in an ingredient's name."""
    return bool(re.search(rf"\b{re.escape(words.lower().removesuffix('s'))}", line.lower()))


def _means(guest: Guest, text: str) -> bool:
    return any(re.search(rf"\b{word}", text.lower()) for word in guest.words)


def _animals(guest: Guest, lines: Sequence[str], scene: Scene) -> list[str]:
    return [food(line, scene) for line in lines if shows(line).animal & guest.animal]


def _guest_sentence(guest: Guest, lines: Sequence[str], scene: Scene) -> str:
    why = _animals(guest, lines, scene)
    if why:
        return f"Not for {guest.who}: {joined(why)}."
    return f"Nothing in the names rules out {guest.who}. {guest.note}".strip()
