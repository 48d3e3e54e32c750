"""What stands on the heat when, in what, after what; and what belongs to the day before."""

from itertools import pairwise

import pytest

from assistant.recipe_page import Direction
from assistant.recipe_steps import in_order, steps_of


def steps(*paragraphs: str, ingredients: tuple[str, ...] = ()):
    return steps_of([Direction(text) for text in paragraphs], ingredients)


def test_the_pan_stays_the_same_until_another_is_named():
    made = steps(
        "Heat the oil in a frying pan. Add the onions and fry for 5 minutes.",
        "Boil the peas in a small pan for 3 minutes.",
    ).steps
    assert [(one.vessel, one.ring) for one in made] == [
        ("frying pan", True), ("frying pan", True), ("frying pan", True), ("small pan", True),
    ]  # fmt: skip
    assert "uses" not in made[0].why
    assert made[1].why["uses"] == "where the food of the step before is"


def test_the_oven_has_the_temperature_that_was_set_before():
    (bake,) = steps("Preheat the oven to 180C/gas 4. Bake for 20 minutes.").steps
    assert (bake.oven, bake.attention, bake.low_s) == ("180 C", "unattended", 1200)
    assert "Preheat the oven to 180C/gas 4." in bake.why["uses"]
    assert "takes" not in bake.why


def test_an_oven_without_a_temperature_is_a_moderate_one_and_a_guess():
    (bake,) = steps("Bake for 20 minutes.").steps
    assert bake.oven == "180 C"
    assert "no temperature is said" in bake.why["uses"]
    (hotter,) = steps("Bake at 220 C for 20 minutes.").steps
    assert hotter.oven == "220 C"
    assert "temperature" not in hotter.why["uses"]


def test_a_lined_tin_is_for_the_oven():
    line, mix, bake = steps("Line a loaf tin. Whisk the eggs. Bake for 20 minutes.").steps
    assert (line.vessel, mix.vessel, bake.vessel) == ("baking dish", "", "baking dish")
    assert not line.heated


def test_each_waits_for_the_one_before_and_not_long_on_the_heat():
    chop, fry, add = steps(
        "Chop the leeks. Fry them in a pan for 5 minutes, then add the milk."
    ).steps
    assert chop.after == {}
    assert fry.after == {chop.name: "any time"}
    assert add.after == {fry.name: "within 3 min"}


def test_meanwhile_goes_on_beside_and_both_are_waited_for():
    bake, chop, serve = steps(
        "Bake for 20 minutes.", "Meanwhile, chop the nuts.", "Serve with the nuts."
    ).steps
    assert chop.after == {bake.name: "any time after its start"}
    assert serve.after == {bake.name: "any time", chop.name: "any time"}
    starts = {step.name: start for step, start, _ in in_order((bake, chop, serve))}
    assert starts == {bake.name: 0, chop.name: 0, serve.name: 1200}


def test_an_oven_set_beside_is_the_dishs_oven_too():
    *_, bake = steps(
        "Simmer the sauce for 20 minutes.",
        "Meanwhile, boil the pasta for 8 minutes. Preheat the oven to 220C.",
        "Bake for 15 minutes.",
    ).steps
    assert bake.oven == "220 C"
    assert "220C" in bake.why["uses"]


def test_what_needs_the_dish_itself_ends_what_goes_beside():
    bake, chop, rest = steps("Bake for 20 minutes. Meanwhile, chop the nuts. Leave to rest.").steps
    assert set(rest.after) == {bake.name, chop.name}


def test_overnight_is_for_the_day_before():
    made = steps("Rinse the beans. Soak them overnight. Drain and boil for 1 hour.")
    assert made.ahead == ("Rinse the beans.", "Soak them overnight.")
    assert "overnight" in made.ahead_why
    assert [one.say for one in made.steps] == ["Drain and boil for 1 hour."]
    assert made.steps[0].after == {}


@pytest.mark.parametrize(
    ("text", "attention", "why"),
    [
        ("Simmer for 20 minutes.", "unattended", "usual for “simmer”"),
        ("Simmer for 20 minutes, stirring constantly.", "hands-on", "stirring constantly"),
        ("Fry for 5 minutes.", "watched", "usual for “fry”"),
        ("Flambé the pears.", "hands-on", "no verb is known here"),
    ],
)
def test_attention_is_guessed_from_the_words_that_are_told(text, attention, why):
    (step,) = steps(text).steps
    assert step.attention == attention
    assert why in step.why["attention"]


def test_time_for_each_of_what_is_chopped():
    one, two = steps(
        "Chop the leeks.", "Chop the leeks and carrots.", ingredients=("leeks", "carrots")
    ).steps
    assert (two.low_s, two.high_s) == (2 * one.low_s, 2 * one.high_s)
    assert two.ingredients == ("leeks", "carrots")


def test_stock_is_not_the_chicken():
    add, brown = steps(
        "Add the stock. Brown the chicken.", ingredients=("chicken stock", "chicken thighs")
    ).steps
    assert (add.ingredients, brown.ingredients) == (("chicken stock",), ("chicken thighs",))


def test_names_are_short_and_no_two_alike():
    made = steps("Stir in the barley. Simmer. Simmer. Simmer. Bring to the boil.").steps
    names = [one.name for one in made]
    assert names[0] == "stir in the barley"
    assert names[-1] == "bring to the boil"
    assert len(set(names)) == len(names)
    assert made[-1].boils


def test_remarks_stay_with_their_step():
    made = steps(
        "It is a family dish. Bake for an hour. The dish will be very hot. It smells good."
    )
    assert made.unplaced == ("It is a family dish.",)
    assert made.steps[0].cautions == ("The dish will be very hot.",)
    assert made.steps[0].more == ("It smells good.",)


def test_every_step_is_after_steps_before_it():
    made = steps("Chop. Fry for 5 minutes. Meanwhile, boil the peas. Drain. Serve.", "Eat.").steps
    for before, step in pairwise(made):
        known = [one.name for one in made[: made.index(step)]]
        assert set(step.after) <= set(known)
        assert before.name in step.after or len(step.after) >= 1


def test_what_goes_into_the_oven_cooks_there_at_what_it_was_turned_to():
    made = steps(
        "Preheat the oven to 240 C. Put the beef in the oven, then turn the heat down to 200 C.",
        "Cook for 1 hour.",
    ).steps
    assert (made[-1].name, made[-1].oven) == ("cook", "200 C")


def test_a_tray_over_the_heat_is_on_a_ring():
    made = steps("Put the roasting tray over a high heat. Stir in the flour.").steps
    assert [(one.vessel, one.ring) for one in made] == [("roasting tray", True)] * 2


def test_what_only_the_day_before_needs_is_told():
    made = steps(
        "Rub the pork with honey. Chill overnight. Fry the pork for 5 minutes.",
        ingredients=("pork", "honey"),
    )
    assert made.ahead_foods == {"honey"}
