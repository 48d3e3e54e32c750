"""Stand by, go, and the marks of a demonstration; which calls are still to come."""

from kitchen import SIX, kitchen

from assistant.calls import calls
from assistant.said import noted

TOMATOES = "crumb-tomatoes/put the tomatoes in"  # promised 11 minutes after the start


def called(here, said):
    made = calls(here.scene().live, said)
    return [call.shown for call in made], noted(said, made, here.clock.now())


def test_stand_by_comes_a_minute_before_the_mark_and_go_with_it():
    here, said, heard = kitchen("bench-half-hour"), {}, []
    for _ in range(11 * 12 + 6):
        here.clock.advance(5)
        here.live.tick()
        view = here.live.snapshot()
        for step in view.running():
            if step.attention == "hands-on" and view.planned_end_of(step.key) <= view.now:
                here.ask("report_done", "done")
        words, said = called(here, said)
        heard += [(here.clock.now() - SIX, word) for word in words]
    stand_by = [(at, word) for at, word in heard if word.startswith("Stand by: put the tomatoes")]
    assert [at for at, _ in stand_by] == [600.0]  # 11 minutes less one
    assert stand_by[0][1].endswith("Tilt the tray so that all can see the crumbs.")
    assert not any("In 1 min: put the tomatoes in" in word for _, word in heard)
    go = [(at, word) for at, word in heard if word.startswith("Go: ")]
    assert [at for at, _ in go] == [660.0]
    assert go[0][1].endswith("Tilt the tray so that all can see the crumbs.")


def test_a_plan_that_is_behind_the_mark_is_told_at_stand_by():
    here = kitchen("bench-half-hour")
    here.clock.advance(10 * 60)  # nothing is reported: the first step is still in hand
    here.live.tick()
    words, _ = called(here, {})
    (stand_by,) = [word for word in words if word.startswith("Stand by")]
    assert "behind it" in stand_by


def test_calls_ahead_are_stand_by_go_and_service():
    told = kitchen("bench-half-hour").ask("calls_ahead", "which calls are to come").shown
    assert "18:10  stand by for “put the tomatoes in”" in told
    assert "18:11  go, “put the tomatoes in”" in told
    assert "18:23  stand by for “turn the salmon”" in told
    assert "18:30  service" in told
