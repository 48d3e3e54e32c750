"""Food-safety figures against the published ones. The source stands beside each value.

Food Code numbers were read in state and county adoptions and earlier editions of the same
sections; that the 2022 edition keeps them is assumed.
"""

import pytest

from domain.advice import advice
from domain.ingredients import allergens, shows
from domain.tables import caution, limits, limits_on, safe_temperature_index, storage

FSIS = "USDA FSIS, Safe Minimum Internal Temperature Chart"
CODE = "FDA Food Code 2022"
FSA = "UK Food Standards Agency, Cooking your food"
DAY, WEEK, MONTH, YEAR = 86400, 604800, 2592000, 31536000


@pytest.mark.parametrize(
    ("food", "fahrenheit", "celsius", "hold_s", "rest_s", "source"),
    [
        ("chicken", 165, 73.9, 0, 0, FSIS),
        ("ground turkey", 165, 73.9, 0, 0, FSIS),
        ("stuffing", 165, 73.9, 0, 0, FSIS),
        ("ground beef", 160, 71.1, 0, 0, FSIS),
        ("ground lamb", 160, 71.1, 0, 0, FSIS),
        ("pork chop", 145, 62.8, 0, 180, FSIS),
        ("steak", 145, 62.8, 0, 180, FSIS),
        ("fresh ham", 145, 62.8, 0, 180, FSIS),
        ("cooked ham", 165, 73.9, 0, 0, FSIS),
        ("egg dish", 160, 71.1, 0, 0, FSIS),
        ("salmon", 145, 62.8, 0, 0, FSIS),
        ("casserole", 165, 73.9, 0, 0, FSIS),
        ("fish", 145, 63, 15, 0, f"{CODE}, 3-401.11(A)(1)"),
        ("ground beef", 155, 68, 17, 0, f"{CODE}, 3-401.11(A)(2)"),
        ("chicken", 165, 74, 0, 0, f"{CODE}, 3-401.11(A)(3)"),
        ("vegetable held hot", 135, 57, 0, 0, f"{CODE}, 3-401.13"),
        ("microwaved meat", 165, 74, 0, 0, f"{CODE}, 3-401.12"),
        ("chicken", 158, 70, 120, 0, FSA),
    ],
)
def test_inside_temperatures(food, fahrenheit, celsius, hold_s, rest_s, source):
    rows = [row for match in safe_temperature_index().within(food) for row in match.rows]
    found = {(row.fahrenheit, row.celsius, row.hold_s, row.rest_s) for row in rows}
    assert (fahrenheit, celsius, hold_s, rest_s) in found, source


def test_holds_that_are_as_good():
    rows = safe_temperature_index().within("ground beef")[0].rows
    pairs = {(hold.celsius, hold.hold_s) for row in rows for hold in row.equals}
    assert {(75, 30), (80, 6)} <= pairs, f"{FSA}, equivalents of 70 °C for 2 min"
    # "under 1 s" is told as one second
    assert {(63, 180), (66, 60), (70, 1)} <= pairs, f"{CODE}, 3-401.11(A)(2), equivalents"


@pytest.mark.parametrize(
    ("topic", "celsius", "fahrenheit", "within_h", "source"),
    [
        ("cool", 21, 70, 2, f"{CODE}, 3-501.14(A)(1)"),
        ("cool", 5, 41, 6, f"{CODE}, 3-501.14(A)(2)"),
        ("cool", 5, 41, 4, f"{CODE}, 3-501.14(B)"),
        ("hot holding", 57, 135, None, f"{CODE}, 3-501.16(A)(1)"),
        ("cold holding", 5, 41, None, f"{CODE}, 3-501.16(A)(2)"),
        ("hot holding", 63, 145, None, "Food Hygiene (Wales) Regulations 2006, Sch. 4 para 6"),
        ("cold holding", 8, 46, None, "SI 2013/2996, Sch. 4 para 2"),
        ("fridge", 4, 40, None, "foodsafety.gov, Cold Food Storage Chart"),
        ("fridge", 5, 41, None, "FSA, by way of NI Business Info: 0 to 5 °C"),
        ("freezer", -18, 0, None, "foodsafety.gov, Cold Food Storage Chart"),
        ("reheat", 74, 165, 2, f"{CODE}, 3-403.11(A),(D)"),
        ("reheat", 73.9, 165, None, f"{FSIS}, leftovers"),
        ("reheat", 82, 180, None, "Food Hygiene (Scotland) Regulations 2006"),
        ("reheat in a microwave", 74, 165, None, f"{CODE}, 3-403.11(B)"),
        ("hot holding", 57, 135, None, f"{CODE}, 3-403.11(C), packed by a factory"),
        ("danger zone", 60, 140, None, "USDA FSIS, Danger Zone fact sheet"),
    ],
)
def test_limits(topic, celsius, fahrenheit, within_h, source):
    rows = [row for row in limits() if row.topic == topic]
    within = within_h and within_h * 3600
    assert (celsius, fahrenheit, within) in [
        (row.celsius, row.fahrenheit, row.within_s) for row in rows
    ], source


def test_time_out_of_the_fridge():
    (row,) = limits_on("left out", "stew")  # USDA FSIS, Danger Zone fact sheet
    assert (row.within_s, row.within_warm_s) == (2 * 3600, 3600)
    assert (row.above_celsius, row.above_fahrenheit) == (32, 90)


def test_time_without_power():
    # foodsafety.gov, Food Safety During Power Outage
    (row,) = limits_on("power cut", "milk")
    assert row.within_s == 4 * 3600
    assert "48 hours" in row.rule
    assert "half-full one 24" in row.rule


@pytest.mark.parametrize(
    ("table", "name", "figures", "source"),
    [
        ("eating", "honey for a baby", ["under one year"],
         "NHS, Foods to avoid giving babies and young children: honey"),
        ("eating", "whole nuts for a small child", ["under five", "six months"],
         "NHS, Foods to avoid giving babies and young children: whole nuts and peanuts"),
        ("eating", "raw kidney beans", ["four or five", "5 hours", "30 minutes"],
         "FDA, Bad Bug Book, 2nd ed. 2012, natural toxins"),
        ("eating", "mould on hard cheese", ["an inch (2.5 cm)"],
         "USDA FSIS, Molds on Food, Are They Dangerous?: hard cheese, firm vegetables"),
        ("eating", "dropped on the floor", ["under a second"],
         "Miranda and Schaffner 2016, Applied and Environmental Microbiology 82(21)"),
        ("eating", "reheated more than once", ["only once"], f"{FSA}: reheating"),
        ("handling", "hands", ["20 seconds"], "CDC, Four Steps to Food Safety, Clean"),
        ("handling", "boards and knives", ["1 tablespoon", "US gallon (3.8 litres)"],
         "foodsafety.gov, Don't Compromise, Clean and Sanitize, 2006"),
        ("handling", "thawing", ["every 30 minutes"], "USDA FSIS, The Big Thaw"),
        ("handling", "cooking from frozen", ["half as long again"], "USDA FSIS, The Big Thaw"),
        ("handling", "an ill cook", ["48 hours"], "FSA, Food Handlers, Fitness to Work, 2009"),
    ],
)  # fmt: skip
def test_advice_by_wording(table, name, figures, source):
    row = next(row for row in advice(table) if row.name == name)
    said = " ".join((row.say, row.then, row.more))
    assert [figure for figure in figures if figure not in said] == [], source
    assert row.source.status == "published"


def test_raw_fish_only_once_frozen():
    (row,) = {row for row in safe_temperature_index().within("salmon")[0].rows if row.note}
    assert "7 days at −20 °C" in row.note  # FDA Food Code 2022, 3-402.11(A)(1)


def test_rice():
    assert limits_on("cool", "cooked rice")[0].within_s == 3600  # FSA rice advice
    assert "once only" in limits_on("reheat", "cooked rice")[0].rule  # FSA rice advice
    kept = [row.fridge.high_s for row in storage() if row.food == "cooked rice"]
    assert kept == [DAY, 6 * DAY]  # FSA rice advice; FoodKeeper (178)


@pytest.mark.parametrize(
    ("food", "fridge", "freezer", "source"),
    [
        ("leftovers", (2 * DAY, 2 * DAY), None, FSA),
        ("leftovers with meat, fish or egg", (3 * DAY, 4 * DAY), (2 * MONTH, 3 * MONTH),
         "FoodKeeper (173)"),
        ("leftovers without meat, fish or egg", (3 * DAY, 4 * DAY), (MONTH, 2 * MONTH),
         "FoodKeeper (174)"),
        ("soups and stews", (3 * DAY, 4 * DAY), (2 * MONTH, 3 * MONTH), "FoodKeeper (193)"),
        ("cooked rice", (4 * DAY, 6 * DAY), (6 * MONTH, 6 * MONTH), "FoodKeeper (178)"),
        ("cooked quinoa", (6 * DAY, 7 * DAY), (6 * MONTH, 12 * MONTH), "FoodKeeper (426)"),
        ("cooked pasta", (3 * DAY, 5 * DAY), (MONTH, 2 * MONTH), "FoodKeeper (177)"),
        ("cooked fish", (3 * DAY, 4 * DAY), (MONTH, 2 * MONTH), "FoodKeeper (148)"),
        ("hard-boiled eggs", (WEEK, WEEK), None, "FoodKeeper (23)"),
        ("eggs in the shell", (3 * WEEK, 5 * WEEK), None, "FoodKeeper (21)"),
        ("home-made hummus", (7 * DAY, 7 * DAY), None, "FoodKeeper (183)"),
        ("opened tomato purée", (5 * DAY, 5 * DAY), (2 * MONTH, 3 * MONTH), "FoodKeeper (501)"),
        ("opened tin of coconut milk", (4 * DAY, 4 * DAY), (3 * MONTH, 3 * MONTH),
         "FoodKeeper (602)"),
        ("tofu", (WEEK, WEEK), (5 * MONTH, 5 * MONTH), "FoodKeeper (168)"),
        ("raw whole chicken", (DAY, 2 * DAY), (12 * MONTH, 12 * MONTH), "FoodKeeper (113)"),
        ("raw chicken parts", (DAY, 2 * DAY), (9 * MONTH, 9 * MONTH), "FoodKeeper (117)"),
        ("raw minced meat or poultry", (DAY, 2 * DAY), (3 * MONTH, 4 * MONTH),
         "FoodKeeper (43, 115)"),
        ("raw fatty fish", (DAY, 3 * DAY), (2 * MONTH, 3 * MONTH), "foodsafety.gov chart"),
        ("raw lean fish", (DAY, 3 * DAY), (4 * MONTH, 8 * MONTH), "foodsafety.gov chart"),
        ("casseroles", (3 * DAY, 4 * DAY), None, "FoodKeeper (194)"),
        ("pizza leftovers", (3 * DAY, 4 * DAY), (MONTH, 2 * MONTH), "FoodKeeper (175); chart"),
        ("eggs in the shell", (3 * WEEK, 5 * WEEK), None, "FoodKeeper (21); chart"),
        ("raw egg whites or yolks", (2 * DAY, 4 * DAY), (12 * MONTH, 12 * MONTH),
         "FoodKeeper (22)"),
        ("egg, chicken, ham, tuna and macaroni salads", (3 * DAY, 4 * DAY), None,
         "foodsafety.gov chart"),
        ("home-made stock", (3 * DAY, 4 * DAY), (2 * MONTH, 3 * MONTH), "FoodKeeper (484)"),
        ("home-made fresh salsa", (5 * DAY, 7 * DAY), (12 * MONTH, 12 * MONTH),
         "FoodKeeper (645)"),
        ("opened tin of beans or other low-acid food", (3 * DAY, 4 * DAY), None,
         "FoodKeeper (372)"),
        ("opened tin of tomatoes, fruit or other high-acid food", (5 * DAY, 7 * DAY), None,
         "FoodKeeper (373)"),
        ("opened almond, soya or rice drink", (7 * DAY, 10 * DAY), None,
         "FoodKeeper (427, 408)"),
        ("opened tahini", (3 * WEEK, 3 * WEEK), None, "FoodKeeper (416)"),
        ("raw beef, pork and lamb steaks and roasts", (3 * DAY, 5 * DAY),
         (4 * MONTH, 12 * MONTH), "FoodKeeper (40); chart"),
        ("raw fatty fish", (DAY, 2 * DAY), (2 * MONTH, 3 * MONTH), "FoodKeeper (146)"),
        ("raw lean fish", (DAY, 2 * DAY), (6 * MONTH, 8 * MONTH), "FoodKeeper (144)"),
        ("opened hard cheese", (3 * WEEK, 4 * WEEK), (6 * MONTH, 6 * MONTH), "FoodKeeper (3)"),
        ("leaf lettuce and spinach", (3 * DAY, 7 * DAY), None, "FoodKeeper (291)"),
        ("opened bag of salad leaves", (2 * DAY, 2 * DAY), None, "FoodKeeper (415)"),
        ("kale", (3 * DAY, 5 * DAY), (8 * MONTH, 12 * MONTH), "FoodKeeper (423)"),
        ("carrots and parsnips", (2 * WEEK, 3 * WEEK), (10 * MONTH, 12 * MONTH),
         "FoodKeeper (279)"),
        ("ready-to-eat food made on the premises", (7 * DAY, 7 * DAY), None,
         f"{CODE}, 3-501.17(A)"),
        ("butter", (MONTH, 2 * MONTH), (6 * MONTH, 9 * MONTH), "FoodKeeper (1)"),
        ("fresh herbs", (7 * DAY, 10 * DAY), (MONTH, 2 * MONTH), "FoodKeeper (288)"),
        ("courgettes and summer squash", (4 * DAY, 5 * DAY), (10 * MONTH, 12 * MONTH),
         "FoodKeeper (302)"),
    ],
)  # fmt: skip
def test_storage(food, fridge, freezer, source):
    rows = [row for row in storage() if row.food == food]
    spans = [
        tuple(time and (time.low_s, time.high_s) for time in (row.fridge, row.freezer))
        for row in rows
    ]
    assert (fridge, freezer) in spans, source


@pytest.mark.parametrize(
    "food",
    [
        "hard-boiled eggs",  # FoodKeeper (23)
        "eggs in the shell",  # FoodKeeper (21); foodsafety.gov chart
        "egg, chicken, ham, tuna and macaroni salads",  # foodsafety.gov chart
        "home-made hummus",  # FoodKeeper (183)
        "leaf lettuce and spinach",  # FoodKeeper (291)
    ],
)
def test_what_is_not_to_be_frozen(food):
    assert all(row.freezer_no for row in storage() if row.food == food)


def test_pantry():
    spans = {row.food: row.pantry.high_s for row in storage() if row.pantry}
    assert spans["dried lentils"] == YEAR  # FoodKeeper (334)
    assert spans["dried beans"] == 2 * YEAR  # FoodKeeper (333)
    assert spans["uncooked white rice"] == 2 * YEAR  # FoodKeeper (338)
    assert spans["uncooked brown rice"] == YEAR  # FoodKeeper (339)


def test_dried_kidney_beans():
    said = caution("dried kidney beans").say  # FDA, Bad Bug Book, 2nd ed. 2012, natural toxins
    for figure in ("5 hours", "30 minutes", "four or five raw beans", "slow cooker"):
        assert figure in said


def test_the_laws_allergens():
    us = {row.name for row in allergens() if row.us}  # 21 USC 321(qq), FALCPA 2004, FASTER 2021
    assert us == {
        "milk", "eggs", "fish", "crustaceans", "tree nuts", "peanuts", "wheat", "soya", "sesame",
    }  # fmt: skip
    eu = {row.name for row in allergens() if row.eu}  # Regulation (EU) 1169/2011, Annex II
    assert eu == us - {"wheat"} | {
        "gluten", "celery", "mustard", "sulphites", "lupin", "molluscs",
    }  # fmt: skip
    assert len(eu) == 14


# The eight nuts that Annex II names, and the twelve of the FDA's list of January 2025
# (Questions and Answers Regarding Food Allergens, edition 5), which leaves out coconut.
NUTS = ["almond", "hazelnut", "walnut", "cashew", "pecan", "Brazil nut", "pistachio", "macadamia"]


@pytest.mark.parametrize("nut", [*NUTS, "pine nut"])
def test_nuts(nut):
    assert "tree nuts" in shows(nut).contains


def test_coconut_is_no_tree_nut_to_either_law():
    assert "tree nuts" not in shows("coconut").contains


@pytest.mark.parametrize("cereal", ["wheat", "spelt", "khorasan", "rye", "barley", "oats"])
def test_cereals_with_gluten(cereal):
    assert "gluten" in shows(cereal).contains  # Regulation (EU) 1169/2011, Annex II, item 1
