"""Kitchen files."""

from pathlib import Path

import pytest

from domain.errors import FileProblem
from domain.kitchen import Kitchen, Oven
from domain.kitchen_file import read_kitchen

BROKEN = {
    "no cook": ("title: K\nrings: 2\n", ":1: cooks: is missing; add “cooks: ...”"),
    "cooks left empty": (
        "title: K\nrings: 2\ncooks: []\n",
        ":3: cooks: names no cook; name at least one, such as “[cook]”",
    ),
    "rings below none": (
        "title: K\nrings: -1\ncooks: [me]\n",
        ":2: rings: -1 is out of range; write a whole number from 0 to 20",
    ),
    "oven without shelves": (
        "title: K\nrings: 2\ncooks: [me]\novens:\n  main: {heats: 9 min, changes: 1 min}\n",
        ":5: ovens.main.shelves: is missing; add “shelves: ...”",
    ),
    "ring as equipment": (
        "title: K\nrings: 2\ncooks: [me]\nequipment: {ring: 4}\n",
        ":4: equipment.ring: is not equipment; count it under “rings”",
    ),
    "none of a thing": (
        "title: K\nrings: 2\ncooks: [me]\nequipment: {pan: 0}\n",
        ":4: equipment.pan: 0 is out of range; write a whole number from 1 to 100",
    ),
    "unknown units": (
        "title: K\nrings: 2\ncooks: [me]\nunits: metrik\n",
        ":4: units: “metrik” is not known; did you mean “metric”?",
    ),
    "unknown field": (
        "title: K\nrngs: 2\ncooks: [me]\n",
        ":2: rngs: is not a field known here; did you mean “rings”?",
    ),
}


@pytest.mark.parametrize("case", BROKEN)
def test_a_broken_kitchen_says_where_what_and_how(case: str, tmp_path: Path) -> None:
    text, message = BROKEN[case]
    path = tmp_path / "k.yaml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(FileProblem) as caught:
        read_kitchen(path)
    assert str(caught.value) == f"{path}{message}"


def test_every_field_arrives(tmp_path: Path) -> None:
    path = tmp_path / "barge.yaml"
    path.write_text(
        "title: Barge\nrings: 2\ncooks: [Ann, Bo]\nequipment: {pan: 3}\nunits: us\n"
        "altitude: 100 ft\novens:\n  main: {shelves: 2, heats: 10 min, changes: 50 s, fan: yes}\n",
        encoding="utf-8",
    )
    assert read_kitchen(path) == Kitchen(
        name="barge",
        title="Barge",
        rings=2,
        ovens=(Oven("main", shelves=2, heat_s=600, change_s=50, fan=True),),
        equipment={"pan": 3},
        cooks=("Ann", "Bo"),
        units="us",
        altitude_m=30.5,
    )
