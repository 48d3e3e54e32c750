"""What will be left of tonight's dishes, and how each is cooled and put away."""

from assistant.answer_keeping import of_dish, strictest
from assistant.figures import allowed, is_rice, joined, length, says, sources_of
from assistant.inside_temperature import figure
from assistant.inside_temperature import strictest as hottest
from assistant.meaning import Understood
from assistant.measures import capital
from assistant.reply import Reply
from assistant.scene import Scene
from assistant.subject import dishes_named
from domain.menu import Dish
from domain.sources import Source
from domain.tables import Storage, limits_on, safe_temperature_index

_HEAT = frozenset({"ring", "oven", "grill"})


def answer_leftovers(ask: Understood, scene: Scene) -> Reply:
    """How to cool what is left, then for how long each dish keeps; raw dishes are said apart."""
    dishes = _dishes(ask, scene)
    cooked = [dish for dish in dishes if _is_cooked(dish)]
    raw = [dish for dish in dishes if dish not in cooked]
    kept = {dish.title: row for dish in cooked if (row := _row(dish, scene))}
    first, sources = _cooling(cooked, scene)
    sentences = [first, "Shallow boxes, then the fridge.", *_by_time(kept)]
    sentences += [_raw(dish) for dish in raw]
    more = [*_frozen(cooked, scene), _reheating(scene)]
    more += [f"{dish.title}: {dish.keeps}" for dish in cooked if dish.keeps]
    spoken = " ".join(filter(None, sentences))
    cited = sources_of([*sources, *(row.source for row in kept.values())])
    return Reply(spoken, f"{spoken}\n{cited}", " ".join(more))


def _dishes(ask: Understood, scene: Scene) -> list[Dish]:
    """The dishes named, else all that are cooked tonight."""
    named = dishes_named(ask.refs)
    left_out = scene.live.state.dropped
    tonight = [dish for dish in scene.menu.dishes if dish.name not in left_out]
    return [dish for dish in tonight if dish.name in named] or tonight


def _is_cooked(dish: Dish) -> bool:
    return any(use.what in _HEAT for step in dish.steps for use in step.uses)


def _row(dish: Dish, scene: Scene) -> Storage | None:
    rows = _for_home(dish)
    return strictest([row for row in rows if allowed(row.source, scene)]) or strictest(rows)


def _for_home(dish: Dish) -> list[Storage]:
    return [row for row in of_dish(dish) if row.audience == "home"]


def _cooling(cooked: list[Dish], scene: Scene) -> tuple[str, list[Source]]:
    """ "Cool the rice within 1 hour, the rest within 2 hours", and who says so."""
    rice = any(is_rice(line.name) for dish in cooked for line in dish.ingredients)
    general = next(
        (row for row in limits_on("cool") if row.upto_s and allowed(row.source, scene)),
        limits_on("left out")[0],
    )
    rest = length(general.upto_s or general.within_s or 0)
    if not cooked:
        return "", []
    if not rice:
        return says(f"Cool it within {rest}", general.source), [general.source]
    own = limits_on("cool", "cooked rice")[0]
    if len(cooked) == 1:
        return says(f"Cool it within {length(own.within_s or 0)}", own.source), [own.source]
    line = f"Cool the rice within {length(own.within_s or 0)}, the rest within {rest}"
    return says(line, own.source), [own.source, general.source]


def _by_time(kept: dict[str, Storage]) -> list[str]:
    """ "In the fridge, white rice: 1 day." for the dishes that keep alike, the shortest first."""
    alike: dict[tuple[int, str], list[str]] = {}
    for title, row in kept.items():
        assert row.fridge is not None
        alike.setdefault((row.fridge.high_s, row.fridge.shown), []).append(title)
    return [
        f"{capital(joined([title.lower() for title in titles]))}: {shown} in the fridge."
        for (_, shown), titles in sorted(alike.items())
    ]


def _raw(dish: Dish) -> str:
    own = dish.keeps or "I have no published figure; eat it tonight."
    return f"{dish.title}: {own[0].lower()}{own[1:]}" if dish.keeps else f"{dish.title}: {own}"


def _frozen(cooked: list[Dish], scene: Scene) -> list[str]:
    """How long the dishes keep frozen, by the strictest that tells it, or that they do not."""
    told = []
    for dish in cooked:
        rows = _for_home(dish)
        against = next((row for row in rows if row.freezer_no), None)
        if against:
            told.append(f"{dish.title}: do not freeze, by {against.source.short}.")
            continue
        timed = [row for row in rows if row.freezer]
        usable = [row for row in timed if allowed(row.source, scene)] or timed
        first = min(usable, key=lambda row: row.freezer.high_s if row.freezer else 0, default=None)
        if first and first.freezer:
            told.append(f"{dish.title}: {first.freezer.shown} frozen, by {first.source.short}.")
    return told


def _reheating(scene: Scene) -> str:
    rows = safe_temperature_index().within("leftover")[0].rows
    row = hottest([row for row in rows if row.audience == "home"], scene)
    return f"Reheat once only, to {figure(row, scene)} right through, says {row.source.short}."
