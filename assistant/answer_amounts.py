"""Answers about amounts: how much, scaled, still to add."""

from rapidfuzz import fuzz, process

from assistant.answer_convert import convert_amount, refused, water_for_a_grain
from assistant.asked_amount import asked_amount, juice_asked
from assistant.meaning import AmountHeard, Ref, Understood
from assistant.measures import (
    amount,
    amount_line,
    capital,
    listed,
    measured,
    measures_of,
    scaled,
    scaled_span,
)
from assistant.reply import Measured, Reply
from assistant.scene import Scene
from assistant.subject import step_meant
from assistant.wording import plain
from domain.errors import KitchenError
from domain.menu import Dish, Ingredient
from domain.rounding import scale
from domain.units import convert, kind_of, refuse_impossible, unit

# What a question after an amount is made of besides its food.
_ASKING = frozenset(
    "of the a do does did i we you need needs want use go goes in is are there".split()  # noqa: SIM905
)
_WEIGHING = frozenset(("weigh", "weighs", "weight", "heavy"))
# Words that stand for a factor; the trade's everyday ones.
_FACTORS = {
    "half": 0.5, "halve": 0.5, "third": 1 / 3, "quarter": 0.25, "double": 2.0, "twice": 2.0,
    "triple": 3.0, "treble": 3.0, "two thirds": 2 / 3, "three quarters": 0.75,
}  # fmt: skip


def how_much(ask: Understood, scene: Scene) -> Reply:
    """The amount of an ingredient: for the dish named, else in all, scaled to the guests.

    What weighs or measures how much, of an amount told or in a unit told, is a conversion.
    """
    words = set(plain(ask.text).split())
    if (
        water_for_a_grain(ask.text)
        or words & _WEIGHING
        or juice_asked(ask.text)
        or any(_measures(a, ask.text) for a in ask.amounts)
    ):
        return convert_amount(ask, scene)
    found = _lines(ask, scene)
    if not found:
        return _unknown_ingredient(ask, scene)
    first = _measured(found[0][1], found[0][0], scene)
    if len(found) == 1:
        dish, line = found[0]
        told = capital(amount_line(line, dish, scene))
        return Reply(f"{told}.", more=f"For {dish.title}.", measured=first)
    parts = [f"{amount_line(line, dish, scene)} for {dish.title}" for dish, line in found]
    total = _total(found, scene)
    in_all = f"{capital(amount(total.value, total.unit))} in all. " if total else ""
    rest = ". ".join(capital(part) for part in parts)
    return Reply(f"{in_all}{rest}.", measured=total or first)


def _measures(said: AmountHeard, text: str) -> bool:
    """Whether it is the amount asked about: not so in "how much salt for two litres"."""
    before = text[: said.start].lower().rstrip()
    return said.kind in ("mass", "volume") and not before.endswith((" for", " for the", " to"))


def scale_amount(ask: Understood, scene: Scene) -> Reply:
    """Half, double, a third ... of an amount, or of the amount last spoken of.

    An amount without a factor is told in another unit: "how much is a cup of flour".
    """
    factor = _factor(ask)
    asked = asked_amount(ask, scene)
    if factor is None and ask.amounts:
        return convert_amount(ask, scene)
    if asked is None or factor is None:
        return Reply("How much of what?")
    measures = measures_of(scene)
    try:
        here = unit(asked.unit or "piece", measures)
        refuse_impossible(asked.value, here)
        value, name = scale(asked.value, here, factor, measures)
    except KitchenError as error:
        return refused(error, asked.value, asked.unit)
    high = None if asked.high is None else convert(asked.high * factor, here, name).value
    return Reply(
        f"{capital(measured(value, name, high))}.",
        measured=Measured(value, name, asked.food, high),
    )


def left_to_add(ask: Understood, scene: Scene) -> Reply:
    """The ingredients of the steps still to come, of the dish named or of all."""
    step = step_meant(ask, scene)
    known = {dish.name for dish in scene.menu.dishes}
    dishes = [scene.menu.dish(step.dish)] if step and step.dish in known else scene.menu.dishes
    parts = []
    for dish in dishes:
        left = {
            name
            for s in dish.steps
            if scene.live.state.steps[s.key].status == "waiting"
            for name in s.ingredients
        }
        lines = [line for line in dish.ingredients if line.name in left]
        parts += [amount_line(line, dish, scene) for line in lines]
    return listed("Still to add", parts) if parts else Reply("Everything is in.")


def _lines(ask: Understood, scene: Scene) -> list[tuple[Dish, Ingredient]]:
    """The ingredient lines meant: by reference, in the dish named if one is."""
    refs = ask.refs or ((scene.context.topic,) if scene.context.topic else ())
    names = {ref.name for ref in refs if ref.kind == "ingredient"}
    dishes = {ref.name for ref in refs if ref.kind == "dish"}
    lines = [(dish, line) for dish in scene.menu.dishes for line in dish.ingredients]
    found = [(dish, line) for dish, line in lines if line.name in names]
    if not found:
        found = [pair for pair in lines if any(_named(pair[1], ref) for ref in refs)]
    return [pair for pair in found if pair[0].name in dishes] or found


def _named(line: Ingredient, ref: Ref) -> bool:
    """The reference's words are the line's, where the resolver took them for something else."""
    words = plain(ref.text).removeprefix("the ")
    return any(words in (plain(name), plain(name).split()[-1]) for name in (line.name, *line.also))


def _measured(line: Ingredient, dish: Dish, scene: Scene) -> Measured | None:
    if line.value is None:
        return None
    value, high = scaled_span(line, dish, scene)
    return Measured(value, line.unit or "", line.name, high)


def _total(found: list[tuple[Dish, Ingredient]], scene: Scene) -> Measured | None:
    """The sum over dishes, when all are given in units of one kind."""
    units = {line.unit for _, line in found}
    if None in units or any(line.value is None for _, line in found):
        return None
    first = next(iter(units)) or ""
    if len({kind_of(name or "") for name in units}) != 1:
        return None
    total = sum(
        convert(scaled(line, dish, scene), line.unit or "", first).value for dish, line in found
    )
    return Measured(total, first, found[0][1].name)


def _unknown_ingredient(ask: Understood, scene: Scene) -> Reply:
    names = sorted({line.name for dish in scene.menu.dishes for line in dish.ingredients})
    said = ask.refs[0].text if ask.refs else _asked_after(ask.text)
    near = process.extract(said, names, scorer=fuzz.WRatio, limit=2, score_cutoff=70)
    if not said or not near:
        return Reply(f"{capital(said)} is not in this menu." if said else "How much of what?")
    told = " or ".join(name for name, _, _ in near)
    return Reply(f"{capital(said)} is not in this menu. Did you mean {told}?")


def _asked_after(text: str) -> str:
    """The words that name the food in "how much saffron do I need"."""
    words = plain(text).partition("how much ")[2] or plain(text).partition("how many ")[2]
    left = [word for word in words.split() if word not in _ASKING]
    return " ".join(left[:3])


def _factor(ask: Understood) -> float | None:
    """The factor said, outside the amount itself: "a third of a cup" is an amount."""
    text, counts = ask.text, []
    for said in sorted(ask.amounts, key=lambda said: -said.start):
        if said.kind == "count" and isinstance(said.value, float | int):
            counts.append(float(said.value))
        text = f"{text[: said.start]} {text[said.end :]}"
    words = plain(text)
    if counts and counts[-1] and {"divide", "divided", "split"} & set(words.split()):
        return 1 / counts[-1]
    if counts and {"times", "multiply", "multiplied"} & set(words.split()):
        return counts[-1]
    for phrase in sorted(_FACTORS, key=len, reverse=True):
        if phrase in words:
            return _FACTORS[phrase]
    return next((count for count in counts if 0 < count < 1), None)
