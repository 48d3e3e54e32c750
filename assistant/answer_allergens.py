"""Answers about allergens and who cannot eat a dish.

They tell what the names of the ingredients show, what often hides in shop-bought kinds, and what
no table knows. They never call a dish safe: labels decide.
"""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from assistant.advised import advice_on
from assistant.figures import as_said, food, joined, short, sources_of
from assistant.meaning import Ref, Understood
from assistant.measures import capital
from assistant.reply import Reply
from assistant.scene import Scene
from assistant.subject import dishes_named
from domain.ingredients import Allergen, allergen_index, allergens, foods_in, shows, source_of_shows
from domain.menu import Dish
from domain.names import canonical
from domain.tables import caution

_LABELS = "Check the labels."
_TITLE_FOODS = 3  # more are counted, not named
_TOLD_AT_ONCE = 2  # ingredients with hidden allergens; more follow on "more"


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
    asked = _allergens_in(_without_things(ask))
    if asked:
        return _one_allergen(asked, title, lines, scene)
    found = {name: _where(name, lines, "contains", scene) for name in allergen_names(scene)}
    found = {name: where for name, where in found.items() if where}
    hidden = _hidden(lines, found, scene)
    sentences = [_headline(title, list(found)), *_cannot_tell(lines, scene)]
    more = [f"{capital(name)}: {joined(where)}." for name, where in found.items()]
    if len(hidden) <= _TOLD_AT_ONCE:
        sentences += hidden
    else:
        sentences.append(f"{len(hidden)} ingredients often carry others; ask for more.")
        more += hidden
    sentences.append(_LABELS)
    spoken = " ".join(sentences)
    more.append(caution("allergens").say)
    return Reply(spoken, f"{spoken}\n{_cited(found)}", " ".join(more))


def _headline(title: str, names: Sequence[str]) -> str:
    """What shows, in a first sentence that is short enough to hear."""
    if not names:
        return f"{title}: no allergen shows in the names."
    line = f"{title}: {joined(names)}."
    return (
        line if short(line) else f"{title} shows {len(names)} allergens. {capital(joined(names))}."
    )


def _cannot_tell(lines: Sequence[str], scene: Scene) -> list[str]:
    unknown = [food(line, scene) for line in lines if not shows(line).known]
    return [f"I cannot tell for {joined(unknown)}."] if unknown else []


def _allergens_in(text: str) -> list[Allergen]:
    found = [row for match in allergen_index().within(text) for row in match.rows]
    return list(dict.fromkeys(found))


def _asked(ask: Understood, scene: Scene) -> tuple[str, list[str]]:
    """What is asked about, and the names of its ingredients: of the menu, else any food."""
    refs = _things(ask)
    ingredients = [ref.name for ref in refs if ref.kind == "ingredient"]
    dishes = dishes_named(refs)
    if dishes:
        chosen = [scene.menu.dish(name) for name in dishes]
        title = joined([dish.title for dish in chosen])
        return title if len(chosen) == 1 else f"Those {len(chosen)} dishes", _lines(chosen)
    named = ingredients or _foods_said(ask)
    if named:
        title = capital(joined([food(name, scene) for name in named]))
        return title if len(named) <= _TITLE_FOODS else f"Those {len(named)} foods", named
    return "The menu", _lines(scene.menu.dishes)


def _lines(dishes: Iterable[Dish]) -> list[str]:
    return list(dict.fromkeys(line.name for dish in dishes for line in dish.ingredients))


def _foods_said(ask: Understood) -> list[str]:
    """The foods in the question that are not themselves an allergen asked about."""
    allergen_words = set(allergen_index().names)
    found = [name for name in foods_in(ask.text) if name not in allergen_words]
    return [as_said(ask.text, name) for name in found]


def _things(ask: Understood) -> list[Ref]:
    """What was named, but for an allergen that is asked for in it, or that a step is named after.

    "Any nuts in the salad" is of the salad, and "anything with nuts" of the menu, though nuts are
    chopped in a step; "allergens in the walnuts" is of the walnuts.
    """
    names = allergen_index().names
    others = [ref for ref in ask.refs if " ".join(canonical(ref.text)) not in names]
    foods = [ref for ref in ask.refs if ref not in others and ref.kind == "ingredient"]
    return others or foods


def _without_things(ask: Understood) -> str:
    """The question without the things named, so that "nuts in the walnut tart" asks of nuts."""
    text = ask.text
    for ref in sorted(_things(ask), key=lambda ref: -ref.start):
        text = f"{text[: ref.start]} {text[ref.end :]}"
    for food_said in () if ask.refs else _foods_said(ask):
        text = re.sub(rf"\b{re.escape(food_said)}\b", " ", text, flags=re.I)
    return text


def allergen_names(scene: Scene) -> list[str]:
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
        often = sorted(shows(line).check & set(allergen_names(scene)) - set(found))
        if often:
            sentences.append(f"{capital(food(line, scene))} can carry {joined(often)}.")
    return sentences


def _one_allergen(
    asked: Sequence[Allergen], title: str, lines: Sequence[str], scene: Scene
) -> Reply:
    """Whether one allergen (or the few that a word means) shows, where, and what to check."""
    names = [row.name for row in asked]
    holds = _distinct(line for name in names for line in _where(name, lines, "contains", scene))
    often = _distinct(line for name in names for line in _where(name, lines, "check", scene))
    shown = [name for name in names if _where(name, lines, "contains", scene)]
    if holds:
        # No "yes" or "no": both "is there any" and "is it safe" are asked in these words.
        sentences = [f"It contains {joined(shown)}.", f"It is in {joined(holds)}."]
    else:
        sentences = [f"Nothing in the names shows {joined(names, 'or')}."]
    often = [line for line in often if line not in holds]
    if often:
        sentences.append(f"It can hide in {joined(often)}.")
    sentences += [*_cannot_tell(lines, scene), f"I looked at: {title}.", _LABELS]
    more = [*(row.note for row in asked if row.note), caution("allergens").say]
    spoken = " ".join(sentences)
    return Reply(spoken, f"{spoken}\n{_cited(names)}", " ".join(more))


def _distinct(lines: Iterable[str]) -> list[str]:
    return list(dict.fromkeys(lines))


def _cited(names: Iterable[str]) -> str:
    wanted = set(names)
    rows = [row.source for row in allergens() if row.name in wanted]
    return sources_of([*rows, source_of_shows()])


def answer_who_cannot(ask: Understood, scene: Scene) -> Reply:
    """Who cannot eat what was named, else the menu: the cook's own guests first, then the rest."""
    ruled = advice_on(ask, scene)
    if ruled:
        return ruled
    title, lines = _asked(ask, scene)
    text = _without_things(ask)
    asked = [guest for guest in GUESTS if _means(guest, text)]
    if asked:
        return _closing([_guest_sentence(guest, lines, scene) for guest in asked], [], lines, scene)
    allergic = _allergens_in(text)
    if allergic:
        return _one_allergen(allergic, title, lines, scene)
    barred = [guest for guest in GUESTS if _animals(guest, lines, scene)]
    found = [name for name in allergen_names(scene) if _where(name, lines, "contains", scene)]
    own = [line for words in scene.settings.allergies for line in _own_guest(words, lines, scene)]
    sentences = list(own)
    if barred:
        sentences.append(f"Not for {joined([guest.who for guest in barred], 'or')}.")
    if found:
        line = f"{'Nor' if barred else 'Not'} for anyone avoiding {joined(found, 'or')}."
        fits = short(line) or sentences
        sentences += [line] if fits else [f"{title} shows {len(found)} allergens.", line]
    if not barred and not found:
        sentences.append(f"{title}: the names rule nobody out.")
    detail = [_guest_sentence(guest, lines, scene) for guest in barred]
    detail += [f"{capital(n)}: {joined(_where(n, lines, 'contains', scene))}." for n in found]
    return _closing(sentences, [*detail, *_hidden(lines, found, scene)], lines, scene)


def _closing(
    sentences: Sequence[str], detail: Sequence[str], lines: Sequence[str], scene: Scene
) -> Reply:
    spoken = " ".join([*sentences, *_cannot_tell(lines, scene), _LABELS])
    more = " ".join([*detail, caution("allergens").say])
    return Reply(spoken, f"{spoken}\n{sources_of([source_of_shows()])}", more)


def guest_warning(words: str, scene: Scene) -> list[str]:
    """A warning for somebody who avoids this, where it is in the menu; none where it does not
    show."""
    return _own_guest(words, _lines(scene.menu.dishes), scene)


def _own_guest(words: str, lines: Sequence[str], scene: Scene) -> list[str]:
    """A warning for one of the cook's own allergies; none when nothing of it shows."""
    names = {row.name for row in _allergens_in(words)}
    holds = [line for line in lines if shows(line).contains & names or _same(words, line)]
    often = [line for line in lines if shows(line).check & names and line not in holds]
    if holds:
        where = joined([food(line, scene) for line in holds])
        return [f"Careful: your guest avoids {words}.", f"It is in {where}."]
    if often:
        where = joined([food(line, scene) for line in often])
        return [f"Your guest avoids {words}: read labels.", f"It can hide in {where}."]
    return []


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
