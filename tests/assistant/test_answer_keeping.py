"""How long food keeps, and that it may not stand out."""

import pytest
from knowing import ask, named, us


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        # FSA 1 day is stricter than FoodKeeper's 4 to 6 days
        ("how long does cooked rice keep", "Cooked rice: 1 day in the fridge, says the UK Food"),
        ("how long do leftovers keep", "Leftovers: 2 days in the fridge, says the UK Food"),
        ("how long does hummus last", "Home-made hummus: 7 days in the fridge, says USDA Food"),
        ("how long will raw chicken keep", "Raw whole chicken: 1 to 2 days in the fridge"),
        ("how do I store zucchini", "Courgettes and summer squash: 4 to 5 days in the fridge"),
        ("can I freeze hard-boiled eggs", "Hard-boiled eggs: freezing is not recommended"),
        ("how long does tofu keep in the freezer", "Tofu: 5 months in the freezer"),
        ("how long do dried lentils keep", "Dried lentils: 1 year in the cupboard"),
        ("how long does cooked lamb keep", "Cooked lamb: 2 days in the fridge, says the UK Food"),
        ("how long does bagged salad keep", "Opened bag of salad leaves: 2 days in the fridge"),
    ],
)
def test_the_shortest_time_by_name(text, shown):
    assert ask("keeps", text).shown.startswith(shown)


def test_american_cooks_hear_american_names():
    reply = ask("keeps", "how do I store courgettes", settings=us())
    assert reply.shown.startswith("Zucchinis and summer squash")


def test_the_other_source_follows_on_more():
    assert "4 to 6 days in the fridge" in ask("keeps", "how long does cooked rice keep").more


def test_a_dish_with_rice_keeps_as_rice_does():
    text = "how long will that keep"
    reply = ask("keeps", text, named("dish", "white-rice", text, "that"))
    assert "1 day in the fridge" in reply.spoken


def test_a_dish_keeps_as_leftovers_do():
    text = "how long does the chicken and fennel keep"
    ref = named("dish", "chicken-and-fennel", text, "chicken and fennel")
    reply = ask("keeps", text, ref)
    assert "2 days in the fridge" in reply.spoken
    assert "leftovers with meat, fish or egg: 3 to 4 days" in reply.more


@pytest.mark.parametrize(
    "text",
    [
        "can I leave rice out all night",
        "is rice okay if it was left out overnight",
        "I forgot the rice on the counter last night can I eat it",
        "can the rice sit out for 3 hours",
        "leave the rice on the stove till tomorrow",
    ],
)
def test_rice_may_not_stand_out(text):
    reply = ask("keeps", text)
    assert reply.spoken.startswith("No. Cooked rice: cool it within 1 hour")
    assert "throw it away" in reply.spoken


@pytest.mark.parametrize(
    ("text", "no"),
    [
        ("can I leave the stew out all day", True),
        ("the soup has been on the counter for 5 hours", True),
        ("can the soup stand at room temperature for 1 hour", False),
        ("how long can it sit out", False),
    ],
)
def test_other_food_at_most_two_hours(text, no):
    reply = ask("keeps", text)
    assert reply.spoken.startswith("No. ") == no
    assert "at most 2 hours, says USDA FSIS" in reply.spoken
    assert "Above 32 °C (90 °F), no food longer than 1 hour." in reply.shown


def test_overnight_in_the_fridge_is_not_left_out():
    assert "in the fridge" in ask("keeps", "can I leave it in the fridge overnight").spoken
    out = ask("keeps", "can I leave it out of the fridge overnight")
    assert out.spoken.startswith("No. ")


def test_food_no_table_knows_is_unknown():
    reply = ask("keeps", "how long does kangaroo jerky keep")
    assert "do not have a published figure" in reply.spoken
    assert "day" not in reply.spoken


@pytest.mark.parametrize(
    ("text", "no"),
    [
        ("how many hours can chicken be left out", False),
        ("chicken was left out for hours", True),
        ("what if chicken was left out overnight", True),
    ],
)
def test_a_question_for_the_limit_is_not_answered_with_no(text, no):
    reply = ask("keeps", text)
    assert reply.spoken.startswith("No.") is no
    assert "2 hours" in reply.spoken  # USDA FSIS, the danger zone
