"""Answers about what is counted: onions, eggs, cloves, handfuls and tins to grams, and back."""

from assistant.asked_amount import PIECES, SIZES, Asked
from assistant.figures import cites, says
from assistant.meaning import Understood
from assistant.measures import about, amount, capital, measures_of
from assistant.reply import Measured, Reply
from assistant.scene import Scene
from assistant.two_forms import both
from assistant.wording import plain
from domain.densities import Weight, weight_of
from domain.errors import NeedsDensity
from domain.kitchen_words import word_in
from domain.names import called, singular
from domain.phrasing import number_spoken, shown
from domain.rough import canned_index, rough
from domain.units import convert, kind_of

_TINNED = frozenset(("tin", "tins", "can", "cans", "tinned", "canned"))
_BAKING = frozenset(("loaf", "cake", "round", "square", "bake", "springform"))
_FEW = 10  # fewer pieces than this are told to the half


def pieces_of(asked: Asked) -> bool:
    """Whether a unit that is a weight elsewhere is a piece of this food: a stick of celery."""
    return asked.unit == "stick" and "celery" in asked.food


def weigh_pieces(asked: Asked, scene: Scene) -> Reply:
    """Pieces of a food in grams, or how many pieces a weight is.

    Raises NeedsDensity when no weight of one is published.
    """
    weight = _weight(asked)
    if asked.target and kind_of(asked.target) == "count":
        return _how_many(asked, weight, scene)
    piece = _piece(weight, asked.unit, asked.size, asked.food)
    each = weight.pieces[piece]
    target = asked.target or ("millilitre" if asked.food.endswith(" juice") else "gram")
    ends = [v * each for v in (asked.value, asked.high) if v is not None]
    done = [
        convert(v, "gram", target, measures=measures_of(scene), ingredient=asked.food) for v in ends
    ]
    top = done[1].value if len(done) > 1 else None
    told = about(done[0].value, done[0].unit, top)
    kind = f"That is for {_kind(piece)} ones." if _kind(piece) and not asked.size else ""
    line = f"{capital(told)}."
    size = f"{_kind(piece)} " if _kind(piece) else ""
    many = amount(asked.value, asked.unit or None, asked.high)
    of = f"{many} {size}{asked.food}" if not asked.unit else f"{many} of {asked.food}"
    fruit = asked.food.removesuffix(" juice")
    if fruit != asked.food:
        of = f"juice of {many} {fruit if asked.value <= 1 else _plural(fruit)}"
    return Reply(
        f"{line} {kind}".strip(),
        shown=f"{of}: {told}",
        more=f"The part that is eaten, after {weight.source}. {weight.note}".rstrip(),
        measured=Measured(ends[0], "gram", asked.food, ends[1] if len(ends) > 1 else None),
    )


def _weight(asked: Asked) -> Weight:
    try:
        return weight_of(asked.food)
    except NeedsDensity as error:
        lacking = f"one {singular(asked.food)}" if asked.food else ""
        raise NeedsDensity(lacking, error.nearest, "weight") from None


def _how_many(asked: Asked, weight: Weight, scene: Scene) -> Reply:
    wanted = "" if asked.target == PIECES else asked.target
    piece = _piece(weight, wanted, asked.size, asked.food)
    measures = measures_of(scene)
    ends = [v for v in (asked.value, asked.high) if v is not None]
    grams = [
        convert(v, asked.unit, "gram", measures=measures, ingredient=asked.food).value for v in ends
    ]
    counts = [_whole_or_half(g / weight.pieces[piece]) for g in grams]
    name = _named(asked.food, piece, counts[-1])
    high = counts[1] if len(counts) > 1 and counts[1] != counts[0] else None
    said = both(
        number_spoken(counts[0]) + (f" to {number_spoken(high)}" if high else ""),
        shown(counts[0], None, high),
    )
    each = amount(weight.pieces[piece], "gram")
    whose = f"the part that is eaten, after {weight.source}. {weight.note}".rstrip()
    given = amount(asked.value, asked.unit, asked.high)
    return Reply(
        f"About {said} {name}.",
        shown=f"{given} ≈ {said} {name}, of {each} each",
        more=f"One is {each}, {whose}",
        measured=Measured(grams[0], "gram", asked.food, grams[1] if len(grams) > 1 else None),
    )


def _piece(weight: Weight, unit_name: str, size: str, food: str) -> str:
    """Which listed piece is meant. Raises NeedsDensity when that one is not listed."""
    known = weight.pieces
    if unit_name == "stick" and "stalk" in known:
        return "stalk"
    if unit_name in ("", PIECES):
        if size:
            unit_name = size.replace(" ", "_")
        elif known:
            return next(iter(known))
    if unit_name in known:
        return unit_name
    one = f"{unit_name.replace('_', ' ')} of " if unit_name not in ("", PIECES) else "one "
    raise NeedsDensity(f"a {one}{food}" if one != "one " else f"one {singular(food)}", (), "weight")


def _kind(piece: str) -> str:
    """ "medium" and the like; "" for a piece that is no size."""
    word = piece.replace("_", " ")
    return word if word in SIZES else ""


def _named(food: str, piece: str, count: float) -> str:
    """The food as it is counted: "medium onions", "cloves of garlic"."""
    word = piece.replace("_", " ")
    if word in SIZES or piece == PIECES:
        words = food.split()
        last = singular(words[-1])
        many = last if count <= 1 else _plural(last)
        return " ".join([*([word] if word in SIZES else []), *words[:-1], many])
    return f"{word if count <= 1 else _plural(word)} of {food}"


def _plural(word: str) -> str:
    if word.endswith(("ch", "sh", "s", "x", "ato")):
        return f"{word}es"
    if word == "leaf":
        return "leaves"
    return f"{word[:-1]}ies" if word.endswith("y") and word[-2] not in "aeiou" else f"{word}s"


def _whole_or_half(count: float) -> float:
    if count < 0.5:
        return max(0.25, round(count * 4) / 4)
    return round(count * 2) / 2 if count < _FEW else float(round(count))


def weigh_rough(asked: Asked, scene: Scene) -> Reply | None:
    """Handfuls, knobs and bunches in grams, as a range; None for what is no such measure."""
    row = rough(asked.unit, asked.food) if asked.unit and asked.food else None
    if row is None:
        word = word_in(asked.unit) if asked.unit in ("handful", "knob", "bunch", "pat") else None
        if word is None or (asked.food and _listed(asked)):
            return None
        line = f"How much a {asked.unit} of {asked.food} weighs I do not know."
        return Reply(f"{line} {word.says}" if asked.food else word.says, more=word.more)
    ends = (asked.value * row.grams[0], (asked.high or asked.value) * row.grams[1])
    target = asked.target if asked.target and kind_of(asked.target) != "count" else "gram"
    measures = measures_of(scene)
    low, high = (convert(v, "gram", target, measures=measures, ingredient=asked.food) for v in ends)
    told = about(low.value, low.unit, high.value)
    return Reply(
        " ".join(filter(None, (f"{capital(told)}.", row.note, "That is common practice."))),
        shown=f"{amount(asked.value, asked.unit, asked.high)} of {asked.food}: {told}"
        f" ({row.source.status}). {row.note}".rstrip(),
        more="No published figure exists; scales tell better.",
        measured=Measured(ends[0], "gram", asked.food, ends[1]),
    )


def _listed(asked: Asked) -> bool:
    try:
        return asked.unit in weight_of(asked.food).pieces
    except NeedsDensity:
        return False


def weigh_tin(asked: Asked, ask: Understood, scene: Scene) -> Reply | None:
    """What a tin of food weighs drained; None when no tin of food is asked about."""
    words = set(plain(ask.text).split())
    found = canned_index().within(ask.text)
    in_tin = asked.unit == "can" or (bool(words & _TINNED) and not words & _BAKING)
    if not found or not in_tin:
        return None
    row = found[0].rows[0]
    size = next((a for a in ask.amounts if a.kind == "mass" and a.value), None)
    count = asked.value if asked.unit == "can" else 1.0
    if size is not None and size.unit and isinstance(size.value, int | float):
        whole = convert(size.value, size.unit, "gram").value
    else:
        whole = row.whole_g
    whole *= count
    drained = whole * row.share
    food = called(found[0].name, scene.settings.foods)
    line = f"{capital(about(drained, 'gram'))} drained, of {about(whole, 'gram')}"
    spoken = says(line, row.source)
    return Reply(
        spoken,
        shown=f"{capital(food)}: {spoken}\nSource: {cites(row.source)}.",
        more=f"Tins drain to {row.share:.0%} of what is in them.",
        measured=Measured(drained, "gram", food),
    )
