"""How the assistant sounds, changed by asking."""

import pytest
from kitchen import kitchen

from assistant import answer_voice
from assistant.speak import VOICES

HERE = ["Piper", "eSpeak NG", "eSpeak NG British", "eSpeak NG Scottish", "flite"]


@pytest.fixture(autouse=True)
def five_voices(monkeypatch):
    monkeypatch.setattr(answer_voice, "voices_here", lambda: HERE)


@pytest.mark.parametrize(
    ("intent", "setting", "limit", "words"),
    [
        ("slower", "speed", 0.5, "This is as slow as I go."),
        ("faster", "speed", 2.0, "This is as fast as I go."),
        ("softer", "volume", 0.2, "This is as soft as I go."),
        ("louder", "volume", 1.0, "This is as loud as I go."),
    ],
)
def test_each_asking_is_one_step_until_the_limit_is_told(intent, setting, limit, words):
    values, here = [], kitchen()
    while (reply := here.ask(intent)).settings:
        ((name, value),) = reply.settings
        assert name == setting
        values.append(value)
        here = kitchen(**{setting: value})
    assert reply.spoken == words
    assert values[-1] == limit
    assert 2 <= len(values) <= 8
    assert values in (sorted(values), sorted(values, reverse=True))


def test_say_that_slower_says_it_again_and_slower_alone_does_not():
    here = kitchen()
    last = here.ask("when_eat", "when do we eat")
    again = here.ask("slower", "say that slower")
    assert again.spoken == f"Slower from now on. {last.spoken}"
    assert again.shown == f"Slower from now on. {last.shown}"
    assert again.settings == (("speed", 0.85),)
    assert here.ask("louder", "a bit louder").spoken == "Louder from now on."


@pytest.mark.parametrize(
    ("asked", "voice"),
    [
        ("use another voice", "eSpeak NG"),
        ("use the british voice", "eSpeak NG British"),
        ("speak with a scottish voice please", "eSpeak NG Scottish"),
        ("use the woman's voice", "flite"),
        ("a lady's voice please", "flite"),
        ("use the third voice", "eSpeak NG British"),
        ("the natural voice", "Piper"),
        ("back to your normal voice", "Piper"),
    ],
)
def test_a_voice_is_picked_by_its_name_its_place_or_in_turn(asked, voice):
    reply = kitchen().ask("other_voice", asked)
    assert reply.settings == (("voice", voice),)
    assert reply.spoken == f"This is {VOICES[voice].said}."


def test_asking_again_and_again_goes_round_all_voices():
    heard, here = [], kitchen()
    for _ in HERE:
        ((_, voice),) = here.ask("other_voice", "another voice").settings
        heard.append(voice)
        here = kitchen(voice=voice)
    assert sorted(heard) == sorted(HERE)


def test_a_voice_that_is_not_here_is_not_promised(monkeypatch):
    monkeypatch.setattr(answer_voice, "voices_here", lambda: ["Piper"])
    reply = kitchen().ask("other_voice", "use the british voice")
    assert (reply.settings, reply.spoken) == ((), "I have only this voice.")


def test_the_voices_are_told_with_the_one_that_speaks():
    reply = kitchen(voice="flite").ask("which_voices")
    assert reply.spoken == (
        "Five voices. This is the woman’s voice. The others are the natural voice, "
        "the American voice, the British voice and the Scottish voice."
    )


def test_sounds_are_turned_off_and_on():
    assert kitchen().ask("sounds_off").settings == (("sounds", False),)
    assert kitchen(sounds=False).ask("sounds_on").settings == (("sounds", True),)


@pytest.mark.parametrize(
    ("intent", "mode"),
    [("listen_openly", "open"), ("listen_by_name", "name"), ("listen_by_key", "key")],
)
def test_when_speech_is_meant_for_us_is_changed_by_asking(intent, mode):
    assert kitchen().ask(intent).settings == (("listening", mode),)


def test_who_is_to_call_us_is_told_our_name():
    assert kitchen().ask("listen_by_name").spoken == "I listen when you say Hobside."
