"""One live cook: what fronts are told, and what goes wrong inside without ending it."""

import threading

import pytest
from fronts import SIX, running_cook, told

from assistant import answer, cook
from assistant.learning import Learned, Offer, accepted
from domain.errors import FileProblem


@pytest.fixture
def running():
    with running_cook() as running:
        yield running


def kinds(messages, *wanted):
    return [message for message in messages if message.kind in wanted]


def test_every_front_is_told_the_same_in_order(running):
    here, there = told(running), told(running)
    running.say("what now")
    running.request.clock.advance(200)
    running.cook.tick()
    assert here == there
    assert [message.seq for message in here] == sorted({message.seq for message in here})
    assert {message.kind for message in here} == {"heard", "reply", "call"}


def test_a_detached_front_is_told_nothing_more(running):
    messages = []
    running.cook.attach(messages.append)()
    running.say("what now")
    assert messages == []


def test_an_answer_that_raises_is_logged_and_the_cook_goes_on(running, monkeypatch, caplog):
    def broken(ask, scene):
        raise ZeroDivisionError("no such luck")

    monkeypatch.setitem(answer.ANSWERS, "what_now", broken)
    messages = told(running)
    reply = running.say("what now")
    assert "went wrong" in reply.spoken
    assert "what now" not in caplog.text  # what was said is nobody's business
    assert "no such luck" in caplog.text
    assert [message.shown for message in kinds(messages, "reply")] == [reply.shown]
    assert running.say("what's next").spoken.startswith("At ")


def test_a_failing_tick_is_told_once_until_it_works_again(running, monkeypatch, caplog):
    messages = told(running)
    works = cook.calls

    def broken(*_, **__):
        raise RuntimeError("calls are off")

    monkeypatch.setattr(cook, "calls", broken)
    for _ in range(3):
        running.cook.tick()
    assert len(kinds(messages, "notice")) == 1
    assert "calls are off" in caplog.text
    monkeypatch.setattr(cook, "calls", works)
    assert running.cook.tick()
    monkeypatch.setattr(cook, "calls", broken)
    running.cook.tick()
    assert len(kinds(messages, "notice")) == 2


def test_what_cannot_be_stored_has_not_happened_and_is_said(running, monkeypatch):
    def full(events):
        raise FileProblem("the.sqlite", 0, "", "cannot be used (disk full)", "see to the disk")

    running.request.clock.advance(400)
    running.cook.tick()
    before = running.cook.view().state
    with monkeypatch.context() as patched:
        patched.setattr(running.cook.live._store, "append", full)
        assert "disk full" in running.say("set a timer for five minutes").shown
        assert running.cook.view().state == before
    assert "disk" not in running.say("set a timer for five minutes").shown
    assert running.cook.view().state.timers


def test_stop_silences_while_another_turn_still_holds_the_cook(running):
    messages = told(running)
    silent, let_go = threading.Event(), threading.Event()

    def hold():
        with running.cook._lock:
            let_go.wait(5)

    running.cook.attach(lambda message: silent.set() if message.kind == "stop" else None)
    holder = threading.Thread(target=hold)
    holder.start()
    speaker = threading.Thread(target=running.say, args=("stop",))
    speaker.start()
    try:
        assert silent.wait(2)
        assert kinds(messages, "heard") == []
    finally:
        let_go.set()
        holder.join()
        speaker.join()


def test_an_emergency_silences_then_comes_first(running):
    messages = told(running)
    running.say("the pan is on fire")
    assert messages[0].kind == "stop"
    (reply,) = kinds(messages, "reply")
    assert reply.urgency == "emergency"
    running.request.clock.advance(900)
    assert running.cook.tick() == []


def test_thanks_ends_the_repeating_of_a_call(running):
    running.say("set a timer for one minute")

    def rings(seconds):
        found = []
        for _ in range(seconds // 5):
            running.request.clock.advance(5)
            found += [call for call in running.cook.tick() if "timer" in call.key]
        return len(found)

    assert rings(55) == 0
    assert rings(60) > 1  # it insists
    running.say("thank you")
    assert rings(60) == 0


def test_service_told_in_the_greeting_is_no_news_later():
    with running_cook(wanted_at=SIX + 600) as running:
        assert running.cook.view().timetable.late_s > 600
        news = [call for call in running.cook.tick() if call.urgency == "news"]
        assert news == []


def test_own_times_taken_are_kept_but_not_under_a_simulated_clock(running, own_folders):
    offer = Offer("white-rice/rinse the rice", 120, 240, 200, 300, 5, 4)
    kept = []
    running.cook.learned = Learned((offer,))
    running.say("use my times")
    assert running.cook.learned == Learned((), (offer,))
    assert accepted() == ()  # the clock is simulated
    running.cook._save_learned = lambda before, after: kept.append((before, after))
    running.say("back to the written times")
    assert kept == [(Learned((), (offer,)), Learned((offer,)))]


def test_own_times_that_cannot_be_kept_are_not_taken(running):
    def full(before, after):
        raise FileProblem("learned.json", 0, "", "cannot be written", "see to the disk")

    offer = Offer("white-rice/rinse the rice", 120, 240, 200, 300, 5, 4)
    running.cook.learned, running.cook._save_learned = Learned((offer,)), full
    assert "cannot be written" in running.say("use my times").shown
    assert running.cook.learned == Learned((offer,))


def test_asking_what_if_stores_nothing(running):
    before = running.cook.live.events()
    reply = running.say("what if the rice takes ten minutes longer")
    assert "eat at" in reply.shown
    assert running.cook.live.events() == before


def test_a_dish_is_added_on_yes(running):
    assert running.say("add warm plums to the menu").question is not None
    assert running.say("yes").shown.startswith("Added: Warm plums")
    assert "warm-plums" in {dish.name for dish in running.menu.dishes}


def test_while_quiet_timers_and_heat_still_call_and_what_began_is_told_afterwards(running):
    running.say("set a timer for one minute")
    running.say("be quiet for ten minutes")
    called = []
    for _ in range(119):
        running.request.clock.advance(5)
        called += running.cook.tick()
    assert {call.key.split(":")[0] for call in called if call.urgency != "heat"} == {"timer"}
    running.request.clock.advance(10)
    after = [call.spoken for call in running.cook.tick()]
    assert any(words.startswith("Cut the fennel") for words in after)  # begun nine minutes ago


def test_to_whisper_is_to_speak_softer_and_quiet_time_stays(running):
    running.say("be quiet for ten minutes")
    volume = running.cook.settings.volume
    running.say("could you whisper")
    assert running.cook.settings.volume < volume
    running.request.clock.advance(200)
    assert [call for call in running.cook.tick() if call.urgency != "heat"] == []


def test_a_latest_start_and_how_long_a_timer_should_be_are_understood_in_these_words(running):
    told = running.say("what's the latest I can put the rice on").shown
    assert " at the latest, or we eat later: start the rice." in told
    running.say("set a timer for five minutes")
    running.request.clock.advance(120)
    told = running.say("the timer for the eggs should be seven minutes").shown
    assert told == "Timer, 7 min: 5 min left, until 18:07."


def test_every_message_is_spoken_in_words_and_shown_in_figures(running):
    messages = told(running)
    running.say("how much rice do we need")
    running.request.clock.advance(30)
    running.cook.tick()
    assert all(not any(c.isdigit() for c in message.spoken) for message in messages[1:])
    assert any(any(c.isdigit() for c in message.shown) for message in messages[1:])
