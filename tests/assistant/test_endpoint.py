"""Speech begins and ends where it does: pauses, taps and long talk. Frames are of 10 ms."""

from assistant.endpoint import BEGUN_MS, END_MS, LONGEST_MS, PAUSE_MS, Endpointer


def pushed(*runs):
    ends = Endpointer()
    for chance, length_ms in runs:
        for _ in range(length_ms // 10):
            ends.push(chance)
    return ends


def test_a_short_word_begins_speech_and_a_tap_does_not():
    assert pushed((0.0, 500), (0.9, BEGUN_MS)).speaking
    assert not pushed((0.0, 500), (0.9, BEGUN_MS - 10), (0.0, 500)).speaking


def test_taps_far_apart_do_not_add_up():
    assert not pushed(*[(0.9, 50), (0.0, 500)] * 10).speaking


def test_a_pause_is_not_yet_an_end():
    paused = pushed((0.9, 600), (0.0, PAUSE_MS))
    assert paused.paused
    assert not paused.ended
    assert pushed((0.9, 600), (0.0, END_MS)).ended


def test_going_on_after_a_pause():
    ends = pushed((0.9, 600), (0.0, END_MS - 50), (0.9, 100))
    assert ends.speaking
    assert not ends.paused


def test_a_click_in_the_silence_does_not_keep_it_open():
    assert pushed((0.9, 600), (0.0, 300), (0.9, 10), (0.0, END_MS - 310)).ended


def test_endless_talk_is_cut():
    assert pushed((0.9, LONGEST_MS)).ended


def test_reset_forgets():
    ends = pushed((0.9, 600))
    ends.reset()
    assert not ends.speaking
    ends.push(0.9)
    assert not ends.speaking
