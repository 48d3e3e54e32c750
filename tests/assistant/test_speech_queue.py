"""The speech queue, with a player that keeps what it is given and a clock moved by hand."""

import threading
import time
from collections.abc import Callable, Iterable, Iterator

from hypothesis import given
from hypothesis import strategies as st

from assistant.chimes import Chime, sound_of
from assistant.speak import clauses
from assistant.speech_queue import SpeechQueue, Urgency
from domain.errors import KitchenError

_RATE_HZ = 1000
_CLAUSE_MS = 400


class Voice:
    """Each clause is 400 ms of sound whose samples are the clause's number in `said`."""

    rate_hz = _RATE_HZ
    speed = 1.0
    volume = 1.0

    def __init__(self) -> None:
        self.said: list[str] = []
        self.prepared: list[str] = []
        self.sample: int | None = None
        self.fails = False

    def say(self, sentence: str) -> Iterator[bytes]:
        if self.fails:
            raise KitchenError("no voice is left")
        for clause in clauses(sentence):
            self.said.append(clause)
            yield self.sound(len(self.said))

    def sound(self, nth: int) -> bytes:
        sample = nth if self.sample is None else self.sample
        return sample.to_bytes(2, "little") * (_RATE_HZ * _CLAUSE_MS // 1000)

    def prepare(self, sentence: str) -> None:
        self.prepared.append(sentence)


class Kitchen:
    """A queue with its surroundings. on_piece runs before each piece of sound is played."""

    def __init__(self, on_piece: Callable[[int], None] = lambda played: None) -> None:
        self.time = 100.0
        self.played_ms: list[int] = []
        self.played: list[bytes] = []
        self.troubles: list[str] = []
        self.card_fails = False
        self.on_piece = on_piece
        self.voice = Voice()
        self.queue = SpeechQueue(self.voice, self._play, lambda: self.time, self.troubles.append)

    def _play(self, pcm: Iterable[bytes], rate_hz: int) -> None:
        if self.card_fails:
            raise KitchenError("this machine has no loudspeaker")
        self.played_ms.append(0)
        self.played.append(b"")
        for piece in pcm:
            self.on_piece(self.played_ms[-1])
            self.played_ms[-1] += len(piece) * 1000 // 2 // rate_hz
            self.played[-1] += piece

    def speak_all(self) -> list[str]:
        while self.queue.speak_next():
            pass
        return self.voice.said


def test_the_urgent_goes_first_and_replies_stay_in_order() -> None:
    kitchen = Kitchen()
    kitchen.queue.say("The rice is two minutes ahead.", Urgency.NEWS)
    kitchen.queue.say("Drain the beans now.", Urgency.DUE)
    kitchen.queue.say("About fourteen ounces.", Urgency.REPLY)
    kitchen.queue.say("Take the oil off the heat.", Urgency.HEAT)
    kitchen.queue.say("Half past seven.", Urgency.REPLY)
    assert kitchen.speak_all() == [
        "Take the oil off the heat.",
        "About fourteen ounces.",
        "Half past seven.",
        "Drain the beans now.",
        "The rice is two minutes ahead.",
    ]


@given(st.lists(st.tuples(st.sampled_from(Urgency), st.integers(0, 99)), max_size=12))
def test_everything_asked_for_is_said_once_and_never_before_something_more_urgent(
    asked: list[tuple[Urgency, int]],
) -> None:
    kitchen = Kitchen()
    order = {f"w{urgency}x{number}.": urgency for urgency, number in asked}
    for words, urgency in order.items():
        kitchen.queue.say(words, urgency)
    said = [word for clause in kitchen.speak_all() for word in clause.split() if word[0] == "w"]
    assert sorted(said) == sorted(order)
    assert [order[word] for word in said] == sorted(order.values())


def test_calls_that_fall_together_are_one_saying() -> None:
    kitchen = Kitchen()
    for words in ("Drain the beans.", "Turn the bread.", "Drain the beans."):
        kitchen.queue.say(words, Urgency.DUE)
    assert kitchen.queue.speak_next()
    assert kitchen.voice.said == ["Two things.", "Drain the beans.", "Turn the bread."]
    assert not kitchen.queue.speak_next()


def test_a_later_call_about_the_same_takes_the_place_of_the_earlier() -> None:
    kitchen = Kitchen()
    kitchen.queue.say("The rice is done in one minute.", Urgency.SOON, key="rice")
    kitchen.queue.say("The rice is done.", Urgency.DUE, key="rice")
    assert kitchen.speak_all() == ["The rice is done."]


def test_stop_silences_within_100_ms_of_sound_and_forgets_what_waits() -> None:
    def stop_at_200_ms(played: int) -> None:
        if played == 200 and len(kitchen.played_ms) == 1:
            kitchen.queue.stop()

    kitchen = Kitchen(stop_at_200_ms)
    kitchen.queue.say("Put the lid on and turn the ring down, then wait.", Urgency.REPLY)
    kitchen.queue.say("Chop the chives.", Urgency.NEWS)
    assert kitchen.queue.speak_next()
    assert 200 <= kitchen.played_ms[0] <= 300
    assert not kitchen.queue.speak_next()
    kitchen.queue.say("Yes.", Urgency.REPLY)
    assert kitchen.queue.speak_next()
    assert kitchen.played_ms[1] == _CLAUSE_MS


def test_nothing_starts_over_the_cook_and_calls_wait_for_a_gap() -> None:
    kitchen = Kitchen()
    kitchen.queue.cook_speaks(True)
    kitchen.queue.say("Drain the beans.", Urgency.DUE)
    kitchen.time += 10
    assert not kitchen.queue.speak_next()
    kitchen.queue.cook_speaks(False)
    kitchen.time += 0.1
    assert not kitchen.queue.speak_next()
    kitchen.queue.say("About fourteen ounces.", Urgency.REPLY)
    assert kitchen.queue.speak_next()  # the cook has asked, and waits
    kitchen.time += 1
    assert kitchen.speak_all() == ["About fourteen ounces.", "Drain the beans."]


def test_all_wait_for_a_cook_who_goes_on_speaking_and_heat_waits_less_than_calls() -> None:
    waited = {}
    for urgency in Urgency:
        kitchen = Kitchen()
        kitchen.queue.cook_speaks(True)
        kitchen.queue.say("Take the oil off the heat.", urgency)
        while not kitchen.queue.speak_next():
            kitchen.time += 1
        waited[urgency] = kitchen.time - 100
    assert min(waited.values()) >= 1
    assert waited[Urgency.HEAT] <= 5
    assert waited[Urgency.HEAT] < waited[Urgency.DUE] < waited[Urgency.NEWS] <= 60


def test_heat_breaks_off_other_speech_which_then_starts_again() -> None:
    def heat_at_200_ms(played: int) -> None:
        if played == 200 and len(kitchen.played_ms) == 1:
            kitchen.queue.say("Take the oil off the heat.", Urgency.HEAT)

    kitchen = Kitchen(heat_at_200_ms)
    kitchen.queue.say("First chop the chives finely. Then rinse the rice.", Urgency.NEWS)
    kitchen.speak_all()
    assert kitchen.played_ms == [_CLAUSE_MS, _CLAUSE_MS, 2 * _CLAUSE_MS]
    assert kitchen.voice.said[-3:] == [
        "Take the oil off the heat.",
        "First chop the chives finely.",
        "Then rinse the rice.",
    ]


def test_heat_during_the_last_clause_does_not_make_it_said_twice() -> None:
    def heat_in_the_last_clause(played: int) -> None:
        if played == _CLAUSE_MS + 200:
            kitchen.queue.say("Take the oil off the heat.", Urgency.HEAT)

    kitchen = Kitchen(heat_in_the_last_clause)
    kitchen.queue.say("First chop the chives finely. Then rinse the rice.", Urgency.NEWS)
    kitchen.speak_all()
    assert kitchen.voice.said.count("Then rinse the rice.") == 1


def test_a_new_clause_waits_while_the_cook_speaks() -> None:
    first_clause_over = threading.Event()

    def speak_up_at_200_ms(played: int) -> None:
        if played == 200:
            kitchen.queue.cook_speaks(True)
            first_clause_over.set()

    kitchen = Kitchen(speak_up_at_200_ms)
    kitchen.queue.say("First chop the chives finely. Then rinse the rice.", Urgency.REPLY)
    speaking = threading.Thread(target=kitchen.queue.speak_next)
    speaking.start()
    first_clause_over.wait(5)
    speaking.join(0.2)
    assert speaking.is_alive()
    assert kitchen.played_ms == [_CLAUSE_MS]
    kitchen.queue.cook_speaks(False)
    speaking.join(5)
    assert kitchen.played_ms == [2 * _CLAUSE_MS]


def test_a_failing_sound_card_is_told_once_and_again_after_it_worked() -> None:
    kitchen = Kitchen()
    told = []
    for fails in (True, True, False, True):
        kitchen.card_fails = fails
        kitchen.queue.say("Drain the beans.", Urgency.DUE)
        kitchen.queue.speak_next()
        told.append(len(kitchen.troubles))
    assert told == [1, 1, 1, 2]
    assert not kitchen.queue.speaking


def test_without_a_voice_nothing_waits() -> None:
    played: list[int] = []
    queue = SpeechQueue(None, lambda pcm, rate_hz: played.append(1), lambda: 0.0, print)
    queue.say("Drain the beans.", Urgency.DUE)
    assert not queue.speak_next()
    assert not played


def test_run_says_what_comes_and_ends_on_close() -> None:
    said = threading.Event()
    kitchen = Kitchen(lambda played: said.set())
    thread = threading.Thread(target=kitchen.queue.run)
    thread.start()
    kitchen.queue.say("Drain the beans.", Urgency.REPLY)
    assert said.wait(5)
    kitchen.queue.close()
    thread.join(5)
    assert not thread.is_alive()


def test_a_chime_comes_before_the_words_in_the_same_turn() -> None:
    kitchen = Kitchen()
    kitchen.queue.say("Chop the chives.", Urgency.NEWS)
    kitchen.queue.say("Take the oil off the heat.", Urgency.HEAT, chime=Chime.ON_THE_HEAT)
    kitchen.speak_all()
    chime_ms = len(sound_of(Chime.ON_THE_HEAT, _RATE_HZ, 1.0)) * 1000 // 2 // _RATE_HZ
    assert kitchen.played_ms == [chime_ms + _CLAUSE_MS, _CLAUSE_MS]
    first = kitchen.played[0]
    assert first.startswith(sound_of(Chime.ON_THE_HEAT, _RATE_HZ, 1.0))
    assert first.endswith(kitchen.voice.sound(1))


def test_a_chime_is_never_over_the_cook_and_stops_with_the_words() -> None:
    kitchen = Kitchen(lambda played: kitchen.queue.stop() if played == 60 else None)
    kitchen.queue.cook_speaks(True)
    kitchen.queue.say("Half past seven.", Urgency.REPLY, chime=Chime.HEARD)
    assert not kitchen.queue.speak_next()
    kitchen.queue.cook_speaks(False)
    assert kitchen.queue.speak_next()
    assert kitchen.played_ms == [80]


def test_what_is_said_again_is_louder_each_time_up_to_a_limit() -> None:
    loudness = []
    for repeats in range(8):
        kitchen = Kitchen()
        kitchen.voice.sample = 3000
        kitchen.queue.say("Still on the heat.", Urgency.HEAT, repeats=repeats)
        kitchen.speak_all()
        loudness.append(int.from_bytes(kitchen.played[0][:2], "little"))
    assert loudness[0] == 3000
    assert loudness[:4] == sorted(set(loudness[:4]))
    assert loudness[-1] == loudness[-2] < 6100


def test_the_next_clause_is_made_while_this_one_plays() -> None:
    made_before_end = []

    def look(played: int) -> None:
        if played == _CLAUSE_MS - 20:
            deadline = time.monotonic() + 5
            while len(kitchen.voice.said) < 2 and time.monotonic() < deadline:
                time.sleep(0.001)
            made_before_end.append(list(kitchen.voice.said))

    kitchen = Kitchen(look)
    kitchen.queue.say("First chop the chives finely. Then rinse the rice.", Urgency.REPLY)
    kitchen.queue.speak_next()
    assert made_before_end == [["First chop the chives finely.", "Then rinse the rice."]]


def test_a_voice_that_fails_is_told_once_like_a_card_that_does() -> None:
    kitchen = Kitchen()
    kitchen.voice.fails = True
    for _ in range(2):
        kitchen.queue.say("Drain the beans.", Urgency.DUE)
        assert kitchen.queue.speak_next()
    assert kitchen.troubles == ["no voice is left"]
    assert not kitchen.queue.speaking


def test_what_will_be_called_is_prepared_but_not_while_speaking() -> None:
    kitchen = Kitchen(lambda played: kitchen.queue.prepare("Turn the bread."))
    kitchen.queue.prepare("Drain the beans.")
    kitchen.queue.say("Yes.", Urgency.REPLY)
    kitchen.speak_all()
    assert kitchen.voice.prepared == ["Drain the beans."]
