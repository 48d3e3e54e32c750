"""Answers about an amount in another unit: as a cook can measure it, and how far that is off."""

from assistant.answer_knowledge import answer_water_ratio
from assistant.answer_weights import pieces_of, weigh_pieces, weigh_rough, weigh_tin
from assistant.answer_words import oven_meant, word_meant
from assistant.asked_amount import Asked, asked_amount, known_weight
from assistant.meaning import Understood
from assistant.measures import FILLED, amount, capital, country, measured, measures_of
from assistant.reply import Measured, Reply
from assistant.scene import Scene
from assistant.unit_words import degrees_meant
from assistant.wording import plain
from domain.cooking import grain_index
from domain.densities import not_of, weight_of
from domain.errors import ImpossibleAmount, KitchenError, NeedsDensity, UnknownUnit
from domain.ingredients import shows
from domain.names import canonical
from domain.rounding import NOTICED, dial, measurable
from domain.units import convert, everyday, kind_of, refuse_impossible, unit

# What an amount is told in when no other unit was asked for.
_COUNTERPARTS = {
    "gram": "ounce", "kilogram": "pound", "ounce": "gram", "pound": "gram", "stick": "gram",
    "celsius": "fahrenheit", "fahrenheit": "celsius", "gas_mark": "celsius",
    "fan_celsius": "celsius", "centimetre": "inch", "inch": "centimetre", "foot": "centimetre",
    "millimetre": "inch", "metre": "foot", "litre": "cup", "millilitre": "cup",
}  # fmt: skip
_HOTTEST_DIAL = 550.0  # in Fahrenheit
_OVENS = frozenset(("fan", "conventional", "convection", "oven", "gas"))
_BY_FINGERS = ("pinch", "dash", "drop", "smidgen")
# Foods whose amount a cake or a loaf notices; our own choice.
_BAKED_WITH = frozenset(
    canonical("""flour cornflour sugar baking powder bicarbonate soda yeast cocoa butter honey syrup
    treacle molasses salt tartar egg semolina almond oat cornmeal chocolate milk""")
)
_OF_WHAT = "Of what? The same measure of flour and of honey differ in weight."
_LOOSELY = 0.06  # how far off one measure may be of what no cake depends on; our own choice
_OVEN_FROM_C = 110.0  # the lowest an oven's dial is set; below it lie the insides of food


def convert_amount(ask: Understood, scene: Scene) -> Reply:
    """An amount in another unit; through the food's published weight where that is needed."""
    words = set(plain(ask.text).split())
    if water_for_a_grain(ask.text):
        return answer_water_ratio(ask, scene)
    asked = _as_degrees(asked_amount(ask, scene), words, scene)
    if asked is None or (not ask.amounts and "oven" in words):
        meant = oven_meant(ask, scene) or (None if ask.amounts else word_meant(ask, scene))
        return meant or Reply("What shall I convert?")
    unknown = _unknown_unit(ask, asked)
    if unknown:
        return Reply(f"{unknown}.")
    measures = measures_of(scene)
    try:
        here = unit(asked.unit or "piece", measures)
        refuse_impossible(asked.value, here)
        if kind_of(here) == "temperature":
            return _temperature(asked, here, words)
        drained = weigh_tin(asked, ask, scene)
        if drained is not None:
            return drained
        if kind_of(here) == "count" or _wants_pieces(asked) or pieces_of(asked):
            return weigh_rough(asked, scene) or weigh_pieces(asked, scene)
        if here in _BY_FINGERS and not asked.food and not asked.target:
            return word_meant(ask, scene) or _in_unit(asked, here, scene)
        return _in_unit(asked, here, scene)
    except NeedsDensity as error:
        return refused(error, asked.value, asked.unit) if asked.food else Reply(_OF_WHAT)
    except KitchenError as error:
        return refused(error, asked.value, asked.unit)


def _as_degrees(asked: Asked | None, words: set[str], scene: Scene) -> Asked | None:
    """A bare number that is a temperature: "what's 350", "conventional 200 what fan"."""
    if asked is None or asked.unit or not _OVEN_FROM_C <= asked.value <= _HOTTEST_DIAL:
        return asked
    if asked.food and not words & _OVENS:
        return asked
    scale = degrees_meant(asked.value, measures_of(scene))
    return Asked(asked.value, scale, target=asked.target)


def water_for_a_grain(text: str) -> bool:
    """Whether it is asked how much water a grain or pulse takes."""
    words = plain(text).split()
    asks = "how" in words or "for" in words
    return asks and bool({"water", "liquid"} & set(words)) and bool(grain_index().within(text))


def refused(error: KitchenError, value: float, unit_name: str) -> Reply:
    """Why an amount cannot be had, kindly."""
    if isinstance(error, ImpossibleAmount):
        return Reply(f"{capital(amount(value, unit_name or None))} cannot be right: {error.why}.")
    return Reply(f"{capital(str(error))}.")


def _wants_pieces(asked: Asked) -> bool:
    return bool(asked.target) and kind_of(asked.target) == "count"


def _in_unit(asked: Asked, here: str, scene: Scene) -> Reply:
    """The amount in the unit asked for, else in its counterpart."""
    measures = measures_of(scene)
    target = asked.target or _counterpart(asked, here)
    food = asked.food or None
    done, high = (
        None
        if value is None
        else convert(value, asked.unit, target, measures=measures, ingredient=food)
        for value in (asked.value, asked.high)
    )
    assert done is not None
    top = high.value if high else None
    of = f" of {asked.food}" if asked.food else ""
    loose = bool(done.source) and not set(canonical(asked.food)) & _BAKED_WITH
    told = measured(done.value, done.unit, top, _LOOSELY if loose else NOTICED)
    spoken = [f"{capital(told)}."]
    if top is None and done.source and not loose:
        spoken += _how_far(done.value, done.unit)
    lands = country(here, asked.unit, scene, sized=done.unit != "millilitre")
    if top is not None or not measurable(done.value, done.unit).below:
        lands = lands or country(done.unit, target, scene)
    notes = [*spoken[1:], *filter(None, [lands])]
    near = told.startswith("about ")
    equation = (
        f"{amount(asked.value, here, asked.high)}{of} {'≈' if near else '='} "
        f"{told.removeprefix('about ')}"
    )
    return Reply(
        " ".join([spoken[0], *notes]),
        shown="\n".join([equation, *notes]),
        more=_by_weight(done.source, asked.food),
        measured=Measured(asked.value, here, asked.food, asked.high),
    )


def _counterpart(asked: Asked, here: str) -> str:
    if here not in _COUNTERPARTS and kind_of(here) == "volume":
        return "gram" if asked.food and known_weight(asked.food) else "millilitre"
    if kind_of(here) == "volume" and asked.food and known_weight(asked.food):
        return "gram"
    return _COUNTERPARTS.get(here, "gram")


def _how_far(value: float, name: str) -> list[str]:
    """That the measure is off by more than baking bears."""
    off = measurable(value, name).error
    if everyday(name) not in FILLED or abs(off) <= NOTICED:
        return []
    return [f"That is {abs(off):.0%} too {'much' if off > 0 else 'little'}: weigh it for baking."]


def _by_weight(source: str, food: str) -> str:
    """Whose weight the answer goes by, and for what preparation."""
    if not source:
        return ""
    weight = weight_of(food)
    prep = f", {weight.prep}" if weight.prep else ""
    other = not_of(weight, food)
    not_so = f" I have no figure for it {' and '.join(other)}." if other else ""
    return f"Weight after {source}, for {weight.name}{prep}.{not_so}"


def _temperature(asked: Asked, here: str, words: set[str]) -> Reply:
    """A temperature or a setting, exactly, and as the dial of an oven has it."""
    target = asked.target
    if words & {"fan", "convection"} and here != "fan_celsius" and target in ("", "celsius"):
        target = "fan_celsius"
    elif not target and "gas" in words and here != "gas_mark":
        target = "gas_mark"
    done = convert(asked.value, here, target or _COUNTERPARTS[here])
    exact, equation = amount(done.value, done.unit), f"{amount(asked.value, here)} ="
    setting = dial(done.value, done.unit)
    hot = convert(asked.value, here, "celsius").value >= _OVEN_FROM_C
    off = hot and abs(setting - done.value) >= 1
    if {here, done.unit} & {"gas_mark", "fan_celsius"}:  # a setting, not a measurement
        spoken, more = (
            [f"{capital(amount(setting, done.unit))}."],
            f"Exactly, {exact}." if off else "",
        )
    else:
        on_dial = f"On an oven's dial, {amount(setting, done.unit)}."
        spoken, more = [f"{capital(exact)}.", *([on_dial] if off else [])], ""
    if here == "gas_mark" and done.unit == "celsius":
        fan = dial(convert(asked.value, here, "fan_celsius").value, "fan_celsius")
        spoken.append(f"In a fan oven, {amount(fan, 'celsius')}.")
    return Reply(
        " ".join(spoken),
        shown=f"{equation} {exact}" + (f"; set {amount(setting, done.unit)}" if off else ""),
        more=more,
        measured=Measured(asked.value, here),
    )


def _unknown_unit(ask: Understood, asked: Asked) -> str:
    """What to say of a word that stands where a unit should and is none; "" when all is well."""
    if asked.unit or known_weight(asked.food):
        return ""
    counted = [a for a in ask.amounts if a.kind == "count" and a.unit is None]
    for said in counted:
        after = ask.text[said.end :].split()
        if after and after[0].isalpha() and not shows(after[0]).known:
            try:
                unit(after[0])
            except UnknownUnit as error:
                return str(error) if error.nearest else ""
    return ""
