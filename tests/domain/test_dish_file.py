"""Dish files: one tiny malformed file a rule, with the exact complaint."""

from pathlib import Path

import pytest

from domain.dish_file import STEPS_AT_MOST, dish_of, read_dish
from domain.errors import FileProblem
from domain.menu import Cues, Duration, Follow, Gate, Ingredient, Use, Way
from domain.yamlfile import parse

HEAD = "title: Rice\nserves: 4\ningredients: {rice: 300 g, salt: to taste}\nsteps:\n"
STEP = "say: Boil it., takes: 5 min, attention: watched"
TWO = HEAD + f"  rinse: {{{STEP}}}\n  boil: {{{STEP}, "


def complaint(text: str) -> str:
    with pytest.raises(FileProblem) as caught:
        dish_of(parse(text, "rice.yaml"), "rice")
    return str(caught.value)


BROKEN = {
    "no steps field": (
        "title: Rice\nserves: 4\ningredients: {}\n",
        "rice.yaml:1: steps: is missing; add “steps: ...”",
    ),
    "no steps": (HEAD + "  {}\n", "rice.yaml:5: steps: has no steps; write at least one"),
    "nobody served": (
        "title: Rice\nserves: 0\ningredients: {}\nsteps: {}\n",
        "rice.yaml:2: serves: 0 is out of range; write a whole number from 1 to 100",
    ),
    "whose measures": (
        "title: Rice\nserves: 4\nmeasures: usa\ningredients: {}\nsteps: {}\n",
        "rice.yaml:3: measures: “usa” is not known; did you mean “us”?",
    ),
    "unknown unit": (
        "title: Rice\nserves: 4\ningredients:\n  rice: 300 grammz\nsteps: {}\n",
        "rice.yaml:4: ingredients.rice: “grammz” is not a unit known here; did you mean gram?",
    ),
    "ingredient twice": (
        "title: Rice\nserves: 4\ningredients:\n  rice: 300 g\n  rice: 1 cup\nsteps: {}\n",
        "rice.yaml:5: ingredients.rice: is written twice, first in line 4; "
        "keep one or rename the other",
    ),
    "step twice": (
        HEAD + f"  boil: {{{STEP}}}\n  boil: {{{STEP}}}\n",
        "rice.yaml:6: steps.boil: is written twice, first in line 5; keep one or rename the other",
    ),
    "slash in a name": (
        HEAD + f"  salt/pepper: {{{STEP}}}\n",
        "rice.yaml:5: steps.salt/pepper: has a “/” in its name; use words only",
    ),
    "misspelt field": (
        HEAD + f"  boil: {{{STEP}, ater: rinse}}\n",
        "rice.yaml:5: steps.boil.ater: is not a field known here; did you mean “after”?",
    ),
    "nothing said": (
        HEAD + "  boil: {takes: 5 min, attention: watched}\n",
        "rice.yaml:5: steps.boil.say: is missing; add “say: ...”",
    ),
    "no attention of that kind": (
        HEAD + "  boil: {say: Boil., takes: 5 min, attention: hands on}\n",
        "rice.yaml:5: steps.boil.attention: “hands on” is not known; did you mean “hands-on”?",
    ),
    "no time at all": (
        HEAD + "  boil: {say: Boil., takes: 0 s, attention: watched}\n",
        "rice.yaml:5: steps.boil.takes: lasts no time at all; "
        "give every step at least a few seconds",
    ),
    "unknown step in after": (
        TWO + "after: rince}\n",
        "rice.yaml:6: steps.boil.after: there is no step “rince”; did you mean “rinse”?",
    ),
    "unknown step among gaps": (
        TWO + "after: {rins: at once}}\n",
        "rice.yaml:6: steps.boil.after.rins: there is no step “rins”; did you mean “rinse”?",
    ),
    "after itself": (
        TWO + "after: boil}\n",
        "rice.yaml:6: steps.boil.after: waits for itself; name the step before it",
    ),
    "least above most": (
        TWO + "after: {rinse: 10-5 min}}\n",
        "rice.yaml:6: steps.boil.after.rinse: the least gap is above the most (“10-5 min”); "
        "write the shorter time first",
    ),
    "a gap of no moments": (
        TWO + "after: {rinse: {}}}\n",
        "rice.yaml:6: steps.boil.after.rinse: says no gap; "
        "write “{starts: 5-10 min after its start}”",
    ),
    "a gap of an unknown moment": (
        TWO + "after: {rinse: {stars: 5 min after its start}}}\n",
        "rice.yaml:6: steps.boil.after.rinse.stars: is not a field known here; "
        "did you mean “starts”?",
    ),
    "a gap since nothing": (
        TWO + "after: {rinse: {starts: 5-10 min}}}\n",
        "rice.yaml:6: steps.boil.after.rinse.starts: “5-10 min” does not say since when; "
        "write it like “5-10 min after its start” or “... after its end”",
    ),
    "a gap from a start that runs backwards": (
        TWO + "after: {rinse: {ends: 10-5 min after its start}}}\n",
        "rice.yaml:6: steps.boil.after.rinse.ends: the least gap is above the most (“10-5 min”); "
        "write the shorter time first",
    ),
    "a cycle between other moments": (
        HEAD
        + f"  soak: {{{STEP}, after: {{boil: {{ends: any time after its start}}}}}}\n"
        + f"  drain: {{{STEP}, after: soak}}\n"
        + f"  boil: {{{STEP}, after: {{drain: {{starts: 5 min after its start}}}}}}\n",
        "rice.yaml:5: steps: soak waits for boil, boil waits for drain, drain waits for soak; "
        "take one of these waits away",
    ),
    "a cycle": (
        HEAD
        + f"  soak: {{{STEP}}}\n"
        + f"  drain: {{{STEP}, after: [soak, simmer]}}\n"
        + f"  boil: {{{STEP}, after: drain}}\n"
        + f"  simmer: {{{STEP}, after: boil}}\n",
        "rice.yaml:5: steps: drain waits for simmer, simmer waits for boil, boil waits for drain; "
        "take one of these waits away",
    ),
    "oven without temperature": (
        HEAD + f"  bake: {{{STEP}, uses: [oven]}}\n",
        "rice.yaml:5: steps.bake.uses: uses the oven at no temperature; write “{{oven: 200 C}}”",
    ),
    "oven fields without temperature": (
        HEAD + f"  bake: {{{STEP}, uses: {{oven: {{shelves: 1}}}}}}\n",
        "rice.yaml:5: steps.bake.uses.oven.at: is missing; add “at: ...”",
    ),
    "oven too hot": (
        HEAD + f"  bake: {{{STEP}, uses: {{oven: 900 F}}}}\n",
        "rice.yaml:5: steps.bake.uses.oven: “900 f” is 482 °C; write 40 to 300 °C",
    ),
    "no rings": (
        HEAD + f"  boil: {{{STEP}, uses: {{ring: 0}}}}\n",
        "rice.yaml:5: steps.boil.uses.ring: 0 is out of range; write a whole number from 1 to 20",
    ),
    "ingredient not in the dish": (
        HEAD + f"  boil: {{{STEP}, ingredients: [rise]}}\n",
        "rice.yaml:5: steps.boil.ingredients[1]: “rise” is not an ingredient of this dish; "
        "did you mean “rice”? or add it to the dish’s ingredients",
    ),
    "gate without an end": (
        HEAD + f"  boil: {{{STEP}, gate: {{says: [it boils]}}}}\n",
        "rice.yaml:5: steps.boil.gate: needs exactly one of “starts” and “ends”; "
        "write “{{ends: the water boils}}”",
    ),
    "gate with both ends": (
        HEAD + f"  boil: {{{STEP}, gate: {{starts: a, ends: b}}}}\n",
        "rice.yaml:5: steps.boil.gate: needs exactly one of “starts” and “ends”; "
        "write “{{ends: the water boils}}”",
    ),
    "a way without a time": (
        HEAD + f"  boil: {{{STEP}, or: {{in the oven: {{attention: watched}}}}}}\n",
        "rice.yaml:5: steps.boil.or.in the oven.takes: is missing; add “takes: ...”",
    ),
    "no other way": (
        HEAD + f"  boil: {{{STEP}, or: {{}}}}\n",
        "rice.yaml:5: steps.boil.or: names no other way; name one, or leave the field out",
    ),
    "a way at no temperature": (
        HEAD + f"  boil: {{{STEP}, or: {{inside: {{takes: 9 min, attention: watched, "
        "uses: [oven]}}}\n",
        "rice.yaml:5: steps.boil.or.inside.uses: uses the oven at no temperature; "
        "write “{{oven: 200 C}}”",
    ),
    "a field of steps in a way": (
        HEAD + f"  boil: {{{STEP}, or: {{inside: {{takes: 9 min, attention: watched, "
        "after: rinse}}}\n",
        "rice.yaml:5: steps.boil.or.inside.after: is not a field known here; "
        "known here: attention, say, takes, uses",
    ),
    "a vessel that holds no servings": (
        HEAD + f"  boil: {{{STEP}, uses: {{pot: {{holds: two}}}}}}\n",
        "rice.yaml:5: steps.boil.uses.pot.holds: “two” is not a number of servings; "
        "write it like “2 servings”, up to 100",
    ),
    "a ring that holds servings": (
        HEAD + f"  boil: {{{STEP}, uses: {{ring: {{holds: 2 servings}}}}}}\n",
        "rice.yaml:5: steps.boil.uses.ring.holds: is said of a ring; "
        "say it of the pan that stands on it",
    ),
    "a pause while watching": (
        HEAD + f"  boil: {{{STEP}, pausable: yes}}\n",
        "rice.yaml:5: steps.boil.pausable: is done without hands all the time, and so cannot be "
        "broken off; leave “pausable” out, or split the step",
    ),
    "a pause on the heat": (
        HEAD + "  stir: {say: Stir., takes: 5 min, attention: hands-on, uses: [ring], "
        "pausable: yes}\n",
        "rice.yaml:5: steps.stir.pausable: is done on the heat, which does not wait; "
        "leave “pausable” out, or split the step",
    ),
    "a pause in one way": (
        HEAD + "  dry: {say: Dry., takes: 5 min, attention: hands-on, pausable: yes, "
        "or: {inside: {takes: 9 min, attention: unattended, uses: {oven: 60 C}}}}\n",
        "rice.yaml:5: steps.dry.pausable: is done inside without hands all the time, and so "
        "cannot be broken off; leave “pausable” out, or split the step",
    ),
    "neither yes nor no": (
        HEAD + f"  boil: {{{STEP}, beforehand: maybe}}\n",
        "rice.yaml:5: steps.boil.beforehand: “maybe” is neither yes nor no; write yes or no",
    ),
    "no such sense": (
        HEAD + f"  boil: {{{STEP}, cues: {{smel: nutty}}}}\n",
        "rice.yaml:5: steps.boil.cues.smel: is not a field known here; did you mean “smell”?",
    ),
}


@pytest.mark.parametrize("case", BROKEN)
def test_a_broken_dish_says_where_what_and_how(case: str) -> None:
    text, message = BROKEN[case]
    assert complaint(text) == message.replace("{{", "{").replace("}}", "}")


def test_too_many_steps() -> None:
    steps = "".join(f"  step {number}: {{{STEP}}}\n" for number in range(STEPS_AT_MOST + 1))
    assert complaint(HEAD + steps) == (
        "rice.yaml:5: steps: has 101 steps; split the dish; 100 is the most"
    )


WHOLE = """
title: Rice
serves: 4
hold: 10 min
spoils: 2
also: [the rice]
keeps: One day.
ahead: [Soak it.]
measures: us
ingredients:
  rice: {amount: 1 1/2 cups, prep: rinsed, also: [grain]}
  salt: to taste
steps:
  rinse the rice:
    say: Rinse.
    takes: 1-3 min
    attention: hands-on
    ingredients: rice
    pausable: yes
    beforehand: yes
  bake the rice:
    say: Bake it.
    takes: 20 min
    attention: unattended
    uses: {oven: {at: 180 C, shelves: 2, tolerance: 5, holds: 8 servings}, ring: 1}
    or:
      on a ring:
        say: Boil it.
        takes: 12 min
        attention: watched
        uses: {ring: 1, pot: {holds: 2 servings}}
      in the steamer: {takes: 30 min, attention: unattended}
    after: {rinse the rice: within 5 min, beans/boil: at least 1 min}
    gate: {ends: it is tender, says: [it is soft]}
    cues: {smell: nutty}
    cautions: [Hot.]
    more: Lid on.
    also: [the rice]
"""


def test_every_field_arrives(tmp_path: Path) -> None:
    path = tmp_path / "rice.yaml"
    path.write_text(WHOLE, encoding="utf-8")
    dish = read_dish(path)
    assert (dish.name, dish.title, dish.serves, dish.hold_s, dish.spoils) == (
        ("rice", "Rice", 4, 600, 2.0)
    )
    assert (dish.also, dish.keeps, dish.ahead) == (("the rice",), "One day.", ("Soak it.",))
    assert dish.ingredients == (
        Ingredient("rice", 1.5, None, "us_cup", "rinsed", ("grain",)),
        Ingredient("salt"),
    )
    rinse, bake = dish.steps
    assert rinse.ingredients == ("rice",)
    assert (rinse.pausable, rinse.beforehand) == (True, True)
    assert (bake.pausable, bake.beforehand) == (False, False)
    assert bake.uses == (Use("oven", 2, 180.0, 5.0, holds=8), Use("ring"))
    assert bake.ways == (
        Way(
            "on a ring",
            "Boil it.",
            Duration(720, 720, 720),
            "watched",
            (Use("ring"), Use("pot", holds=2)),
        ),
        Way("in the steamer", "Bake it.", Duration(1800, 1800, 1800), "unattended"),
    )
    assert bake.follows == (
        Follow("rice/rinse the rice", 0, 300),
        Follow("beans/boil", 60, None),
    )
    assert bake.gate == Gate("end", "it is tender", ("it is soft",))
    assert (bake.cues, bake.cautions, bake.more) == (Cues(smell="nutty"), ("Hot.",), "Lid on.")
    assert bake.on_heat
    assert not rinse.on_heat


def test_gaps_are_between_any_two_moments() -> None:
    gaps = {
        "at once": [(0, 0, "end", "start")],
        "{starts: 5-10 min after its end}": [(300, 600, "end", "start")],
        "{starts: at least 10 min after its start}": [(600, None, "start", "start")],
        "{ends: within 90 s after its end}": [(0, 90, "end", "end")],
        "{ends: any time after its start}": [(0, None, "start", "end")],
        "{starts: at once after its start, ends: 1 min after its end}": [
            (0, 0, "start", "start"),
            (60, 60, "end", "end"),
        ],
    }
    for written, expected in gaps.items():
        found = dish_of(parse(TWO + f"after: {{rinse: {written}}}}}\n", "rice.yaml"), "rice")
        follows = found.step("boil").follows
        assert [(f.least_s, f.most_s, f.since, f.until) for f in follows] == expected
        assert {f.step for f in follows} == {"rice/rinse"}


def test_one_step_within_another_is_no_circle() -> None:
    """The basting begins after the roast does, and the roast ends after the basting does."""
    text = (
        HEAD
        + f"  roast: {{{STEP}, after: {{baste: {{ends: any time after its end}}}}}}\n"
        + f"  baste: {{{STEP}, after: {{roast: {{starts: any time after its start}}}}}}\n"
    )
    assert dish_of(parse(text, "rice.yaml"), "rice").step("roast").follows == (
        Follow("rice/baste", since="end", until="end"),
    )
