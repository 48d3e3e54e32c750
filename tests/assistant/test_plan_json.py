"""A plan as JSON."""

from dataclasses import replace
from datetime import datetime

from sheets import KITCHEN, MENU, MINUTE, SERVICE, SIX, timetable

from assistant.plan_json import as_json
from assistant.wiring import request


def told(**more):
    return as_json(
        replace(request(["white-rice"], None, None, "18:00"), menu=MENU, kitchen=KITCHEN),
        replace(timetable(), **more),
        (),
    )


def moment(iso: str) -> float:
    return datetime.fromisoformat(iso).timestamp()


def test_each_dish_has_its_own_serving_moment():
    assert {name: moment(at) for name, at in told()["serve"].items()} == {
        "barley": SERVICE,
        "roots": SERVICE,
    }
    later = told(serve_at={"barley": SERVICE, "roots": SERVICE + 600})["serve"]
    assert moment(later["roots"]) == SERVICE + 600


def test_a_step_has_its_way_and_its_breaks():
    slots = timetable().slots
    cut = replace(
        slots["roots/cut"], way="by machine", breaks=((SIX + 3 * MINUTE, SIX + 5 * MINUTE),)
    )
    steps = {step["step"]: step for step in told(slots=slots | {cut.key: cut})["steps"]}
    assert steps["roots/cut"]["way"] == "by machine"
    (pause,) = steps["roots/cut"]["breaks"]
    assert (moment(pause["from"]), moment(pause["until"])) == (SIX + 180, SIX + 300)
    assert (steps["barley/rinse"]["way"], steps["barley/rinse"]["breaks"]) == ("", [])
