"""Swaps: scaled by what was asked for, with what changes and what comes in."""

import pytest
from knowing import METRIC, ask, us


def test_scaled_by_count():
    reply = ask("swap", "what can I use instead of 3 eggs")
    # 3 × (1 tbsp flax + 3 tbsp water)
    assert reply.shown.startswith("3 tbsp of flaxseed or chia seed and 9 tbsp of water.")
    assert "That replaces 3 eggs, for binding." in reply.shown
    assert "It binds but does not lift" in reply.spoken
    assert "Illinois Extension" in reply.spoken


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("swap an egg for lift", "½ tsp of baking powder, 1 tbsp of water and 1 tbsp of vinegar."),
        ("no egg, need moisture", "¼ cup of mashed banana or silken tofu."),
    ],
)
def test_the_purpose_said_decides(text, shown):
    assert ask("swap", text).shown.startswith(shown)


def test_a_cup_asked_for_is_the_rows_cup_in_any_country():
    for settings in (METRIC, us()):
        reply = ask("swap", "2 cups of buttermilk", settings=settings)
        assert reply.shown.startswith("2 tbsp of lemon juice or vinegar and milk to make 2 cups.")


def test_a_mass_asked_for_is_answered_by_mass():
    reply = ask("swap", "instead of 200 g of self-raising flour")
    # self-raising and plain flour weigh the same a cup (USDA SR28, NDB 20082 and 20081)
    assert reply.shown.startswith("200 g of plain flour.")


def test_american_names_are_the_same_food():
    reply = ask("swap", "I am out of cornstarch", settings=us())
    assert "plain flour" not in reply.spoken
    assert reply.shown.startswith("2 tbsp of all-purpose flour.")


def test_new_allergens_are_told():
    assert "It brings in gluten." in ask("swap", "no cornflour").spoken
    assert "soya" in ask("swap", "instead of an egg for moisture").spoken


def test_a_named_ingredient_of_the_menu():
    assert ask("swap", "what can I use instead of parsley").shown.startswith("1 tsp of dried herbs")


def test_no_swap_is_made_up():
    reply = ask("swap", "instead of saffron")
    assert reply.spoken == "I have no swap for saffron that I can vouch for."


def test_what_is_from_memory_says_so():
    assert "By memory alone." in ask("swap", "no dried yeast").spoken
