"""What will be called is known beforehand, in the very words in which it is then called."""

from kitchen import kitchen

from assistant.calls import calls
from assistant.foreseen import foreseen
from assistant.said import noted
from scheduling.events import Event, ends_by_clock
from scheduling.queries import finished, service_at


def test_nearly_every_call_of_a_whole_cook_was_foreseen_in_its_own_words():
    here, said = kitchen(), {}
    expected: set[str] = set()
    called: set[str] = set()
    while not finished(view := here.live.snapshot()):
        made = calls(view, said)
        called |= {call.spoken for call in made if not call.repeats}
        said = noted(said, made, view.now)
        expected |= set(foreseen(view, said, 60.0))
        _obey(here)
        here.clock.advance(5)
        here.live.tick()
    assert len(called) > 15
    assert len(called & expected) > 0.8 * len(called)


def _obey(here):
    """The cook reports what only a cook can tell, when it is due."""
    view = here.live.snapshot()
    for step in view.running():
        if not ends_by_clock(step) and view.planned_end_of(step.key) <= view.now:
            here.live.apply(Event(view.now, "finished", step.key))
            return


def test_a_timer_is_foreseen_within_its_last_minute_only():
    here = kitchen()
    here.ask("timer_set", "set a timer for three minutes")
    name = next(iter(here.live.snapshot().state.timers))
    up = f"{name.capitalize()} is up."

    def within(seconds):
        return up in [words.capitalize() for words in foreseen(here.live.snapshot(), {}, seconds)]

    assert (within(60), within(200)) == (False, True)
    here.wait(2.5)
    assert within(60)


def test_looking_ahead_changes_nothing():
    here = kitchen()
    before = here.live.events()
    foreseen(here.live.snapshot(), {}, 600)
    assert here.live.events() == before


def test_a_reminder_is_foreseen_at_a_moment_of_the_cook():
    here = kitchen()
    here.ask("remind_me", "remind me ten minutes before we eat to light the candles")
    while service_at(view := here.live.snapshot()) - 10 * 60 - view.now > 40:
        _obey(here)
        here.clock.advance(5)
        here.live.tick()
    assert "Reminder: light the candles." in foreseen(here.live.snapshot(), {}, 60)
    assert "Reminder: light the candles." not in foreseen(here.live.snapshot(), {}, 20)


def test_stand_by_is_foreseen_also_where_the_plan_is_behind_the_mark():
    here = kitchen("bench-half-hour")  # its first mark is 11 minutes after the start
    here.clock.advance(9.5 * 60)  # nothing is reported: the first step is still in hand
    here.live.tick()

    def stand_by(within_s):
        told = foreseen(here.live.snapshot(), {}, within_s)
        return [words for words in told if words.startswith("Stand by: ")]

    assert stand_by(20) == []
    (words,) = stand_by(31)
    assert "behind it" in words
