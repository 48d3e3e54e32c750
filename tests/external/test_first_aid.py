"""What is said in an emergency, against the advice it comes from. The source stands beside it."""

import pytest

from assistant.emergencies import emergencies, told


@pytest.mark.parametrize(
    ("said", "words", "source"),
    [
        ("the pan is on fire", ["Do not move the pan", "never use water", "without leaning"],
         "Northern Ireland and Bedfordshire Fire and Rescue Services, chip pan advice"),
        ("smoke is coming out of the oven", ["door closed", "turn the oven off", "fire service"],
         "National Fire Protection Association (NFPA), cooking safety tip sheet"),
        ("I scalded my hand", ["twenty minutes", "No ice, no butter, no cream"],
         "Kent Fire and Rescue Service, cool, call, cover"),
        ("he is choking", ["up to five sharp blows", "up to five abdominal thrusts"],
         "adult choking sequence of the resuscitation councils"),
        ("she is having an allergic reaction", ["auto-injector at once", "anaphylaxis", "flat"],
         "Anaphylaxis UK; UK medicines regulator, 2023"),
        ("I smell gas", ["no switches", "no phone", "everyone out"],
         "Pennsylvania Public Utility Commission, gas emergencies"),
    ],
)  # fmt: skip
def test_first_words(said, words, source):
    emergency = told(said)
    assert emergency is not None
    assert [word for word in words if word not in emergency.say] == [], source
    assert emergency.status == "published"


def test_second_injector_after_five_minutes():
    row = next(row for row in emergencies() if row.intent == "emergency_allergy")
    assert "five minutes" in row.more  # Anaphylaxis UK


@pytest.mark.parametrize(
    "said",
    [
        "the smoked salmon goes in the oven",
        "is smoked paprika okay in the oven dish",
        "fire up the oven",
    ],
)
def test_smoked_food_is_no_fire(said):
    assert told(said) is None
