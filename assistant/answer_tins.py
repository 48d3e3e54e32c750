"""Another tin than the recipe's: by the area of its bottom, or by what it holds."""

import re
from dataclasses import dataclass, replace

from assistant.meaning import AmountHeard, Understood
from assistant.measures import amount, capital
from assistant.reply import Reply
from assistant.scene import Scene
from domain.baking_tins import Change, Shape, Tin, change, loaf_tin
from domain.errors import KitchenError
from domain.phrasing import number_spoken
from domain.units import convert, kind_of

_SHAPES: dict[str, Shape] = {
    "round": "round", "springform": "round", "circular": "round", "sandwich": "round",
    "square": "square", "rectangular": "rectangular", "rectangle": "rectangular",
    "oblong": "rectangular", "traybake": "rectangular", "loaf": "loaf",
}  # fmt: skip
_DEEP = re.compile(r"\s*(?:deep|depth|high|tall)\b")
# What stands before the recipe's tin, and before the cook's own.
_RECIPES = re.compile(
    r"\b(?:instead of|rather than|in place of|recipe|calls? for|says|asks? for|wants?|meant for|"
    r"made for|written for|from)\b"
)
_MINE = re.compile(r"\b(?:have|mine|my|got|own|only|use|using|into|to)\b")
_SWAPS = re.compile(r"^\W*(?:can i |could i |i want to )?(?:swap|change|exchange|switch)\b")
_SIMPLE = (0.25, 1 / 3, 0.5, 2 / 3, 0.75, 1.0, 1.25, 4 / 3, 1.5, 5 / 3, 1.75, 2.0, 2.5, 3.0)
_NEAR = 0.05  # a factor this near a simple one is told by that too
_AS_IT_IS = 0.1  # ... and this near one needs no change; our own choice


@dataclass(frozen=True)
class _Said:
    """A tin in an utterance. shaped: its shape was said; start, end: where it stands."""

    tin: Tin
    shaped: bool
    start: int
    end: int


def pan_swap(ask: Understood, scene: Scene) -> Reply:
    """How the amounts change from the recipe's tin to the cook's: by volume, else by area."""
    try:
        said = _alike(_tins(ask))
    except KitchenError as error:
        return Reply(f"{capital(str(error))}.")
    if len(said) < 2:
        return Reply("Tell me both sizes: the recipe's tin, and yours.")
    recipe, mine = _whose(ask.text.lower(), said[0], said[1])
    found = change(recipe, mine)
    if found is None:
        return _cannot(recipe, mine)
    return _told(found, recipe, mine)


def _told(found: Change, recipe: Tin, mine: Tin) -> Reply:
    simple = min(_SIMPLE, key=lambda part: abs(part - found.factor))
    near = abs(simple - found.factor) <= _NEAR * found.factor
    factor = f"{found.factor:.2g}"
    about = f", about {_part(simple)}" if near and f"{simple:g}" != factor else ""
    line = f"Multiply everything by {factor}{about}."
    if abs(found.factor - 1) <= _AS_IT_IS:
        line = "Near enough the same: leave the amounts as they are."
    depth = "Fill it to the same depth." if found.by == "area" else "That goes by what they hold."
    names = f"{_name(mine)} for {_name(recipe)}, by {found.by}"
    return Reply(
        f"{line} {depth}",
        shown=f"× {found.factor:.2f} ({names}). {line} {depth}",
        more="The baking time changes with the depth; at the same depth it stays near."
        " Look early, and go by the cue.",
    )


def _part(simple: float) -> str:
    if simple < 1:
        words = {0.25: "a quarter", 0.5: "half", 0.75: "three quarters"}
        return words.get(simple) or ("a third" if simple < 0.5 else "two thirds")
    return f"{number_spoken(simple)} times"


def _cannot(recipe: Tin, mine: Tin) -> Reply:
    shallow = next((tin for tin in (recipe, mine) if tin.sides and tin.depth is None), None)
    if shallow is None or not (recipe.area != 0 and mine.area != 0):
        return Reply("A tin needs a width.")
    return Reply(
        "How deep is that tin? Tell me both again with it.",
        shown=f"How deep is the {_name(shallow)}? Tell me both tins again with it.",
    )


def _name(tin: Tin) -> str:
    """ "20 cm round tin", "21 by 11 cm tin", "1 L tin"."""
    deep = f", {amount(tin.depth, 'centimetre')} deep" if tin.depth and tin.holds is None else ""
    if not tin.sides:
        return f"{amount((tin.holds or 0) / 1000, 'litre')} tin"
    sides = " by ".join(f"{side:.3g}" for side in dict.fromkeys(tin.sides))
    return f"{sides} cm {tin.shape} tin{deep}"


def _tins(ask: Understood) -> list[_Said]:
    """The tins named, in order."""
    text = ask.text.lower()
    sizes = _sizes(ask)
    found: list[_Said] = []
    at = 0
    while at < len(sizes):
        first, last = sizes[at], sizes[at]
        if kind_of(first.unit or "") == "length":
            deep = text[: first.start].rstrip().endswith("deep") or _DEEP.match(text[first.end :])
            if deep and found:
                found[-1] = replace(found[-1], tin=replace(found[-1].tin, depth=_cm(first)))
                at += 1
                continue
            sides = [first]
            while at + 1 < len(sizes) and _joined(text, sizes[at], sizes[at + 1], len(sides)):
                at += 1
                sides.append(sizes[at])
            last = sides[-1]
            found.append(_by_sides(text, sides, first, last, _next_start(sizes, at)))
        else:
            tin = _by_size(text, first)
            if tin is not None:
                found.append(_Said(tin, True, first.start, last.end))
        at += 1
    return found


def _sizes(ask: Understood) -> list[AmountHeard]:
    """The sizes said; a bare number has the unit of the size before or after: "20 cm, not 23"."""
    numbers = [a for a in ask.amounts if isinstance(a.value, int | float)]
    like = next((a for a in numbers if a.kind in ("length", "volume")), None)
    if like is None:
        return [a for a in numbers if a.unit]
    return [
        replace(a, unit=like.unit, kind=like.kind) if a.kind == "count" and a.unit is None else a
        for a in numbers
    ]


def _joined(text: str, one: AmountHeard, other: AmountHeard, so_far: int) -> bool:
    """Whether two lengths are sides of one tin: "9 by 13", "9 x 5 x 3"."""
    between = text[one.end : other.start]
    by = bool(re.fullmatch(r"\s*(?:cm|inch(?:es)?|in)?\s*(?:x|×|by)\s*", between))
    return so_far < 3 and kind_of(other.unit or "") == "length" and by


def _next_start(sizes: list[AmountHeard], at: int) -> int | None:
    return sizes[at + 1].start if at + 1 < len(sizes) else None


def _by_sides(
    text: str, sides: list[AmountHeard], first: AmountHeard, last: AmountHeard, upto: int | None
) -> _Said:
    widths = tuple(_cm(side) for side in sides)
    words = re.findall(r"[a-z]+", text[last.end : upto])
    shape = next((_SHAPES[word] for word in words[:5] if word in _SHAPES), None)
    if len(widths) > 1:
        depth = widths[2] if len(widths) > 2 else None
        tin = Tin("loaf" if shape == "loaf" else "rectangular", widths[:2], depth)
        return _Said(tin, True, first.start, last.end)
    return _Said(Tin(shape or "round", widths), shape is not None, first.start, last.end)


def _by_size(text: str, said: AmountHeard) -> Tin | None:
    """A tin by what it holds, or a loaf tin by its pounds."""
    value = float(said.value or 0)
    if said.kind == "volume":
        return Tin("measured", holds=convert(value, said.unit or "", "millilitre").value)
    if said.kind == "mass" and "loaf" in text:
        row = loaf_tin(convert(value, said.unit or "", "pound").value)
        return Tin("loaf", holds=row.holds) if row else None
    return None


def _cm(said: AmountHeard) -> float:
    return convert(float(said.value or 0), said.unit or "", "centimetre").value


def _alike(said: list[_Said]) -> list[_Said]:
    """The tins, where one without a shape is taken to be shaped like the other."""
    shapes = [one.tin.shape for one in said if one.shaped and one.tin.shape in ("round", "square")]
    return [
        one if one.shaped or not shapes else replace(one, tin=replace(one.tin, shape=shapes[0]))
        for one in said
    ]


def _whose(text: str, first: _Said, second: _Said) -> tuple[Tin, Tin]:
    """The recipe's tin and the cook's own, by the words before each; the first said is the cook's
    unless they tell otherwise."""
    before, between = text[: first.start], text[first.end : second.start]
    recipe_first = bool(_RECIPES.search(before)) or bool(_SWAPS.match(text))
    mine_second = bool(_MINE.search(between)) and not _MINE.search(before)
    if recipe_first or (mine_second and not _RECIPES.search(between)):
        return first.tin, second.tin
    return second.tin, first.tin
