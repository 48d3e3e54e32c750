"""A virtual sound card: what is played on it comes back as its microphone.

A PulseAudio daemon of the test's own with one null sink, reached by PortAudio through ALSA.
"""

import os
import shutil
import subprocess
import sys
import time
from pathlib import Path

import pytest

_ALSA = """
</usr/share/alsa/alsa.conf>
pcm.!default { type pulse }
ctl.!default { type pulse }
"""
_DAEMON = ("pulseaudio", "-n", "--exit-idle-time=-1", "--use-pid-file=no", "--daemonize=no")
_PLUGINS = [*Path("/usr/lib").glob("*/alsa-lib/libasound_module_pcm_pulse.so")]
needs_card = pytest.mark.skipif(
    not (shutil.which("pulseaudio") and _PLUGINS),
    reason="no virtual sound card: apt-get install pulseaudio libasound2-plugins",
)


class Card:
    """One virtual card with a folder of its own; `with Card(folder, 44100, 2): ...`."""

    def __init__(self, folder: Path, rate_hz: int = 48_000, channels: int = 2) -> None:
        self._sink = f"module-null-sink sink_name=room rate={rate_hz} channels={channels}"
        self._socket = folder / "card.sock"
        alsa = folder / "alsa.conf"
        alsa.write_text(_ALSA)
        home = {"HOME": str(folder), "XDG_RUNTIME_DIR": str(folder)}
        self.environment = {
            **os.environ,
            **home,
            "PULSE_SERVER": f"unix:{self._socket}",
            "ALSA_CONFIG_PATH": str(alsa),
        }

    def __enter__(self) -> "Card":
        server = f"module-native-protocol-unix auth-anonymous=1 socket={self._socket}"
        self._daemon = subprocess.Popen(
            [*_DAEMON, "-L", self._sink, "-L", server],
            env=self.environment,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        until = time.monotonic() + 20
        while not self._socket.exists():
            assert time.monotonic() < until, "PulseAudio did not start"
            time.sleep(0.05)
        return self

    def __exit__(self, *_: object) -> None:
        self._daemon.kill()
        self._daemon.wait()
        self._socket.unlink(missing_ok=True)

    def give_away(self, taken: bool) -> None:
        """Suspend the card, as the daemon does when another program asks for the card."""
        suspend = ["pactl", "suspend-sink", "room", str(int(taken))]
        subprocess.run(suspend, env=self.environment, check=True)

    def run(self, script: str) -> str:
        """What a Python script prints, run in a process of its own on this card."""
        ran = subprocess.run(
            [sys.executable, "-c", script],
            env=self.environment,
            capture_output=True,
            text=True,
            timeout=60,
            check=False,
        )
        assert ran.returncode == 0, ran.stderr
        return ran.stdout

    def start(self, script: str) -> "subprocess.Popen[str]":
        """The same, going on beside the test; its lines are to be read."""
        return subprocess.Popen(
            [sys.executable, "-u", "-c", script],
            env=self.environment,
            stdout=subprocess.PIPE,
            text=True,
        )
