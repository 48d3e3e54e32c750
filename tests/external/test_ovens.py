"""Oven words against published charts. The source stands beside each."""

import pytest

from domain.cooking import oven_words

NSW = "NSW Healthy Kids, Conversion chart"
NIST = "Encyclopedia citing NIST, Oven temperatures"


@pytest.mark.parametrize(
    ("word", "celsius", "fahrenheit", "source"),
    [
        ("cool", (90, 90), (200, 200), NIST),
        ("very slow", (120, 120), (250, 250), NSW),
        ("slow", (140, 150), (275, 300), NSW),
        ("slow", (150, 160), (300, 325), NIST),
        ("moderately slow", (160, 160), (325, 325), NSW),
        ("moderately slow", (160, 180), (325, 350), NIST),
        ("moderate", (180, 180), (350, 350), NSW),
        ("moderate", (180, 190), (350, 375), NIST),
        ("moderately hot", (190, 190), (375, 375), NSW),
        ("moderately hot", (190, 200), (375, 400), NIST),
        ("hot", (200, 230), (400, 450), NSW),
        ("hot", (200, 230), (400, 450), NIST),
        ("very hot", (250, 260), (475, 500), NSW),
        ("very hot", (230, 260), (450, 500), NIST),
    ],
)
def test_oven_words(word, celsius, fahrenheit, source):
    rows = [(row.word, row.celsius, row.fahrenheit) for row in oven_words()]
    assert (word, celsius, fahrenheit) in rows, source
