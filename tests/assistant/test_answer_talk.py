"""The cook's units: what changes them, and what only asks for an amount in others."""

import pytest
from kitchen import ingredient, kitchen

RICE = ingredient("long-grain white rice")


@pytest.fixture
def here():
    return kitchen()


def test_a_unit_alone_is_for_the_amount_in_the_air(here):
    here.ask("how_much", "how much rice", RICE)
    reply = here.ask("set_units", "to ounces")
    assert reply.settings == ()
    assert reply.shown == "300 g of long-grain white rice = 10.6 oz"  # 300 / 28.35


def test_a_unit_alone_with_nothing_in_the_air_is_asked_back(here):
    reply = here.ask("set_units", "to ounces")
    assert (reply.settings, reply.spoken) == ((), "What shall I convert?")


def test_use_ounces_changes_the_units(here):
    here.ask("how_much", "how much rice", RICE)
    assert here.ask("set_units", "use ounces").settings == (("units", "us"),)
