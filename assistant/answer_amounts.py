"""Answers about amounts: how much, in other units, scaled, still to add, other tins."""

from rapidfuzz import fuzz, process

from assistant.meaning import Ref, Understood
from assistant.measures import amount, amount_line, capital, listed, scaled
from assistant.reply import Measured, Reply
from assistant.scene import Scene
from assistant.subject import step_meant
from assistant.wording import plain
from domain.errors import ImpossibleAmount, KitchenError, UnknownUnit
from domain.ingredients import shows
from domain.kitchen import UnitSystem
from domain.menu import Dish, Ingredient
from domain.units import convert, kind_of, refuse_impossible, unit

# What a question after an amount is made of besides its food.
_ASKING = frozenset(
    "of the a do does did i we you need needs want use go goes in is are there".split()  # noqa: SIM905
)
# Words that stand for a factor; the trade's everyday ones.
_FACTORS = {
    "half": 0.5, "halve": 0.5, "third": 1 / 3, "quarter": 0.25, "double": 2.0, "twice": 2.0,
    "triple": 3.0, "treble": 3.0, "two thirds": 2 / 3, "three quarters": 0.75,
}  # fmt: skip
# What an amount is told in when no other unit was asked for.
_COUNTERPARTS = {
    "gram": "ounce", "kilogram": "pound", "ounce": "gram", "pound": "gram",
    "celsius": "fahrenheit", "fahrenheit": "celsius", "gas_mark": "celsius",
    "fan_celsius": "celsius", "centimetre": "inch", "inch": "centimetre",
    "millilitre": "cup", "litre": "cup",
}  # fmt: skip


def how_much(ask: Understood, scene: Scene) -> Reply:
    """The amount of an ingredient: for the dish named, else in all, scaled to the guests."""
    found = _lines(ask, scene)
    if not found:
        return _unknown_ingredient(ask, scene)
    measured = _measured(found[0][1], found[0][0], scene)
    if len(found) == 1:
        dish, line = found[0]
        words = capital(amount_line(line, dish, scene))
        return Reply(f"{words}.", more=f"For {dish.title}.", measured=measured)
    parts = [f"{amount_line(line, dish, scene)} for {dish.title}" for dish, line in found]
    total = _total(found, scene)
    in_all = f"{capital(amount(total.value, total.unit))} in all. " if total else ""
    rest = ". ".join(capital(part) for part in parts)
    return Reply(f"{in_all}{rest}.", measured=total or measured)


def convert_amount(ask: Understood, scene: Scene) -> Reply:
    """An amount in another unit; through the ingredient's density where that is needed."""
    source = _source(ask, scene)
    unknown = _unknown_unit(ask, source)
    if unknown:
        return Reply(f"{unknown}.")
    if source is None:
        return Reply("What shall I convert?")
    targets = [a.unit for a in ask.amounts if a.value is None and a.unit]
    if source.unit in ("celsius", "fahrenheit") and "gas" in plain(ask.text).split():
        targets.append("gas_mark")  # "350 on a gas oven"
    measures = measures_of(scene)
    try:
        here = unit(source.unit or "piece", measures)
        refuse_impossible(source.value, here)
        target = targets[0] if targets else _COUNTERPARTS.get(here, "gram")
        done = convert(
            source.value,
            source.unit or "piece",
            target,
            measures=measures,
            ingredient=source.ingredient or None,
        )
    except KitchenError as error:
        return _refused(error, source)
    of = f" of {source.ingredient}" if source.ingredient else ""
    return Reply(
        f"{capital(amount(done.value, done.unit))}.",
        shown=f"{amount(source.value, here)}{of} = {amount(done.value, done.unit)}",
        more=f"Weight after {done.source}." if done.source else "",
        measured=Measured(source.value, here, source.ingredient),
    )


def scale_amount(ask: Understood, scene: Scene) -> Reply:
    """Half, double, a third ... of an amount, or of the amount last spoken of."""
    source = _source(ask, scene)
    factor = _factor(ask)
    if source is None or factor is None:
        return Reply("How much of what?")
    try:
        here = unit(source.unit or "piece", measures_of(scene))
        refuse_impossible(source.value, here)
    except KitchenError as error:
        return _refused(error, source)
    value = source.value * factor
    return Reply(
        f"{capital(amount(value, here))}.",
        measured=Measured(value, here, source.ingredient),
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


def pan_swap(ask: Understood, scene: Scene) -> Reply:
    """How the amounts change from one round or square tin to another: by area.

    The ratio of areas of two like shapes is the square of the ratio of their widths.
    """
    sizes = [a for a in ask.amounts if a.kind == "length" and isinstance(a.value, float | int)]
    if len(sizes) < 2:
        return Reply("Tell me both sizes: the recipe's tin, and yours.")
    try:
        mine, recipe = (
            convert(float(a.value or 0), a.unit or "", "centimetre").value for a in sizes[:2]
        )
    except KitchenError as error:
        return Reply(f"{capital(str(error))}.")
    if not mine or not recipe:
        return Reply("A tin needs a width.")
    words = plain(ask.text)
    if words.find("instead of") < 0 and words.find("for") >= 0 and " to " in words:
        mine, recipe = recipe, mine
    factor = (mine / recipe) ** 2
    return Reply(
        f"Multiply everything by {factor:.2g}, at the same depth.",
        shown=f"× {factor:.2f} ({mine:g} cm for {recipe:g} cm, same depth)",
        more="The baking time changes with the depth; at the same depth it stays near.",
    )


def _refused(error: KitchenError, source: Measured) -> Reply:
    """Why an amount cannot be had, kindly."""
    if isinstance(error, ImpossibleAmount):
        told = amount(source.value, source.unit or None)
        return Reply(f"{capital(told)} cannot be right: {error.why}.")
    return Reply(f"{capital(str(error))}.")


def _unknown_unit(ask: Understood, source: Measured | None) -> str:
    """What to say of a word that stands where a unit should and is none; "" when all is well."""
    if source is not None and source.unit:
        return ""
    counted = [a for a in ask.amounts if a.kind == "count" and a.unit is None]
    for said in counted:
        after = ask.text[said.end :].split()
        if after and after[0].isalpha() and not shows(after[0]).known:
            try:
                unit(after[0])
            except UnknownUnit as error:
                return str(error)
    return ""


def measures_of(scene: Scene) -> UnitSystem:
    """Whose cups and pints the cook means."""
    return scene.settings.units or scene.kitchen.units


def _source(ask: Understood, scene: Scene) -> Measured | None:
    """The amount asked about: said now, or the one in the air."""
    about = _ingredient_name(ask, scene)
    said = next((a for a in ask.amounts if isinstance(a.value, float | int)), None)
    if said is not None:
        return Measured(float(said.value or 0), said.unit or "", about)
    last = scene.context.reply.measured if scene.context.reply else None
    if last is not None and (not about or about == last.ingredient):
        return last
    found = _lines(ask, scene)
    if found and found[0][1].value is not None:
        return _measured(found[0][1], found[0][0], scene)
    return last


def _ingredient_name(ask: Understood, scene: Scene) -> str:
    """The food named: an ingredient of the menu, else the words after "of"."""
    for ref in ask.refs:
        if ref.kind == "ingredient":
            return ref.name
    words = ask.text.lower().rstrip("?.! ")
    if " of " in words:
        tail = words.rsplit(" of ", 1)[1]
        return tail.split(" to ")[0].split(" in ")[0].split(" into ")[0].strip()
    foods = [ref.text for ref in ask.refs if ref.kind in ("dish", "step")]
    return foods[0].removeprefix("the ") if foods else ""


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
    return Measured(scaled(line, dish, scene), line.unit or "", line.name)


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
    words = plain(ask.text)
    for phrase in sorted(_FACTORS, key=len, reverse=True):
        if phrase in words:
            return _FACTORS[phrase]
    times = [a for a in ask.amounts if a.kind == "count" and isinstance(a.value, float | int)]
    return float(times[0].value or 0) if times and "times" in words.split() else None
