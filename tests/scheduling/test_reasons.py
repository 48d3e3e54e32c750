"""Why service cannot be when it is wanted, and what helps: each with the numbers beside it."""

from dataclasses import replace
from datetime import datetime

from tiny_menus import (
    BEANS,
    HOME,
    NOW,
    ONE_COOK,
    ONE_PAN,
    TWO_TEMPERATURES,
    after,
    dish,
    fried,
    menu,
    minutes,
    step,
)

from domain.kitchen import Kitchen
from domain.menu import Dish, Gate, Mark, Menu, Use, Way
from scheduling.case import Case
from scheduling.changes import Change, changed, soonest
from scheduling.reason_words import collision_told
from scheduling.reasons import WhyLate, why_late
from scheduling.timetable import Progress


def why(of: Menu, wanted: float | None, kitchen: Kitchen = HOME, **more) -> WhyLate:
    """Wanted in so many minutes."""
    wanted_at = None if wanted is None else NOW + 60 * wanted
    found = why_late(of, kitchen, now=NOW, wanted_at=wanted_at, limit_s=20, **more)
    assert found is not None
    for help in found.helps:  # whatever it says was solved for; here it is solved for again
        case = Case(of, kitchen, NOW, found.wanted_at, more.get("progress", Progress()))
        for change in help.changes:
            case = changed(case, change)
        made = soonest(case, 10)
        assert made is not None
        assert made.service_at == help.service_at
    return found


def helps(found: WhyLate) -> list[tuple[str, ...]]:
    return [tuple(change.kind for change in help.changes) for help in found.helps]


def test_the_earliest_service_and_a_second_pan() -> None:
    found = why(ONE_PAN, 34)
    assert found.service_at == NOW + 35 * 60
    assert found.in_time
    assert found.sentences()[1:] == (
        f"To eat at {at(34)}: get a second pan; or serve “Fish” 5 min later; or leave out “Fish”.",
    )


def at(minutes: float) -> str:
    return f"{datetime.fromtimestamp(NOW + 60 * minutes):%H:%M}"


def test_what_collides_is_told_in_kitchen_words() -> None:
    assert why(ONE_PAN, 34).sentences()[0] == (
        f"These collide: service at {at(34)}; one pan; “fry the fish” (20 min); "
        "“fry the eggs” (15 min)."
    )
    assert why(ONE_PAN, 19).sentences()[0] == (
        f"“Fry the fish” (20 min) alone takes too long for service at {at(19)}."
    )
    assert why(menu(BEANS), 80).sentences()[0] == (
        "One after the other, “soak the beans” (1 h) and “boil the beans” (30 min) take too long "
        f"for service at {at(80)}."
    )
    assert why(TWO_TEMPERATURES, 73).sentences()[0] == (
        f"These collide: service at {at(73)}; one temperature at a time in the oven, with "
        "160 °C and 200 °C asked for; “bake the crumble” (40 min); “bake the roast” (30 min)."
    )
    assert (
        why(ONE_COOK, 20)
        .sentences()[0]
        .startswith(
            f"These collide: service at {at(20)}; the hands of one cook; “chop the kale” (12 min); "
        )
    )


def test_what_may_be_done_beforehand() -> None:
    # Soaking 60 min and boiling 30: with the soaking done, 30.
    found = why(menu(BEANS), 80)
    assert [help.changes for help in found.helps] == [
        (Change("beforehand", ("beans/soak the beans",)),)
    ]
    assert found.sentences()[-1] == f"To eat at {at(80)}: soak the beans beforehand."
    begun = Progress(started_at=NOW)  # then it is too late for beforehand
    assert helps(why(menu(BEANS), 80, progress=begun)) == []


def test_no_step_is_done_beforehand_that_has_to_be_followed_soon() -> None:
    boil = step("beans", "boil", 30, follows=after("beans/soak the beans", 0, 10))
    assert helps(why(menu(dish("beans", BEANS.steps[0], boil)), 80)) == []


def test_a_dish_is_served_later_by_no_more_than_it_takes() -> None:
    # The eggs after the fish end at 35 min: 15 min after service at 20, and 9 after 26.
    later = {
        minutes: next(
            change.later_s / 60
            for help in why(ONE_PAN, minutes).helps
            for change in help.changes
            if change.kind == "later"
        )
        for minutes in (20, 26, 34)
    }
    assert later == {20: 15, 26: 10, 34: 5}


def test_what_asks_least_comes_first_and_there_are_three_at_most() -> None:
    assert helps(why(ONE_PAN, 34)) == [("piece",), ("later",), ("left out",)]
    assert helps(why(ONE_COOK, 22))[:2] == [("later",), ("help",)]
    assert len(why(ONE_COOK, 22).helps) == 3


def test_two_changes_where_one_does_not_do() -> None:
    # Two steps of 20 min each take the one pan and the one ring: 40 min with a second of either.
    both = (Use("ring"), Use("pan"))
    steps = [step("grill", name, 20, uses=both) for name in ("fry the fish", "fry the ham")]
    found = why(menu(dish("grill", *steps)), 20, replace(HOME, rings=1))
    assert helps(found) == [("piece", "ring")]
    assert found.sentences()[-1] == (
        f"To eat at {at(20)}, two changes together: get a second pan and use one more ring."
    )


def test_what_only_makes_it_sooner_is_told_with_how_much() -> None:
    # Without the stew the soup is left: 90 min, and 60 are wanted.
    of = menu(
        dish("stew", step("stew", "stew", 100)),
        dish("soup", step("soup", "simmer", 90)),
    )
    found = why(of, 60)
    assert not found.in_time
    assert found.sentences()[1:] == (
        f"No change that was tried makes {at(60)} possible.",
        "Leave out “Stew”: 10 min sooner.",
    )


def test_changes_of_different_kinds_go_first() -> None:
    # 10 min of chopping for each, one after the other, and then 5 of frying: 25. With either
    # chopped beforehand 15; two cooks chop at once: 15; the second dish 5 min later: 20.
    def fry(name: str) -> Dish:
        chop = step(name, "chop", 10, "hands-on", beforehand=True)
        return dish(name, chop, step(name, "fry", 5, follows=after(f"{name}/chop")))

    found = why(menu(fry("kale"), fry("leeks")), 20)
    assert helps(found) == [("beforehand",), ("later",), ("help",)]
    assert all(help.service_at == found.wanted_at for help in found.helps)


def test_what_only_makes_it_sooner_is_of_different_kinds_too() -> None:
    # One after the other in the one pan on the one ring for 40, 35 and 30 min: 105, 50 wanted.
    # A second pan leaves 65, the 40 min beside the others one after the other; so does leaving out
    # the 40; without the 35, which is of a kind told already, 70 are left.
    fry = [fried("fish", 40), fried("eggs", 35), fried("ham", 30)]
    found = why(menu(*fry), 50, replace(HOME, rings=3))
    assert [(help.changes[0].kind, found.service_at - help.service_at) for help in found.helps] == [
        ("piece", 40 * 60),
        ("left out", 40 * 60),
        ("left out", 35 * 60),
    ]
    assert not found.in_time


def test_while_cooking_what_is_told_is_checked_from_where_the_cook_is() -> None:
    # The fish has 10 min left in the one pan, and the eggs take 15 after it; 20 min are wanted.
    so_far = Progress(running={"fish/fry the fish": (NOW - 600, NOW + 600)}, started_at=NOW - 600)
    found = why(ONE_PAN, 20, progress=so_far)
    assert found.service_at == NOW + 25 * 60
    assert helps(found) == [("piece",), ("later",), ("left out",)]


def in_courses(*dishes: Dish, **minutes: float) -> Menu:
    return replace(menu(*dishes), courses={name: round(60 * at) for name, at in minutes.items()})


def test_a_course_is_a_reason_in_its_own_words() -> None:
    # The soup takes 40 min and is served 15 min before the rest: 55.
    soup = dish("soup", step("soup", "simmer", 40))
    rice = dish("rice", step("rice", "boil", 20))
    found = why(in_courses(soup, rice, soup=-15), 50)
    assert found.service_at == NOW + 55 * 60
    assert found.sentences()[0] == (
        f"These collide: service at {at(50)}; “Soup” 15 min before service; “simmer” (40 min)."
    )
    assert found.sentences()[1] == (
        f"To eat at {at(50)}: serve “Soup” 5 min later; or leave out “Soup”."
    )
    # Baked for 90, of which 20 may lie after service: 70.
    pears = dish("pears", step("pears", "bake", 90))
    assert why(in_courses(pears, rice, pears=20), 60).sentences()[:2] == (
        f"These collide: service at {at(60)}; “Pears” 20 min after service; “bake” (1 h 30 min).",
        f"To eat at {at(60)}: serve “Pears” 10 min later; or leave out “Pears”.",
    )


def test_while_cooking_a_gate_is_told_with_the_step_it_holds() -> None:
    boils = Gate("end", "the water boils")
    heat = step("greens", "heat the water", 10, "watched", gate=boils)
    steam = step("greens", "steam", 8, follows=after("greens/heat the water"))
    of = menu(dish("greens", heat, steam))
    # The water is to boil in 5 min: 13 in all.
    soon = Progress(running={heat.key: (NOW - 300, NOW + 300)}, started_at=NOW - 300)
    assert why(of, 12, progress=soon).sentences()[0] == (
        "One after the other, “heat the water” (5 min, until the water boils) and “steam” (8 min) "
        f"take too long for service at {at(12)}."
    )
    # It should boil by now: what waits for it is all that is known to take time.
    late = Progress(running={heat.key: (NOW - 600, NOW)}, started_at=NOW - 600)
    assert why(of, 7, progress=late).sentences()[0] == (
        f"“Steam” (8 min, once the water boils) alone takes too long for service at {at(7)}."
    )


def test_a_gate_that_starts_a_step_is_told_until_it_is_seen() -> None:
    risen = Gate("start", "the dough has risen")
    bake = step("bread", "bake", 30, gate=risen)
    of = menu(dish("bread", bake))
    begun = Progress(started_at=NOW - 60)
    assert (
        "“Bake” (30 min, once the dough has risen) alone"
        in why(of, 20, progress=begun).sentences()[0]
    )
    seen = replace(begun, seen=frozenset({bake.key}))
    assert "“Bake” (30 min) alone" in why(of, 20, progress=seen).sentences()[0]


def test_every_way_of_a_step_is_told() -> None:
    oven = Way("in the oven", "Bake.", minutes(18), "unattended", (Use("oven", 1, 200),))
    ways = {"uses": (Use("ring"),), "ways": (oven,)}
    of = menu(dish("lamb", step("lamb", "cook", 11, "watched", **ways)))
    assert why(of, 10).sentences()[0] == (
        f"“Cook” (11 min, or 18 min in the oven) alone takes too long for service at {at(10)}."
    )


def test_what_is_not_proven_smallest_is_told_so() -> None:
    found = why(ONE_PAN, 34)
    assert found.collision is not None
    unsure = replace(found, collision=replace(found.collision, smallest=False))
    assert unsure.sentences()[0].startswith(
        f"These collide, though some may not matter: service at {at(34)}; one pan; "
    )
    row = why(menu(BEANS), 80).collision
    assert row is not None
    told = collision_told(replace(row, smallest=False))
    assert told.endswith(f" for service at {at(80)}, though some may not matter.")


def test_without_a_wanted_time_it_tells_why_not_sooner() -> None:
    found = why(ONE_PAN, None)
    assert found.service_at == NOW + 35 * 60
    assert found.wanted_at == NOW + 34 * 60


def test_no_reason_where_there_is_none() -> None:
    assert why_late(ONE_PAN, HOME, now=NOW, wanted_at=NOW + 35 * 60) is None
    blender = menu(dish("soup", step("soup", "blend", 2, uses=(Use("blender"),))))
    assert why_late(blender, HOME, now=NOW, wanted_at=None) is None


def test_what_may_be_broken_off_is_in_time() -> None:
    # Chopped 0-10 and 15-25, with the stirring at its mark in between.
    peas = dish("peas", step("peas", "stir", 5, "hands-on"))
    kale = dish("kale", step("kale", "chop", 20, "hands-on", pausable=True))
    of = menu(peas, kale, marks=(Mark("peas/stir", 600),))
    assert why_late(of, HOME, now=NOW, wanted_at=NOW + 25 * 60) is None
    assert why(of, 24).service_at == NOW + 25 * 60


def test_a_time_that_is_past_has_no_collision() -> None:
    found = why(ONE_PAN, -5)
    assert found.collision is None
    assert found.helps
    assert not found.in_time


def test_a_mark_is_a_reason() -> None:
    of = replace(ONE_COOK, marks=(Mark("kale/chop the kale", 900),))
    assert why(of, 14).sentences()[0] == (
        f"These collide: service at {at(14)}; the mark of “chop the kale” at 15 min."
    )


def test_of_many_short_steps_only_the_longest_are_named() -> None:
    names = "abcdefgh"
    steps = [
        step("soup", name, n + 1, follows=after(f"soup/{names[n - 1]}") if n else ())
        for n, name in enumerate(names)
    ]
    # 1 + 2 + ... + 8 = 36 min.
    assert why(menu(dish("soup", *steps)), 35.5).sentences()[0] == (
        "One after the other, “e” (5 min), “f” (6 min), “g” (7 min), “h” (8 min) and "
        f"four shorter steps (10 min in all) take too long for service at {at(35.5)}."
    )


def test_a_plan_that_proves_its_service_the_soonest_is_believed(monkeypatch) -> None:
    planned = soonest(Case(ONE_PAN, HOME, NOW, NOW + 34 * 60), 10)
    assert planned is not None
    assert planned.soonest
    before = why_late(ONE_PAN, HOME, now=NOW, wanted_at=NOW + 34 * 60, limit_s=20)
    monkeypatch.setattr("scheduling.reasons.soonest", lambda *_: None)
    found = why_late(ONE_PAN, HOME, now=NOW, wanted_at=NOW + 34 * 60, planned=planned, limit_s=20)
    assert found == before
    # One that is not proven is not, and nothing else is found now.
    unproven = replace(planned, levels=())
    assert (
        why_late(ONE_PAN, HOME, now=NOW, wanted_at=NOW + 34 * 60, planned=unproven, limit_s=20)
        is None
    )
