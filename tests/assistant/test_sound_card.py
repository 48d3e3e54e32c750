"""What the sound card cannot do is one clear error."""

import sys
import threading

import pytest
from virtual_card import Card, needs_card

from assistant import sound_card
from assistant.audio import RATE_HZ
from assistant.sound_card import NoMicrophone, NoSpeaker, microphone, play, through_gaps

_PLAY_AND_LISTEN = """
import itertools, threading
import numpy as np
from assistant.sound_card import microphone, play
heard, listening = [], threading.Event()

def listen():
    for chunk in microphone():
        listening.set()
        heard.append(chunk)
        if len(heard) == 100:
            return

ear = threading.Thread(target=listen)
ear.start()
listening.wait()
tone = 0.5 * np.sin(2 * np.pi * 440 * np.arange(22_050) / 22_050)
play(np.split((tone * 32767).astype("<i2"), 10), 22_050)
ear.join()
sound = np.frombuffer(b"".join(heard), "<i2") / 32768
loud = np.abs(sound) > 0.1
tone = sound[np.argmax(loud) + 1600 :][:8000]
print(np.argmax(np.abs(np.fft.rfft(tone))) * 2, np.std(tone) * 2**0.5, loud.sum())
"""

_SAY_AND_HEAR = """
import threading
from assistant.sound_card import microphone, play
from assistant.speak_piper import PiperSpeaker
from assistant.wiring import menu_named, recogniser
ear, listening = recogniser(menu_named(["harbour-supper"]), "sphinx"), threading.Event()
speaker = PiperSpeaker()
words = list(speaker.say("What now?"))

def say():
    listening.wait()
    play(words, speaker.rate_hz)

threading.Thread(target=say).start()
for chunk in microphone():
    listening.set()
    heard = ear.feed(chunk)
    if heard and heard.final:
        print(heard.text)
        break
"""

_LISTEN_ON = """
import threading
from assistant.sound_card import microphone, through_gaps
over = threading.Event()
for number, _ in enumerate(through_gaps(microphone, print, over, retry_s=0.2)):
    if number % 30 == 0:
        print("sound")
"""

_HOLD_ALL = """
import sounddevice, time
held = []
try:
    while len(held) < 1000:
        held.append(sounddevice.InputStream(channels=1, samplerate=48_000))
        held[-1].start()
except sounddevice.PortAudioError:
    print(len(held))
time.sleep(60)
"""


def test_without_portaudio_there_is_one_clear_error(monkeypatch):
    # Importing a module whose entry is None fails as if it were absent; sounddevice itself
    # raises OSError where PortAudio's library is not installed.
    class Absent:
        def find_spec(self, name, path=None, target=None):
            if name == "sounddevice":
                raise OSError("PortAudio library not found")

    monkeypatch.delitem(sys.modules, "sounddevice", raising=False)
    monkeypatch.setattr(sys, "meta_path", [Absent(), *sys.meta_path])
    with pytest.raises(NoMicrophone, match="PortAudio is not installed"):
        next(microphone())
    with pytest.raises(NoSpeaker, match="PortAudio is not installed"):
        play([b""], RATE_HZ)


def test_a_device_of_no_machine():
    pytest.importorskip("sounddevice", exc_type=OSError)
    with pytest.raises(NoMicrophone, match="typing works"):
        next(microphone("no such device"))
    with pytest.raises(NoSpeaker, match="print instead"):
        play([bytes(64)], RATE_HZ, "no such device")


def test_a_silent_card_is_told(monkeypatch):
    monkeypatch.setattr(sound_card, "_QUIET_S", 0.01)
    heard = sound_card.queue.Queue()
    with pytest.raises(NoMicrophone, match="unplugged"):
        next(sound_card._from_card(heard, None))


@needs_card
@pytest.mark.parametrize(("rate_hz", "channels"), [(16_000, 1), (44_100, 2), (48_000, 1)])
def test_a_tone_comes_back_through_a_card_of_any_rate(tmp_path, rate_hz, channels):
    with Card(tmp_path, rate_hz, channels) as card:
        hertz, height, loud = map(float, card.run(_PLAY_AND_LISTEN).split())
    assert hertz == pytest.approx(440, abs=2)
    assert height == pytest.approx(0.5, rel=0.05)
    # Of a sine of height 0.5 all but 2/pi * asin(0.1 / 0.5) = 13% stands above 0.1, for a second.
    assert loud == pytest.approx(0.87 * RATE_HZ, rel=0.05)


@needs_card
def test_what_is_said_on_the_card_is_heard_through_it(tmp_path):
    with Card(tmp_path, 44_100, 2) as card:
        assert card.run(_SAY_AND_HEAR).strip() == "what now"


@needs_card
def test_a_microphone_that_goes_and_comes_back_is_told(tmp_path):
    card = Card(tmp_path)
    with card:
        listener = card.start(_LISTEN_ON)
        lines = listener.stdout
        assert lines.readline() == "sound\n"
    assert "typing works" in next(line for line in lines if line != "sound\n")
    with card:
        assert [lines.readline(), lines.readline()] == ["I hear you again\n", "sound\n"]
        listener.kill()
        listener.communicate()


@needs_card
def test_a_microphone_that_another_program_takes_is_told_and_heard_when_it_is_free(
    tmp_path,
):
    with Card(tmp_path) as card:
        listener = card.start(_LISTEN_ON)
        lines = listener.stdout
        assert lines.readline() == "sound\n"
        card.give_away(True)
        # To close a stream that gives nothing must not wait until it gives something.
        assert "taken by another" in next(line for line in lines if line != "sound\n")
        card.give_away(False)
        assert [lines.readline(), lines.readline()] == ["I hear you again\n", "sound\n"]
        listener.kill()
        listener.communicate()


@needs_card
def test_a_card_all_held_by_others_is_told_and_heard_when_it_is_free(tmp_path):
    with Card(tmp_path) as card:
        holder = card.start(_HOLD_ALL)
        assert int(holder.stdout.readline()) > 10  # the daemon takes 64 connections
        listener = card.start(_LISTEN_ON)
        lines = listener.stdout
        assert "does another program hold it?" in lines.readline()
        holder.kill()
        holder.communicate()
        assert [lines.readline(), lines.readline()] == ["I hear you again\n", "sound\n"]
        listener.kill()
        listener.communicate()


def test_what_goes_is_told_once_however_often_it_is_tried():
    over, told, tries = threading.Event(), [], []

    def sound():
        tries.append(1)
        if len(tries) in (2, 3):
            raise NoMicrophone("it was unplugged")
        if len(tries) == 5:
            over.set()
        yield bytes([len(tries)])
        raise NoMicrophone("it was unplugged")

    chunks = list(through_gaps(sound, told.append, over, retry_s=0))
    assert chunks == [bytes([1]), bytes([4]), bytes([5])]
    gone = "I cannot listen: it was unplugged; typing works as ever"
    # After the fourth opening it has come back, and goes again; the fifth brings it back at once.
    assert told == [gone, "I hear you again", gone, "I hear you again", gone]


def test_without_portaudio_it_is_not_tried_again():
    def sound():
        raise NoMicrophone("PortAudio is not installed", lasting=True)
        yield

    with pytest.raises(NoMicrophone, match="PortAudio"):
        list(through_gaps(sound, [].append, threading.Event(), retry_s=0))


def test_a_device_that_is_held_is_told_in_words():
    error = Exception("Error opening InputStream: Device unavailable [PaErrorCode -9985]")
    words = sound_card._in_words(error, "microphone")
    assert words == "the microphone is not free; does another program hold it?"
