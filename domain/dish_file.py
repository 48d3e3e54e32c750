"""A dish file read into a `Dish`, with every rule of dishes checked.

title: Rice
serves: 4
hold: 10 min
ingredients:
  long-grain rice: 300 g
  salt: {amount: 1 tsp, prep: fine, also: [the salt]}
steps:
  boil the water:
    say: Put the rice water on to boil.
    takes: 6-8 min
    attention: unattended
    uses: [ring, small pan]
    gate: {ends: the water boils, says: [it boils]}
  simmer the rice:
    ...
    after: {boil the water: at once}

What else a step may have:

after: {roast the chicken: 5-10 min}
    The gap from the end of the step before to the start of this one: “any time”, “at once”,
    “within 5 min”, “at least 10 min” or “5-10 min”. Between other moments, say which:
    {roast the chicken: {starts: at least 10 min after its start}}
    {rest the chicken: {ends: within 5 min after its end}}
    This step starts, or ends, so long after the start, or the end, of the one before; both may be
    said. No more is meant than these moments: what ends after another's end may start before it.

uses: {ring: 1, frying pan: {count: 1, holds: 2 servings}}
    A vessel too small for all the servings: the step is then done in batches. An oven is written
    {oven: 200 C} or {oven: {at: 200 C, shelves: 2, tolerance: 5, holds: 8 servings}}.
or:
  in the oven: {takes: 20 min, attention: unattended, uses: {oven: 200 C}}
    Other ways to do the step, each with its own time, attention and places; `say` where it has
    other words, else the step's own hold. The plan takes the one that serves best.
beforehand: yes
    It may be done long before the rest, the day before even.
pausable: yes
    The cook may break it off and come back to it. For hands-on work away from the heat only:
    a pan does not wait.
guessed: {takes: no time is said}
    Values that are still a guess (`domain.guesses`), here, of an ingredient, or of the dish.
"""

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import get_args

from domain import written
from domain.guesses import all_guesses
from domain.kitchen import UnitSystem
from domain.menu import Attention, Cues, Dish, Follow, Gate, Ingredient, Moment, Step, Use, Way
from domain.order import refuse_cycles
from domain.yamlfile import Entry, read, suggestion

STEPS_AT_MOST = 100
SENSES = ("sight", "sound", "smell", "feel")


def read_dish(path: Path) -> Dish:
    """The dish in a file; its name is the file's. Raises FileProblem."""
    return dish_of(read(path), path.stem)


def dish_of(entry: Entry, name: str) -> Dish:
    """The dish written in `entry`. Raises FileProblem."""
    found = entry.fields(
        required=("title", "serves", "ingredients", "steps"),
        optional=("hold", "spoils", "also", "keeps", "ahead", "measures", "guessed", "unread"),
    )
    measures = written.unit_system(found["measures"]) if "measures" in found else "metric"
    ingredients = tuple(
        _ingredient(item, written_amount, measures)
        for item, written_amount in found["ingredients"].pairs().items()
    )
    return Dish(
        name=name,
        title=found["title"].text(),
        serves=found["serves"].whole(1, 100),
        hold_s=written.seconds(found["hold"]) if "hold" in found else 0,
        ingredients=ingredients,
        steps=_steps(found["steps"], name, frozenset(one.name for one in ingredients)),
        also=_texts(found, "also"),
        spoils=found["spoils"].number(0.1, 100) if "spoils" in found else 1.0,
        keeps=_text(found, "keeps"),
        ahead=_texts(found, "ahead"),
        guesses=tuple(all_guesses(found)),
        unread=_texts(found, "unread"),
    )


def _text(found: Mapping[str, Entry], field: str) -> str:
    return found[field].text() if field in found else ""


def _texts(found: Mapping[str, Entry], field: str) -> tuple[str, ...]:
    return found[field].texts() if field in found else ()


def _ingredient(name: str, entry: Entry, measures: UnitSystem) -> Ingredient:
    if entry.kind != "fields":
        amount = written.amount(entry, measures)
        return Ingredient(name, amount.value, amount.high, amount.unit)
    found = entry.fields(required=("amount",), optional=("prep", "also", "written", "guessed"))
    amount = written.amount(found["amount"], measures)
    return Ingredient(
        name=name,
        value=amount.value,
        high=amount.high,
        unit=amount.unit,
        prep=_text(found, "prep"),
        also=_texts(found, "also"),
        written=_text(found, "written"),
    )


def _steps(entry: Entry, dish: str, ingredients: frozenset[str]) -> tuple[Step, ...]:
    """The steps in the order written, which need not be the order of cooking."""
    pairs = entry.pairs()
    if not pairs:
        raise entry.problem("has no steps", "write at least one")
    if len(pairs) > STEPS_AT_MOST:
        raise entry.problem(
            f"has {len(pairs)} steps", f"split the dish; {STEPS_AT_MOST} is the most"
        )
    for name, step in pairs.items():
        if "/" in name:
            raise step.problem("has a “/” in its name", "use words only")
    steps = tuple(_step(pairs[name], name, dish, ingredients, tuple(pairs)) for name in pairs)
    refuse_cycles(entry.problem, steps)
    return steps


def _step(
    entry: Entry, name: str, dish: str, ingredients: frozenset[str], siblings: tuple[str, ...]
) -> Step:
    found = entry.fields(
        required=("say", "takes", "attention"),
        optional=(
            "uses", "after", "gate", "ingredients", "cues", "cautions", "more", "also",
            "or", "pausable", "beforehand", "guessed",
        ),
    )  # fmt: skip
    for item in found["ingredients"].items() if "ingredients" in found else ():
        if item.text() not in ingredients:
            remedy = f"{suggestion(item.text(), ingredients)} or add it to the dish’s ingredients"
            raise item.problem(f"“{item.text()}” is not an ingredient of this dish", remedy)
    step = Step(
        name=name,
        dish=dish,
        say=found["say"].text(),
        duration=written.duration(found["takes"]),
        attention=_attention(found["attention"]),
        uses=_uses(found["uses"]) if "uses" in found else (),
        follows=_follows(found["after"], dish, name, siblings) if "after" in found else (),
        gate=_gate(found["gate"]) if "gate" in found else None,
        ingredients=_texts(found, "ingredients"),
        cues=_cues(found["cues"]) if "cues" in found else Cues(),
        cautions=_texts(found, "cautions"),
        more=_text(found, "more"),
        also=_texts(found, "also"),
        ways=_ways(found["or"], found["say"].text()) if "or" in found else (),
        pausable="pausable" in found and found["pausable"].yes(),
        beforehand="beforehand" in found and found["beforehand"].yes(),
    )
    if step.pausable:
        _refuse_pause(found["pausable"], step)
    return step


def _ways(entry: Entry, say: str) -> tuple[Way, ...]:
    """The other ways to do a step; say: the words of those that have none of their own."""
    pairs = entry.pairs()
    if not pairs:
        raise entry.problem("names no other way", "name one, or leave the field out")
    return tuple(_way(how, name, say) for name, how in pairs.items())


def _way(entry: Entry, name: str, say: str) -> Way:
    found = entry.fields(required=("takes", "attention"), optional=("say", "uses"))
    return Way(
        name=name,
        say=_text(found, "say") or say,
        duration=written.duration(found["takes"]),
        attention=_attention(found["attention"]),
        uses=_uses(found["uses"]) if "uses" in found else (),
    )


def _refuse_pause(entry: Entry, step: Step) -> None:
    """Only hands that work away from the heat can stop at any moment, whatever the way."""
    for done in step.in_all_ways():
        where = f" {done.way}" if done.way else ""
        if done.attention != "hands-on":
            wrong = f"is done{where} without hands all the time, and so cannot be broken off"
        elif done.on_heat:
            wrong = f"is done{where} on the heat, which does not wait"
        else:
            continue
        raise entry.problem(wrong, "leave “pausable” out, or split the step")


def _attention(entry: Entry) -> Attention:
    word = entry.choice(get_args(Attention))
    return next(known for known in get_args(Attention) if known == word)


def _uses(entry: Entry) -> tuple[Use, ...]:
    """ "[ring, large pan]" or "{ring: 1, oven: {at: 200 C, shelves: 2}}"."""
    if entry.kind == "fields":
        return tuple(_use(name, how) for name, how in entry.pairs().items())
    names = entry.texts()
    if "oven" in names:
        raise entry.problem("uses the oven at no temperature", "write “{oven: 200 C}”")
    return tuple(Use(what=name) for name in names)


def _use(name: str, how: Entry) -> Use:
    if name == "oven":
        return _oven_use(how)
    if how.kind != "fields":
        return Use(what=name, count=how.whole(1, 20))
    found = how.fields(optional=("count", "holds"))
    if name == "ring" and "holds" in found:
        raise found["holds"].problem("is said of a ring", "say it of the pan that stands on it")
    return Use(what=name, count=_count(found, "count"), holds=_holds(found))


def _oven_use(how: Entry) -> Use:
    if how.kind != "fields":
        return Use(what="oven", celsius=written.temperature(how))
    found = how.fields(required=("at",), optional=("shelves", "tolerance", "holds"))
    return Use(
        what="oven",
        count=_count(found, "shelves"),
        celsius=written.temperature(found["at"]),
        tolerance=found["tolerance"].number(0, 50) if "tolerance" in found else 10.0,
        holds=_holds(found),
    )


def _count(found: Mapping[str, Entry], field: str) -> int:
    return found[field].whole(1, 20) if field in found else 1


def _holds(found: Mapping[str, Entry]) -> int | None:
    return written.servings(found["holds"]) if "holds" in found else None


def _follows(entry: Entry, dish: str, name: str, siblings: tuple[str, ...]) -> tuple[Follow, ...]:
    """What a step waits for: a step, a list of steps, or steps with the gap to each."""
    if entry.kind == "fields":
        waits = [(step, how, _gaps(how)) for step, how in entry.pairs().items()]
    else:
        waits = [(item.text(), item, [Follow("")]) for item in entry.items()]
    follows: list[Follow] = []
    for step, where, gaps in waits:
        if step == name:
            raise where.problem("waits for itself", "name the step before it")
        if "/" not in step and step not in siblings:
            others = [other for other in siblings if other != name]
            raise where.problem(f"there is no step “{step}”", suggestion(step, others))
        key = step if "/" in step else f"{dish}/{step}"
        follows += [replace(gap, step=key) for gap in gaps]
    return tuple(follows)


def _gaps(entry: Entry) -> list[Follow]:
    """ "5-10 min", or "{starts: 5 min after its start}", after a step yet to be named."""
    if entry.kind != "fields":
        return [Follow("", *written.gap(entry))]
    found = entry.fields(optional=("starts", "ends"))
    if not found:
        raise entry.problem("says no gap", "write “{starts: 5-10 min after its start}”")
    untils: dict[str, Moment] = {"starts": "start", "ends": "end"}
    gaps = {untils[name]: written.gap_since(gap) for name, gap in found.items()}
    return [Follow("", *gap, since, until) for until, (gap, since) in gaps.items()]


def _gate(entry: Entry) -> Gate:
    found = entry.fields(optional=("starts", "ends", "says"))
    if ("starts" in found) == ("ends" in found):
        raise entry.problem(
            "needs exactly one of “starts” and “ends”", "write “{ends: the water boils}”"
        )
    says = _texts(found, "says")
    if "ends" in found:
        return Gate(moment="end", shown=found["ends"].text(), says=says)
    return Gate(moment="start", shown=found["starts"].text(), says=says)


def _cues(entry: Entry) -> Cues:
    found = entry.fields(optional=SENSES)
    return Cues(**{sense: _text(found, sense) for sense in SENSES})
