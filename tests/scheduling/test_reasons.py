from domain.kitchen import Kitchen, Oven
from domain.menu import Dish, Duration, Follow, Menu, Step, Use
from scheduling.reasons import why_late

NOW = 1_700_000_000.0
HOME = Kitchen("home", "Home", 2, (Oven("oven", 2, 720, 60),), {"pot": 1}, ("cook",))


def boiled(name: str, minutes: int, *uses: Use) -> Dish:
    """Washed for 1 minute by hand, then boiled."""
    wash = Step("wash", name, f"Wash the {name}.", Duration(60, 60, 60), "hands-on")
    length = Duration(60 * minutes, 60 * minutes, 60 * minutes)
    follows = (Follow(f"{name}/wash"),)
    boil = Step("boil", name, f"Boil the {name}.", length, "unattended", uses, follows)
    return Dish(name, name.capitalize(), 4, 3600, (), (wash, boil))


def test_the_longest_chain_is_the_reason() -> None:
    menu = Menu("m", "M", 4, (boiled("beans", 90), boiled("rice", 12)))
    why = why_late(menu, HOME, now=NOW, wanted_at=NOW + 3600)
    assert why is not None
    assert why.service_at == why.chain_at == NOW + 91 * 60
    assert why.chain == ("beans/wash", "beans/boil")
    said = why.sentences(menu, HOME)
    assert (
        said[0]
        == "“Wash the beans” to “Boil the beans”, one after the other, take 1 h 31 min from now."
    )
    # Without the beans only the rice is left: 1 + 12 min, in time.
    assert said[1:] == ("Without “Beans”: 1 h 18 min sooner, in time.",)


def test_a_second_pot_is_found_to_help() -> None:
    # One pot: 1 + 30 + 20 min. Two: the rice's wash waits for the other, so 1 + 30.
    both = (boiled("beans", 30, Use("pot")), boiled("rice", 20, Use("pot")))
    menu = Menu("m", "M", 4, both)
    why = why_late(menu, HOME, now=NOW, wanted_at=NOW + 35 * 60)
    assert why is not None
    assert why.service_at == NOW + 51 * 60
    assert why.chain_at == NOW + 31 * 60
    helps = {change.what: (change.service_at - NOW) / 60 for change in why.changes}
    assert helps == {"Without “Beans”": 21, "With one more pot": 31, "Without “Rice”": 31}
    assert why.sentences(menu, HOME)[0].startswith("Nothing takes that long by itself")


def test_no_plan_at_all_has_no_such_reason() -> None:
    menu = Menu("m", "M", 4, (boiled("beans", 30, Use("blender")),))
    assert why_late(menu, HOME, now=NOW, wanted_at=None) is None
