"""A recipe of a web page as a draft of one of our dish files, with its guesses told.

The draft is read by our own loader before it is given away: what this module writes can be
planned as it is.
"""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import yaml

from assistant.ingredient_line import Line, ingredients_of
from assistant.recipe_cautions import with_cautions
from assistant.recipe_head import hold, measures_of, servings
from assistant.recipe_page import Recipe
from assistant.recipe_steps import Steps, in_order, steps_of
from assistant.recipe_stove import Guessed
from domain.dish_file import dish_of
from domain.errors import FileProblem
from domain.kitchen import UnitSystem
from domain.menu import Dish
from domain.phrasing import duration_shown
from domain.recipe_words import verb_of, vessel_in
from domain.written import DAY_S
from domain.yamlfile import parse

_HEAD = """\
# A draft made from {source} by “hobside import”.
# It can be planned and cooked as it is, but nobody has checked it yet: each line under “guessed”
# names a field beside it and what its value was made from. Put the value right, then delete the
# line; without any it is a draft no more. “written” is the recipe’s own line, for comparing.
"""
_ASKED = re.compile(r"\b\w+ed\b|\bcut\b")  # "finely chopped", "cut in two"
_PREPARE = "prepare the ingredients"
_LEAST_OFF_S, _LEAST_OFF = 300, 0.25  # sums that differ by less agree: our own choice


@dataclass(frozen=True)
class Draft:
    """A draft's file, the dish that our loader reads in it, and where its times disagree."""

    text: str
    dish: Dish
    disagrees: str


def draft_of(recipe: Recipe, name: str, measures: UnitSystem = "metric") -> Draft:
    """A recipe as a dish draft called `name`. Raises FileProblem for a recipe without steps.

    measures: whose cups and spoons are meant where the recipe does not tell.
    """
    if not recipe.directions:
        wrong = f"the recipe “{recipe.title}” has no steps"
        remedy = "its page may have them outside the JSON-LD: write the dish by hand"
        raise FileProblem(recipe.path, recipe.line, "recipeInstructions", wrong, remedy)
    guessed: dict[str, str] = {}
    measures = measures_of(recipe, measures, guessed)
    lines, unread = _lines(recipe, measures)
    made = steps_of(recipe.directions, lines)
    if not made.steps:
        wrong = f"nothing in “{recipe.title}” is to be done on the evening itself"
        raise FileProblem(
            recipe.path, recipe.line, "recipeInstructions", wrong, "write the dish by hand"
        )
    ahead, steps = _prepared(made, lines)
    steps = with_cautions(steps, lines.values())
    disagrees = "" if made.ahead else _disagreement(recipe, steps)
    record = {
        "title": recipe.title,
        "serves": servings(recipe, guessed),
        "hold": hold(steps, guessed),
        **({"measures": measures} if measures != "metric" else {}),
        **({"ahead": ahead} if ahead else {}),
    }
    if made.ahead:
        guessed["ahead"] = made.ahead_why
    order = "each waits for the one before it, as the recipe tells them"
    guessed["steps"] = "; ".join(filter(None, (order, disagrees)))
    record["guessed"] = guessed
    record["ingredients"] = {key: _ingredient(line) for key, line in lines.items()}
    record["steps"] = {step.name: _record(step) for step in steps}
    if left := [*dict.fromkeys((*recipe.unread, *unread, *made.unplaced, *_tools(recipe, steps)))]:
        record["unread"] = left
    source = " ".join(filter(None, (Path(recipe.path).name, recipe.url and f"({recipe.url})")))
    text = _HEAD.format(source=source) + _yaml(record)
    dish = dish_of(parse(text, f"the draft of {recipe.path}"), name)
    return Draft(text, dish, disagrees)


# --- its ingredients -----------------------------------------------------------------------------


def _lines(recipe: Recipe, measures: UnitSystem) -> tuple[dict[str, Line], list[str]]:
    """The ingredients by a name of their own, and the lines that name none."""
    found: dict[str, Line] = {}
    unread = [] if recipe.ingredients else ["The recipe lists no ingredients."]
    for written in recipe.ingredients:
        lines = ingredients_of(written, measures)
        if not lines:
            unread.append(written)
        for line in lines:
            key = line.name
            while key in found:
                key = f"more {key}"
            found[key] = line
    return found, unread


def _ingredient(line: Line) -> dict[str, Any]:
    amount = int(line.amount) if line.amount.isdecimal() else line.amount
    fields = {"amount": amount, "prep": line.prep, "written": line.written}
    record: dict[str, Any] = {name: value for name, value in fields.items() if value}
    return record | ({"guessed": line.guessed} if line.guessed else {})


def _tools(recipe: Recipe, steps: Sequence[Guessed]) -> Iterator[str]:
    """The tools that no step uses."""
    used = {step.vessel for step in steps}
    for tool in recipe.tools:
        known = vessel_in(tool)
        if known is None or known[0] not in used:
            yield f"Tool: {tool}"


# --- its steps ----------------------------------------------------------------------------------


def _prepared(made: Steps, lines: dict[str, Line]) -> tuple[list[str], tuple[Guessed, ...]]:
    """What is done ahead, and the steps, each after what the ingredient lines ask for.

    "1 onion, finely chopped" takes hands and time that the instructions do not tell.
    """
    ahead, steps = list(made.ahead), made.steps
    done = {step.verb for step in steps}
    early = {name: line for name, line in lines.items() if name in made.ahead_foods}
    if before := _preparing(early, done):
        ahead = [before.say, *ahead]
    late = {name: line for name, line in lines.items() if name not in early}
    first = _preparing(late, done)
    return ahead, (first, *(_after(first, step) for step in steps)) if first else steps


def _preparing(lines: dict[str, Line], done: set[str]) -> Guessed | None:
    """One step for the preparation in some ingredient lines, None where they ask for none.

    done: verbs that the recipe's own steps do.
    """
    tasks: dict[str, str] = {}
    low = high = 0
    for name, line in lines.items():
        asked = (verb_of(word) for word in _ASKED.findall(line.prep.lower()))
        verbs = {one.word: one for one in asked if one and one.each and one.word not in done}
        if verbs:
            tasks[name] = line.prep
            low += sum(verb.takes.low_s for verb in verbs.values())
            high += sum(verb.takes.high_s for verb in verbs.values())
    if not tasks:
        return None
    listed = "; ".join(f"{name}: {prep}" for name, prep in tasks.items())
    return Guessed(
        name=_PREPARE,
        say=f"Prepare the ingredients. {listed[:1].upper()}{listed[1:]}.",
        low_s=low,
        high_s=high,
        attention="hands-on",
        place="bench",
        ingredients=tuple(tasks),
        why={"takes": "usual for what the ingredient lines ask for", "say": "from those lines"},
    )


def _after(first: Guessed, step: Guessed) -> Guessed:
    return step if step.after else replace(step, after={first.name: "any time"})


def _record(step: Guessed) -> dict[str, Any]:
    """A step as a dish file has it."""
    why = dict(step.why)
    record: dict[str, Any] = {
        "say": step.say,
        "takes": _takes(step, why),
        "attention": step.attention,
    }
    if step.oven:
        record["uses"] = {"oven": step.oven, step.vessel: 1}
    elif step.vessel:
        record["uses"] = ["ring", step.vessel] if step.ring else [step.vessel]
    else:
        why.pop("uses", None)
    if step.after:
        record["after"] = {name: _gap(gap) for name, gap in step.after.items()}
    if step.boils:
        record["gate"] = {"ends": "it boils", "says": ["it boils", "it is boiling"]}
    lists = {"ingredients": step.ingredients, "cautions": step.cautions}
    record |= {name: list(value) for name, value in lists.items() if value}
    if step.more:
        record["more"] = " ".join(step.more)
    return record | ({"guessed": why} if why else {})


def _gap(gap: str) -> Any:
    return {"starts": gap} if gap.endswith("its start") else gap


def _takes(step: Guessed, why: dict[str, str]) -> str:
    low, high = step.low_s, step.high_s
    if high > DAY_S:
        why["takes"] = f"“{duration_shown(high)}” is longer than a plan"
        low, high = min(low, DAY_S), DAY_S
    low = max(low, 1)
    ends = (low, high) if high > low else (low,)
    if all(end % 60 == 0 for end in ends):
        return "-".join(str(end // 60) for end in ends) + " min"
    return "-".join(map(str, ends)) + " s"


def _disagreement(recipe: Recipe, steps: Sequence[Guessed]) -> str:
    """Where the steps' times do not come to what the recipe says, in words; "" where they do."""
    total = max(end for _, _, end in in_order(steps))
    cooking = sum((one.low_s + one.high_s) // 2 for one in steps if one.heated)
    said = recipe.total_s or (recipe.prep_s or 0) + (recipe.cook_s or 0)
    out = []
    if recipe.cook_s and _far(cooking, recipe.cook_s):
        out.append(
            f"its cooking comes to {_about(cooking)}, the recipe says {_about(recipe.cook_s)}"
        )
    if said and _far(total, said):
        out.append(f"all steps come to {_about(total)}, the recipe says {_about(said)}")
    return "; ".join(out)


def _far(ours: int, theirs: int) -> bool:
    return abs(ours - theirs) > max(_LEAST_OFF_S, _LEAST_OFF * theirs)


def _about(seconds: int) -> str:
    return duration_shown(60 * round(seconds / 60))


# --- YAML ---------------------------------------------------------------------------------------


class _Dumper(yaml.SafeDumper):
    """Short lists and pairs on one line, records and guesses on lines of their own."""


def _as_mapping(dumper: yaml.SafeDumper, value: dict[str, Any]) -> yaml.Node:
    short = value.keys() <= {"ends", "says", "starts"} or "oven" in value
    return dumper.represent_mapping("tag:yaml.org,2002:map", value, flow_style=short)


def _as_list(dumper: yaml.SafeDumper, value: list[Any]) -> yaml.Node:
    short = all(isinstance(item, str) and len(item) < 30 for item in value)
    return dumper.represent_sequence("tag:yaml.org,2002:seq", value, flow_style=short)


_Dumper.add_representer(dict, _as_mapping)
_Dumper.add_representer(list, _as_list)


def _yaml(record: dict[str, Any]) -> str:
    return yaml.dump(record, Dumper=_Dumper, sort_keys=False, allow_unicode=True, width=98)


def titles(recipes: Iterable[Recipe]) -> str:
    """The titles of recipes, for a message."""
    return ", ".join(f"“{recipe.title}”" for recipe in recipes)
