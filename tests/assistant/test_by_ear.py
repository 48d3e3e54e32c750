"""By ear nothing that is told needs a look; how long a step takes and what is hot is told."""

import re
from dataclasses import replace

import pytest
from kitchen import dish, kitchen

from assistant.answer import ANSWERS
from assistant.by_ear import by_ear, without_looks
from assistant.calls import calls
from assistant.meaning import Ref
from assistant.said import noted
from domain.aloud import aloud
from domain.cookbook import load_dish, names
from domain.menu import Dish
from scheduling.events import Event

# Written apart from the ones that the code leaves out.
LOOKING = re.compile(
    r"\b(?:look|looks|looking|see(?! to)|sees|seen|watch|colour|color|clear|clears|cloudy|gold|"
    r"golden|pale|pink|glossy|glassy|shine|shines|shining|shimmer|shimmers|opaque|translucent|browned|"
    r"browning|bright|visible|show|shows|reads?)\b|\b(?:until|deep|is|are|turns?|goes) brown\b",
    re.I,
)
TOLD = ("what_now", "what_next", "what_after_next", "whats_on_heat", "what_waiting", "where_was_i")
OF_A_STEP = ("step_again", "step_in_full", "done_cue", "time_left", "where_is")
MENUS = ("harbour-supper", "bench-half-hour", "boat-shed-supper", "ridge-sunday")


def heard(here):
    scene = here.scene()
    return replace(scene, live=by_ear(scene.live))


@pytest.mark.parametrize("menu", MENUS)
def test_no_answer_and_no_call_of_a_whole_cook_needs_a_look(menu):
    here, said = kitchen(menu, by_ear=True), {}
    for _ in range(400):
        scene = heard(here)
        made = calls(scene.live, said, by_ear=True)
        said = noted(said, made, scene.now)
        words = [call.spoken for call in made]
        running = scene.live.running()[:1]
        ref = [Ref(step.name, "step", step.key, 1.0, 0, 0) for step in running]
        for intent in (*TOLD, *(OF_A_STEP if ref else ())):
            named = ref if intent in OF_A_STEP else ()
            reply = ANSWERS[intent](here.understood(intent, "", *named), scene)
            words += [reply.spoken, reply.more]
        shows = [mark.shown for mark in scene.menu.marks]  # what the audience is to see
        for text in words:
            for show in shows:
                text = text.replace(show, "")
            assert not LOOKING.search(text), text
        if not go_on(here):
            return


def go_on(here) -> bool:
    """All that is asked for is done at its time; whether anything is left."""
    view = here.live.snapshot()
    for step in view.running():
        still = here.live.snapshot().state.steps[step.key].status == "running"
        if still and view.planned_end_of(step.key) <= view.now:
            here.live.apply(Event(view.now, "finished", step.key))
    here.clock.advance(30)
    here.live.tick()
    return not all(s.over for s in here.live.snapshot().state.steps.values())


@pytest.mark.parametrize("name", names("dishes"))
def test_no_word_of_any_step_of_a_sample_dish_needs_a_look(name):
    told = by_ear_dish(load_dish(name))
    for step in told.steps:
        gate = step.gate.shown if step.gate else ""
        cues = (step.cues.sight, step.cues.sound, step.cues.smell, step.cues.feel)
        for text in (step.say, step.more, gate, *step.cautions, *cues):
            assert not LOOKING.search(text), (step.key, text)


def by_ear_dish(one: Dish) -> Dish:
    here = kitchen()
    view = here.live.snapshot()
    menu = replace(view.menu, dishes=(one,))
    return by_ear(replace(view, menu=menu, steps={s.key: s for s in one.steps})).menu.dishes[0]


@pytest.mark.parametrize("menu", MENUS)
def test_by_ear_every_step_is_done_as_the_plan_does_it(menu):
    view = kitchen(menu).live.snapshot()
    told = by_ear(view).steps
    assert told.keys() == view.steps.keys()
    for key, step in view.steps.items():
        as_planned = (step.name, step.uses, step.duration, step.attention)
        heard_of = told[key]
        assert (heard_of.name, heard_of.uses, heard_of.duration, heard_of.attention) == as_planned


def test_a_step_begins_with_its_hazards_and_ends_with_its_length():
    step = heard(kitchen()).live.steps["chicken-and-fennel/put the chicken in"]
    assert aloud(step.say.replace("⟦one minute¦1 min⟧", "one minute"), "uk") == (
        "Careful: Hot oven. Stand aside as you open the door. "
        "Put the chicken tray on the upper shelf. About one minute."
    )


def test_where_there_is_only_a_look_the_time_is_told():
    here = kitchen(by_ear=True)
    dressing = Ref("the dressing", "step", "radish-leaves/mix the dressing", 1.0, 0, 0)
    reply = ANSWERS["done_cue"](here.understood("done_cue", "", dressing), heard(here))
    assert reply.shown == "Go by the time: it takes 2 min. There is no other sign."


def test_a_gate_that_is_a_look_is_told_by_another_sense_or_by_its_time():
    here = kitchen("bench-half-hour", by_ear=True)
    gate = heard(here).live.steps["salmon-brown-butter/heat the frying pan"].gate
    assert "shimmer" not in gate.shown
    assert "the oil shimmers" in gate.says  # it may still be reported so


def test_notice_of_a_step_tells_its_length_and_its_hazards():
    here = kitchen(by_ear=True)
    here.until("chicken-and-fennel/season the chicken")
    begins = here.live.snapshot().planned_end_of("chicken-and-fennel/season the chicken")
    assert begins > here.clock.now()
    told = heard(here).live.steps["chicken-and-fennel/put the chicken in"].cautions
    assert told == ("Hot oven. Stand aside as you open the door.",)


def test_done_of_a_dish_is_what_it_is_like_on_the_heat():
    here = kitchen(by_ear=True)
    reply = ANSWERS["done_cue"](
        here.understood("done_cue", "", dish("white-rice", "the rice")), heard(here)
    )
    assert reply.spoken == "From bubbling to a faint ticking, then silence."


@pytest.mark.parametrize(
    ("written", "told"),
    [
        ("The chicken roasts until the skin is deep gold.", "The chicken roasts."),
        (
            "Rinse the rice in cold water until the water runs nearly clear, then drain it.",
            "Rinse the rice in cold water, then drain it.",
        ),
        ("The pears bake until a knife slides in.", "The pears bake until a knife slides in."),
        ("Drain the green beans. The colour is bright.", "Drain the green beans."),
        ("It must read seventy-four degrees.", "It must reach seventy-four degrees."),
    ],
)
def test_clauses_that_only_a_look_can_follow_are_left_out(written, told):
    assert without_looks(written) == told
