"""Turns of talk: emergencies first, questions asked back, corrections, follow-ups."""

from dataclasses import replace

import pytest
from kitchen import ingredient, kitchen

from assistant.amounts import find_amounts
from assistant.conversation import Conversation
from assistant.meaning import Ref, Understood
from scheduling.events import Event


class Talk:
    """A conversation whose understanding is written down beforehand."""

    def __init__(self, **settings):
        self.here = kitchen(**settings)
        self.meanings = {}
        self.conversation = Conversation(
            lambda text, scene: self.meanings.get(text) or unheard(text), lambda intent: intent
        )

    def means(self, text, intent, *refs: Ref, confidence=1.0, by="server", guesses=()):
        amounts = find_amounts(text, "metric", self.here.now())
        self.meanings[text] = Understood(
            text, intent, confidence, amounts, refs, by=by, guesses=guesses
        )

    def say(self, text, heard=None, addressed=False):
        """heard: how surely the words were overheard; None for what is typed."""
        sure, to_us = (1.0, True) if heard is None else (heard, addressed)
        reply = self.conversation.turn(text, self.here.scene(), sure, to_us)
        stored = [self.here.live.apply(event).event.seq for event in reply.events]
        self.conversation.stored(tuple(stored))
        return reply


def unheard(text):
    return Understood(text, None, 0.1, find_amounts(text), by="server")


@pytest.fixture
def talk():
    return Talk()


def test_an_emergency_is_answered_and_the_plan_waits(talk):
    talk.means("the pan is on fire", "emergency_fire", by="emergency")
    reply = talk.say("the pan is on fire")
    assert reply.spoken.startswith("Do not move the pan, and never use water.")
    assert "your local emergency number" in reply.spoken
    assert "Source:" in reply.shown
    assert reply.stops
    assert reply.hush_s == float("inf")
    assert talk.here.live.snapshot().state.paused_at is not None


def test_the_emergency_number_is_the_cooks_own():
    talk = Talk(emergency_number="112")
    talk.means("i burnt my hand", "emergency_burn", by="emergency")
    assert "Call 112." in talk.say("i burnt my hand").spoken


def test_not_understood_asks_back_with_the_likely_meanings(talk):
    talk.means("hm", None, confidence=0.4, guesses=(("when_eat", 0.3), ("what_time", 0.2)))
    reply = talk.say("hm")
    assert reply.spoken == "Did you mean: when_eat or what_time?"
    assert talk.say("the second").shown == "It is 18:00."


def test_yes_takes_the_only_choice_and_no_drops_it(talk):
    talk.means("hm", None, guesses=(("what_time", 0.3),))
    talk.means("yes", "yes")
    talk.means("no", "no")
    talk.say("hm")
    assert talk.say("yes").shown == "It is 18:00."
    talk.say("hm")
    assert talk.say("no").spoken == "All right."
    assert talk.say("yes").spoken == "Right."


def test_what_changes_the_plan_is_confirmed_when_poorly_heard(talk):
    talk.here.until("chicken-and-fennel/cut the fennel")
    talk.means("done", "report_done")
    talk.means("yes", "yes")
    before = talk.here.live.events()
    assert talk.say("done", heard=0.3).spoken == "Did you mean: report_done?"
    assert [e for e in talk.here.live.events()[len(before) :] if e.by == "cook"] == []
    assert talk.say("yes").spoken == "Done: cut the fennel."


def test_a_question_is_answered_however_poorly_heard(talk):
    talk.means("what time is it", "what_time")
    assert talk.say("what time is it", heard=0.3).shown == "It is 18:00."


def test_make_it_ten_corrects_the_last_amount_and_takes_its_events_back(talk):
    talk.means("set a timer for fifteen minutes", "timer_set")
    talk.means("no, make it ten", "correction")
    talk.say("set a timer for fifteen minutes")
    assert talk.say("no, make it ten").shown == "Timer set: 10 min, until 18:10."
    timers = talk.here.live.snapshot().state.timers
    assert [timer.ends_at - talk.here.clock.now() for timer in timers.values()] == [600]


def test_the_other_one_corrects_the_thing(talk):
    rice, salt = ingredient("long-grain white rice"), ingredient("water")
    talk.means("how much rice", "how_much", rice)
    talk.means("no, water", "correction", salt)
    talk.say("how much rice")
    assert "water" in talk.say("no, water").shown


def test_and_in_cups_follows_an_amount(talk):
    talk.means("how much rice", "how_much", ingredient("long-grain white rice"))
    talk.say("how much rice")
    # 300 g / 185 g a US cup × 236.588 ml / 250 ml a metric cup = 1.53
    assert "≈ 1½ cups" in talk.say("and in cups?").shown


def test_what_about_asks_the_same_of_another_thing(talk):
    talk.means("how much rice", "how_much", ingredient("long-grain white rice"))
    talk.means("what about the honey", None, ingredient("honey"), confidence=0.2)
    talk.say("how much rice")
    assert "honey" in talk.say("what about the honey").shown


def test_context_fades(talk):
    talk.means("how much rice", "how_much", ingredient("long-grain white rice"))
    talk.say("how much rice")
    talk.here.wait(4)
    assert "=" not in talk.say("and in cups?").shown


def test_again_repeats_and_more_goes_on(talk):
    talk.means("when do we eat", "when_eat")
    talk.means("again", "again")
    talk.means("more", "more")
    first = talk.say("when do we eat")
    assert talk.say("again").shown == first.shown
    assert talk.say("more").shown == first.more_shown
    assert first.more_shown


def test_stop_changes_no_step_and_quiets_a_ringing_timer(talk):
    talk.means("stop", "stop", by="exact")
    now = talk.here.clock.now()
    talk.here.live.apply(Event(now, "timer_set", "rice timer", now + 60))
    talk.here.wait(2)
    before = talk.here.live.snapshot().state.steps
    reply = talk.say("stop")
    assert reply.stops
    assert reply.spoken == ""
    assert talk.here.live.snapshot().state.timers["rice timer"].acknowledged
    assert talk.here.live.snapshot().state.steps == before


def test_unheard_words_do_nothing(talk):
    before = talk.here.live.snapshot().state
    assert talk.say("zxcvb qwerty").spoken == "Sorry, I did not understand that."
    assert replace(talk.here.live.snapshot().state, last_seq=before.last_seq) == before


def test_what_was_hardly_heard_is_left_alone_unless_it_was_expected(talk):
    talk.here.until("chicken-and-fennel/cut the fennel")
    talk.means("set a timer for two minutes", "timer_set", confidence=0.7)
    talk.means("done", "report_done", by="exact")
    talk.means("stop", "stop", by="exact")
    talk.means("fire", "emergency_fire", by="emergency")
    assert talk.say("set a timer for two minutes", heard=0.2).spoken == ""
    assert talk.say("hm", heard=0.2).spoken == ""
    assert talk.say("done", heard=0.15).spoken == "Did you mean: report_done?"
    assert talk.say("done", heard=0.05).spoken == ""
    assert talk.say("stop", heard=0.05).stops
    assert talk.say("fire", heard=0.03).spoken.startswith("Do not move the pan")


def test_talk_that_means_nothing_is_left_alone_unless_it_is_said_to_us(talk):
    talk.means("hm", None, guesses=(("what_time", 0.3), ("when_eat", 0.3)))
    assert talk.say("lovely weather", heard=0.97).spoken == ""
    assert talk.say("hm", heard=0.97).spoken == ""
    assert talk.say("lovely weather", heard=0.1, addressed=True).spoken.startswith("Sorry")
    talk.say("hm")
    assert talk.say("lovely weather", heard=0.97).spoken == ""  # and our question still waits
    assert talk.say("the first", heard=0.6).shown == "It is 18:00."


def test_a_question_of_ours_waits_no_longer_than_what_was_talked_of(talk):
    talk.means("hm", None, guesses=(("what_time", 0.3),))
    talk.means("yes", "yes")
    talk.say("hm")
    talk.here.wait(4)
    assert talk.say("yes").spoken == "Right."


def test_overheard_a_follow_up_is_still_one(talk):
    talk.means("how much rice", "how_much", ingredient("long-grain white rice"))
    talk.say("how much rice", heard=0.9)
    assert "cups" in talk.say("and in cups", heard=0.9).shown


def test_what_would_change_anything_must_be_surely_meant(talk):
    talk.here.until("chicken-and-fennel/cut the fennel")
    talk.means("to avoid this", "skip_step", confidence=0.54)
    talk.means("the chimes", "sounds_on", confidence=0.5)
    talk.means("over and done with", "report_done", confidence=0.54)
    for words in ("to avoid this", "the chimes", "over and done with"):
        reply = talk.say(words, heard=0.97)
        assert (reply.spoken, reply.events, reply.settings) == ("", (), ())
    assert talk.say("over and done with").events or talk.conversation.asks
    talk.means("what comes then", "what_next", confidence=0.54)
    assert talk.say("what comes then", heard=0.97).spoken  # a question costs only an answer


def test_answers_and_corrections_to_nobody_are_left_alone_when_overheard(talk):
    for words, intent in (("i'm", "yes"), ("thyme", "correction"), ("ta", "thanks")):
        talk.means(words, intent, by="exact")
        assert talk.say(words, heard=0.9).spoken == ""
        assert talk.say(words, heard=0.9, addressed=True).spoken
        talk.here.wait(4)  # the context fades


def test_hearing_and_understanding_must_be_sure_together(talk):
    talk.means("when what", "when_eat", confidence=0.5)
    assert talk.say("when what", heard=0.6).spoken == ""  # 0.3 in all
    assert talk.say("when what", heard=0.8).spoken.startswith("We eat at")
    talk.means("when do we eat", "when_eat", confidence=1.0, by="exact")
    assert talk.say("when do we eat", heard=0.05).spoken == ""
    assert talk.say("when do we eat", heard=0.28).spoken.startswith("We eat at")


def test_words_of_danger_count_however_badly_heard_and_guesses_at_danger_less(talk):
    talk.means("the pan is on fire", "emergency_fire", by="emergency")
    assert talk.say("the pan is on fire", heard=0.03).stops
    guessed = "there are two flame version"
    talk.means(guessed, "emergency_fire", confidence=0.9, by="emergency")
    talk.here.wait(4)
    assert talk.say(guessed, heard=0.2).spoken == ""
    assert talk.say(guessed, heard=0.4).spoken.startswith("If something is on fire: do not move")
    assert talk.say(guessed, heard=0.2, addressed=True).stops


BADLY_HEARD = "my sister can't breathe disagree pan are throat"


@pytest.fixture
def perhaps(talk):
    """A talk in which an emergency was hardly heard, and advice was given in case it is one."""
    talk.means(BADLY_HEARD, "emergency_choking", by="emergency")
    talk.means("yes", "yes", by="exact")
    reply = talk.say(BADLY_HEARD, heard=0.1)
    assert reply.spoken.startswith("If someone is choking: tell them to cough. If they cannot")
    assert not reply.stops
    assert reply.hush_s is None
    assert reply.events == ()
    return talk


@pytest.mark.parametrize("again", ["yes", "help me", BADLY_HEARD])
def test_an_emergency_that_is_confirmed_or_told_again_is_answered_in_full(perhaps, again):
    reply = perhaps.say(again, heard=0.1)
    assert reply.spoken.startswith("Tell them to cough.")
    assert "Call your local emergency number" in reply.spoken
    assert reply.stops
    assert reply.events[0].kind == "paused"


def test_an_emergency_that_is_none_leaves_the_plan_alone(perhaps):
    perhaps.means("no", "no", by="exact")
    assert perhaps.say("no", heard=0.5).spoken == "All right."
    assert not perhaps.say("yes", heard=0.5).stops


def test_a_gates_own_words_report_it_whatever_the_intent_model_makes_of_them(talk):
    talk.here.until("white-rice/bring the rice to the boil")
    talk.means("the rice is boiling", "what_next", confidence=0.4)
    assert talk.say("the rice is boiling").spoken == "Good: the rice boils."


def test_make_it_twelve_reaches_back_over_a_question(talk):
    talk.means("set a timer for ten minutes", "timer_set")
    talk.means("how long left on it", "timer_left")
    talk.means("make it twelve", "correction")
    talk.say("set a timer for ten minutes")
    talk.say("how long left on it")
    assert talk.say("make it twelve").shown == "Timer set: 12 min, until 18:12."


def test_what_about_keeps_the_unit_asked_for(talk):
    talk.means("how much rice", "how_much", ingredient("long-grain white rice"))
    talk.means("what about the beans", None, ingredient("green beans"), confidence=0.2)
    talk.say("how much rice")
    talk.say("and in ounces")
    assert talk.say("what about the beans").shown == "500 g of green beans = 17.6 oz"


def test_there_is_nothing_to_correct_in_a_yes(talk):
    talk.means("yes", "yes")
    talk.means("no, the other tray", "correction", ingredient("salt"))
    talk.say("yes")
    assert talk.say("no, the other tray").spoken == "Sorry. Tell me again what you meant."


def test_a_bare_amount_answers_what_was_asked_for(talk):
    rice = Ref("rice", "dish", "white-rice", 1.0, 8, 12)
    talk.means("what if the rice takes longer", "what_if", rice)
    asked = talk.meanings["what if the rice takes longer"]
    talk.meanings[asked.text] = replace(asked, supposed="report_longer")
    talk.means("about ten minutes", "report_longer")
    talk.means("ten minutes for the walnuts", "timer_set")
    before = talk.here.live.snapshot().timetable
    assert talk.say(asked.text).spoken == "How much longer?"
    assert "we still eat at" in talk.say("about ten minutes").shown
    assert talk.here.live.snapshot().timetable == before
    assert talk.say(asked.text).spoken == "How much longer?"
    assert talk.say("ten minutes for the walnuts").shown.startswith("Walnuts timer set")
    assert talk.say("about ten minutes").events  # asked for no longer: what is in hand


def test_how_much_longer_is_of_the_step_it_was_asked_of(talk):
    talk.means("it needs longer", "report_longer")
    talk.means("five minutes", "timer_set")
    assert talk.say("it needs longer").spoken == "How much longer?"
    (event,) = talk.say("five minutes").events
    assert (event.kind, event.subject, event.value) == ("longer", "oven/heat the oven to 200", 300)


def test_how_many_and_when_are_answered_by_an_amount(talk):
    talk.means("more people are coming", "change_servings")
    talk.means("six", "how_much")
    talk.means("move dinner", "move_service")
    talk.means("half past seven", "what_time")
    assert talk.say("more people are coming").spoken == "For how many people?"
    assert talk.say("six").events[0].kind == "servings_changed"
    assert talk.say("move dinner").spoken == "To what time?"
    assert talk.say("half past seven").shown == "Service moves to 19:30."


@pytest.mark.parametrize(
    ("text", "intent"),
    [("set a timer for 1e309 minutes", "timer_set"), ("1/0 cups", "convert"), ("3/0", "pace")],
)
def test_what_is_no_number_is_said_to_be_none_and_changes_nothing(talk, text, intent):
    talk.means(text, intent)
    reply = talk.say(text)
    assert reply.spoken == "That is no amount I can work with."
    assert reply.events == ()


def test_numbers_that_are_some_are_heeded(talk):
    for text in ("1/2 of 300 g", "1e3 g in pounds", "10/05"):
        talk.means(text, "convert")
        assert "no amount" not in talk.say(text).spoken


def test_a_correction_reaches_back_past_a_greeting_to_the_amount(talk):
    talk.means("set a timer for fifty minutes", "timer_set")
    talk.means("hello", "greet")
    talk.means("I said fifteen", "correction")
    talk.say("set a timer for fifty minutes")
    talk.say("hello")
    assert talk.say("I said fifteen").shown == "Timer set: 15 min, until 18:15."
    timers = talk.here.live.snapshot().state.timers
    assert [round(timer.ends_at - talk.here.clock.now()) for timer in timers.values()] == [900]


def test_a_correction_keeps_the_timers_name(talk):
    talk.means("set a timer for fifty minutes called eggs", "timer_set")
    talk.means("no, fifteen not fifty", "correction")
    talk.say("set a timer for fifty minutes called eggs")
    assert talk.say("no, fifteen not fifty").shown == "Eggs timer set: 15 min, until 18:15."


def test_a_correction_may_be_corrected(talk):
    talk.means("set a timer for fifty minutes", "timer_set")
    talk.means("I said fifteen", "correction")
    talk.means("I said sixteen", "correction")
    talk.say("set a timer for fifty minutes")
    talk.say("I said fifteen")
    assert talk.say("I said sixteen").shown == "Timer set: 16 min, until 18:16."
    assert len(talk.here.live.snapshot().state.timers) == 1


CHICKEN = Ref("the chicken", "dish", "chicken-and-fennel", 1.0, 0, 0)


def test_of_things_that_are_denied_the_other_holds(talk):
    rice = Ref("the rice", "dish", "white-rice", 1.0, 7, 15)
    beans = Ref("the beans", "dish", "green-beans", 1.0, 17, 26)
    talk.means("how long left on the chicken", "time_left", CHICKEN)
    talk.means("no not the rice, the beans", "correction", rice, beans)
    talk.say("how long left on the chicken")
    assert talk.say("no not the rice, the beans").shown.startswith("Not begun: trim the beans")


def test_the_other_tray_is_the_other_dish_on_one(talk):
    talk.means("how long left on the chicken", "time_left", CHICKEN)
    talk.means("no, the other tray", "correction")
    talk.means("no, the other dish", "correction")
    talk.say("how long left on the chicken")
    # the supper has one tray, and one baking dish
    assert talk.say("no, the other tray").shown == "I know of no other tray. Which do you mean?"
    assert talk.say("no, the other dish").shown.startswith("Not begun: halve the pears")


def test_the_other_timer_is_the_one_that_was_not_meant(talk):
    eggs = Ref("egg timer", "timer", "egg timer", 1.0, 9, 18)
    talk.means("ten minute egg timer", "timer_set")
    talk.means("five minute bread timer", "timer_set")
    talk.means("how long on the egg timer", "timer_left", eggs)
    talk.means("no, the other one", "correction")
    talk.say("ten minute egg timer")
    talk.say("five minute bread timer")
    talk.say("how long on the egg timer")
    assert talk.say("no, the other one").shown == "Timers: bread timer, 5 min."


def test_a_correction_of_nothing_asks_about_its_thing(talk):
    talk.means("I meant the rice", "correction", Ref("the rice", "dish", "white-rice", 1.0, 8, 16))
    assert talk.say("I meant the rice").shown == "What about the rice?"
