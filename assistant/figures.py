"""Temperatures, sources and foods as an answer says them: the cook's scale first, never rounded
to the unsafe side."""

import math
import re
from collections.abc import Iterable, Sequence
from typing import Literal

from assistant.meaning import Understood
from assistant.scene import Scene
from assistant.two_forms import both, to_say
from domain.names import called, canonical
from domain.sources import Source
from domain.units import from_celsius

UNKNOWN = "I do not have a published figure for that; check your local food-safety advice."
LONGEST_FIRST = 15  # words of an answer's first sentence
# Rounding to a whole degree may make a limit this much stricter, in °C; our own choice.
_STRICTER_C = 0.25
_RICE = re.compile(
    r"\b(rice(?! (vinegar|noodle|paper|flour|wine|milk|drink))|risotto|pilaf|biryani|paella)\b",
    re.IGNORECASE,
)
_FRESH_BEANS = re.compile(
    r"\b(?:green|french|runner|string|fine|broad|haricots verts) beans?\b", re.IGNORECASE
)
_DRIED = re.compile(r"\b(?:dried|dry)\b", re.IGNORECASE)
# What a question is made of besides its food; what is left over is the food.
_ASKING = frozenset(
    canonical(
        """
        a about after again all alternative am and any anything are as at bake be been boil
        boiled by can cook cooked cooking could counter cup day days degree dish do does
        done dried dry eat end figure fine food for found freeze freezer fresh fridge from fry
        get give going gone good got grain gram grill has have heat hob hot hour hours i how i
        if in inside instead internal into is it its keep keeps kept last leave left
        leftover let litre long look make many max may me mean microwave millilitre minimum
        minute minutes much must my need needed needs next night no not of off ok okay on one
        or ounce our out oven over overnight pan part piece please point pound pulse ran
        ratio raw reach ready refrigerator reheat reheated replace replacement right roast
        room run safe safely say serve shelf should simmer so some something start stay
        still store stored substitute swap tablespoon take takes teaspoon tell temp
        temperature than that the them then there these they thing this time to today
        tomorrow tonight too until up use using want warm was water way we week weeks well
        what when where which while will with without work would yes you your
        """
    )
)


def fahrenheit_first(scene: Scene) -> bool:
    """Whether this cook's thermometer reads Fahrenheit."""
    return (scene.settings.units or scene.kitchen.units) == "us"


def degrees(
    celsius: float, fahrenheit: float, scene: Scene, bound: Literal["least", "most"] = "least"
) -> str:
    """A limit, said in the cook's scale and shown in both: "74 degrees Celsius", "74 °C (165 °F)".

    A whole degree where rounding makes the limit stricter by little, else as published.
    """
    return _two_scales(_strict(celsius, bound), _strict(fahrenheit, bound), scene)


def plain_degrees(celsius: float, scene: Scene) -> str:
    """A temperature that is no limit, to the nearest degree, said and shown like `degrees`."""
    return _two_scales(f"{celsius:.0f}", f"{from_celsius(celsius, 'fahrenheit'):.0f}", scene)


def oven_degrees(celsius: float, scene: Scene) -> str:
    """An oven's temperature, Fahrenheit as its dial has it (steps of 25)."""
    fahrenheit = 25 * round(from_celsius(celsius, "fahrenheit") / 25)
    return _two_scales(f"{celsius:.0f}", f"{fahrenheit}", scene)


def _two_scales(celsius: str, fahrenheit: str, scene: Scene) -> str:
    scales = [(celsius, "Celsius", "°C"), (fahrenheit, "Fahrenheit", "°F")]
    if fahrenheit_first(scene):
        scales.reverse()
    (value, name, sign), (other, _, other_sign) = scales
    spoken = f"{value.replace('−', 'minus ')} degrees {name}"
    return both(spoken, f"{value} {sign} ({other} {other_sign})")


def _strict(value: float, bound: Literal["least", "most"]) -> str:
    whole = math.ceil(value) if bound == "least" else math.floor(value)
    # A fridge at 4.4 °C is told as 4: stricter by less than half a degree.
    near = _STRICTER_C if bound == "least" else 2 * _STRICTER_C
    return f"{whole if abs(whole - value) <= near else value:g}".replace("-", "−")


def length(seconds: float) -> str:
    """A length of time in its largest whole unit: "2 hours", "90 seconds"."""
    size, word = next(
        pair for pair in ((3600, "hour"), (60, "minute"), (1, "second")) if seconds % pair[0] == 0
    )
    count = round(seconds / size)
    return f"{count} {word}" if count == 1 else f"{count} {word}s"


def joined(parts: Sequence[str], last: str = "and") -> str:
    """ "a, b and c"."""
    return f" {last} ".join(filter(None, (", ".join(parts[:-1]), parts[-1]))) if parts else ""


def cites(source: Source) -> str:
    """A source for the eye: body, document and section, and its status unless published."""
    status = "" if source.status == "published" else f" ({source.status})"
    return f"{source.body}, {source.document}, {source.section}{status}"


def says(line: str, source: Source) -> str:
    """The line and who says it: in one sentence, in two where that would be too long to hear."""
    published = source.status == "published"
    whole = f"{line}, {'says' if published else 'by'} {source.short}."
    if short(whole):
        return whole
    return f"{line}. {'So says' if published else 'That is'} {source.short}."


def short(sentence: str) -> bool:
    """Whether a first sentence is short enough to take in by ear."""
    return len(to_say(sentence).split()) <= LONGEST_FIRST


def unknown(name: str) -> str:
    """That no published figure is known for a food, by its name where that is short."""
    line = f"I do not have a published figure for {name}; check your local food-safety advice."
    return line if name and short(line) else UNKNOWN


def as_said(text: str, name: str) -> str:
    """A food found by its table name in the words of the text: "ground beef" for "minced beef"."""
    words = re.findall(r"[^\W\d_]+(?:['’-][^\W\d_]+)*", text.lower())
    wanted = tuple(name.split())
    for size in range(1, len(wanted) + 3):
        for start in range(len(words) - size + 1):
            said = " ".join(words[start : start + size])
            if canonical(said) == wanted:
                return said
    return name


def sources_of(sources: Iterable[Source]) -> str:
    """The lines that name the sources, each once."""
    return "\n".join(f"Source: {line}." for line in dict.fromkeys(cites(s) for s in sources))


def allowed(source: Source, scene: Scene) -> bool:
    """Whether the cook goes by this source's rules; no country's rules always count."""
    rules = scene.settings.food_rules
    return rules == "strictest" or source.where in ("", rules)


def food(name: str, scene: Scene) -> str:
    """A food as this cook names it."""
    return called(name, scene.settings.foods)


def named_foods(ask: Understood, scene: Scene) -> tuple[str, ...]:
    """The foods of the menu that were named: ingredients, or those of the dish or step named."""
    names: list[str] = []
    for ref in ask.refs:
        if ref.kind == "ingredient":
            names.append(ref.name)
        elif ref.kind in ("dish", "step"):
            dish = scene.menu.dish(ref.name.split("/")[0])
            step = next((step for step in dish.steps if step.key == ref.name), None)
            names += step.ingredients if step else (line.name for line in dish.ingredients)
    return tuple(dict.fromkeys(names))


def asked_about(text: str) -> str:
    """What is left of a question without its asking: the food nobody knows, "" when none."""
    return " ".join(word for word in canonical(text) if word not in _ASKING)


def about_rice(ask: Understood, scene: Scene) -> bool:
    """Whether cooked rice is asked about, by name or in the dish that was named."""
    return any(map(is_rice, (ask.text, *named_foods(ask, scene))))


def is_rice(name: str) -> bool:
    """Whether a food, or a text, is of rice as grains: no vinegar or flour made of it."""
    return bool(_RICE.search(name))


def fresh_beans(text: str) -> str:
    """The beans in a text that are eaten fresh, "" where there are none or dried ones."""
    found = _FRESH_BEANS.search(text)
    return found[0] if found and not _DRIED.search(text) else ""
