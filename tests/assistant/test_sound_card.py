"""What the sound card cannot do is one clear error."""

import sys

import pytest

from assistant import sound_card
from assistant.audio import RATE_HZ
from assistant.sound_card import NoMicrophone, NoSpeaker, microphone, play


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
