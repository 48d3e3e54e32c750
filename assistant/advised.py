"""Advice that the wording of a question calls for: the rule, whose it is, its caution."""

from collections.abc import Sequence

from assistant.figures import food, joined, says, sources_of
from assistant.inside_temperature import temperatures_asked
from assistant.meaning import Understood
from assistant.reply import Reply
from assistant.scene import Scene
from assistant.subject import dishes_named
from assistant.wording import plain
from domain.advice import Advice, advised
from domain.menu import Dish
from domain.names import canonical


def advice_on(ask: Understood, scene: Scene, *, weak: bool = False) -> Reply | None:
    """What the tables of eating and handling say to this wording; None when nothing.

    weak: whether rows count that give way to whatever can be measured.
    """
    wording = plain(ask.text)
    row = advised("eating", wording, weak=weak) or advised("handling", wording, weak=weak)
    return advice_reply(row, ask, scene) if row else None


def danger_asked(ask: Understood, scene: Scene) -> Reply | None:
    """What is said to a wish that the table of eating warns of, under whatever intent."""
    row = advised("eating", plain(ask.text), weak=False)
    return advice_reply(row, ask, scene) if row else None


def advice_reply(
    row: Advice, ask: Understood, scene: Scene, *, name_practice: bool = True
) -> Reply:
    """The row as an answer, with the foods of the menu that it is about.

    name_practice: whether it is said aloud, too, that a row is common practice alone.
    """
    sources = [row.source]
    heat: list[str] = []
    asked = temperatures_asked(ask, scene) if row.needs_heat else None
    if asked:
        heat = asked.lines(scene)
        sources += [one.source for one in asked.told.values()]
    named = name_practice or row.source.status == "published"
    first = says(row.say, row.source) if named else f"{row.say}."
    spoken = [first, row.then, *heat, *_in_the_menu(row, ask, scene)]
    text = " ".join(filter(None, spoken))
    return Reply(text, f"{text}\n{sources_of(sources)}", row.more)


def _in_the_menu(row: Advice, ask: Understood, scene: Scene) -> list[str]:
    """Which of the foods to look for the menu, or the dish asked about, has."""
    if not row.look_for:
        return []
    dishes = _dishes_asked(ask, scene)
    where = dishes[0].title if len(dishes) == 1 else "This menu"
    lines = list(dict.fromkeys(line.name for dish in dishes for line in dish.ingredients))
    wanted = [canonical(name) for name in row.look_for]
    # "cider vinegar" is no cider, and "flaked almonds" are almonds: the last words count.
    found = [n for n in lines if any(canonical(n)[-len(words) :] == words for words in wanted)]
    if not found:
        return [f"I see none of that in the names; {where.lower()} may hide some."]
    return [f"{where} has {joined([food(name, scene) for name in found])}."]


def _dishes_asked(ask: Understood, scene: Scene) -> Sequence[Dish]:
    return [scene.menu.dish(name) for name in dishes_named(ask.refs)] or scene.menu.dishes
