"""Substitutions against the lists they come from. The source stands beside each row."""

import pytest

from domain.swaps import Part, swap_index

E = "University of Illinois Extension, Substitutions sheet"
PRACTICE = "common practice: lists agree, no published standard"
DIFFERS = "common practice: lists differ"
TSP, TBSP, CUP = "us_teaspoon", "us_tablespoon", "us_cup"


@pytest.mark.parametrize(
    ("food", "of", "use", "source"),
    [
        ("egg", (1, ""), [(1, TBSP), (3, TBSP)], f"{E}: flax or chia seed and water"),
        ("egg", (1, ""), [(0.25, CUP)], f"{E}: mashed fruit or silken tofu"),
        ("egg", (1, ""), [(0.5, TSP), (1, TBSP), (1, TBSP)], f"{E}: baking powder and vinegar"),
        ("egg", (1, ""), [(1, TSP), (1.5, TBSP), (1.5, TBSP)], f"{E}: baking powder and oil"),
        ("egg", (1, ""), [(1, TBSP), (3, TBSP), (0.5, TSP)], f"{E}: flax and baking powder"),
        ("egg", (1, ""), [(2, "")], f"{E}: two egg whites"),
        ("buttermilk", (1, CUP), [(1, TBSP), (1, CUP)], f"{E}: acid, and milk to make 1 cup"),
        ("milk", (1, CUP), [(0.5, CUP), (0.5, CUP)], f"{E}: evaporated milk and water"),
        ("milk", (1, CUP), [(1 / 3, CUP), (1, CUP)], f"{E}: instant nonfat dry milk and water"),
        ("baking powder", (1, TSP), [(0.25, TSP), (0.625, TSP)], f"{E}: soda, cream of tartar"),
        ("baking powder", (1, TSP), [(0.25, TSP), (0.5, TSP)], PRACTICE),
        ("cornstarch", (1, TBSP), [(2, TBSP)], PRACTICE),
        ("flour", (1, TBSP), [(0.5, TBSP)], PRACTICE),
        ("fresh herbs", (1, TBSP), [(1, TSP)], PRACTICE),
        ("honey", (1, CUP), [(1.25, CUP), (0.25, CUP)], PRACTICE),
        ("sugar", (1, CUP), [(0.75, CUP)], PRACTICE),
        ("lemon juice", (1, TSP), [(0.5, TSP)], DIFFERS),
        ("cake flour", (1, CUP), [(14, TBSP), (2, TBSP)], PRACTICE),
        ("self-rising flour", (1, CUP), [(1, CUP), (1.5, TSP), (0.5, TSP)], DIFFERS),
        ("brown sugar", (1, CUP), [(1, CUP), (1, TBSP)], DIFFERS),
        ("sour cream", (1, CUP), [(1, CUP)], PRACTICE),
        ("heavy cream", (1, CUP), [(0.75, CUP), (1 / 3, CUP)], PRACTICE),
        ("creme fraiche", (1, CUP), [(1, CUP)], PRACTICE),
        ("butter", (1, CUP), [(0.75, CUP)], DIFFERS),
        ("milk", (1, CUP), [(1, CUP)], f"{PRACTICE}: plant milk"),
        ("egg", (1, ""), [(0.25, CUP)], f"{E}: liquid egg substitute"),
        ("unsweetened chocolate", (1, "ounce"), [(3, TBSP), (1, TBSP)], PRACTICE),
        ("garlic clove", (1, ""), [(0.125, TSP)], PRACTICE),
        ("onion", (1, ""), [(1, TSP)], PRACTICE),
        ("broth", (1, CUP), [(1, ""), (1, CUP)], PRACTICE),
        ("tomato sauce", (2, CUP), [(0.75, CUP), (1, CUP)], PRACTICE),
    ],
)
def test_ratios(food, of, use, source):
    def amounts(parts: tuple[Part, ...]) -> list[tuple[float, str]]:
        return [(pytest.approx(part.value), part.unit) for part in parts]

    rows = [row for match in swap_index().within(food) for row in match.rows]
    assert (of, use) in [((row.of.value, row.of.unit), amounts(row.use)) for row in rows], source
