"""The piped cook as a process of its own: nothing lost when it is killed, and its contract."""

import os
import re
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path

import psutil
import pytest

from assistant.intent_server import IntentServer

ROOT = Path(__file__).parents[2]
PATIENCE_S = 60.0


class Piped:
    """A `hobside cook` whose lines in and out are the test's."""

    def __init__(self, *options: str) -> None:
        self.lines: list[str] = []
        self.process = subprocess.Popen(
            [sys.executable, "-m", "assistant.cli", "cook", *options],
            cwd=ROOT,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            encoding="utf-8",
        )
        self._news = threading.Condition()
        self._reader = threading.Thread(target=self._read)
        self._reader.start()

    def _read(self) -> None:
        assert self.process.stdout is not None
        for line in self.process.stdout:
            with self._news:
                self.lines.append(line.rstrip("\n"))
                self._news.notify_all()

    def say(self, text: str) -> None:
        assert self.process.stdin is not None
        self.process.stdin.write(f"{text}\n")
        self.process.stdin.flush()

    def wait_for(self, pattern: str, since: int = 0) -> str:
        """The first line from `since` on that holds the pattern."""

        def found() -> str | None:
            return next((line for line in self.lines[since:] if re.search(pattern, line)), None)

        with self._news:
            assert self._news.wait_for(found, PATIENCE_S), f"no “{pattern}” in {self.lines}"
            line = found()
        assert line is not None
        return line

    def ask(self, text: str, pattern: str = "") -> str:
        """Say it; the line of the answer, or the first later one that holds the pattern."""
        since = len(self.lines)
        self.say(text)
        echo = self.wait_for(f"^> {re.escape(text)}$", since)
        return self.wait_for(pattern or "^[^>»*]", self.lines.index(echo, since) + 1)

    def end(self) -> tuple[int, str]:
        """Close its input; its exit status and what it wrote to standard error."""
        assert self.process.stdin is not None
        assert self.process.stderr is not None
        self.process.stdin.close()
        status = self.process.wait(PATIENCE_S)
        self._reader.join(PATIENCE_S)
        return status, self.process.stderr.read()

    def kill(self) -> None:
        self.process.send_signal(signal.SIGKILL)
        self.process.wait(PATIENCE_S)
        self._reader.join(PATIENCE_S)

    def children(self) -> list[psutil.Process]:
        return psutil.Process(self.process.pid).children()


@pytest.fixture
def cook(own_folders):
    started: list[Piped] = []

    def start(*options: str) -> Piped:
        started.append(Piped(*options))
        return started[-1]

    yield start
    for one in started:
        if one.process.poll() is None:
            one.kill()


def seconds(text: str) -> int:
    """What "2 min 30 s" comes to."""
    parts = re.findall(r"(\d+) (h|min|s)\b", text)
    assert parts, text
    return sum(int(number) * {"h": 3600, "min": 60, "s": 1}[unit] for number, unit in parts)


def test_killed_mid_cook_it_resumes_with_the_right_times(cook):
    first = cook()
    assert first.wait_for("^Cooking ").startswith("Cooking Harbour supper, for 4,")
    eaten_at = first.wait_for("^We eat at")[:16]
    first.ask("set a timer for ten minutes")
    told_at = time.monotonic()
    children = first.children()
    first.kill()
    # What it had started ends with it.
    assert not psutil.wait_procs(children, timeout=20)[1]
    time.sleep(3)

    again = cook()
    carried_on = again.wait_for("^Carrying on with Harbour supper, ")
    assert re.search(r" begun at \d\d:\d\d\.", carried_on)
    assert again.wait_for("^We eat at")[:16] == eaten_at
    left_s = seconds(again.ask("how long left on the timer"))
    due_s = 600 - (time.monotonic() - told_at)
    assert abs(left_s - due_s) <= 17  # it tells quarters of a minute
    assert again.end() == (0, "")

    # An end of input after a report is carried on as well; a fresh one ends it for good.
    assert cook_of_lines()[0].startswith("Carrying on ")
    assert cook_of_lines("--fresh")[0].startswith("Cooking ")
    assert cook_of_lines()[0].startswith("Cooking ")


def cook_of_lines(*options: str, lines: str = "what now\n") -> list[str]:
    """The output of a cook with these lines for input, which ends well and quietly."""
    done = subprocess.run(
        [sys.executable, "-m", "assistant.cli", "cook", *options],
        cwd=ROOT, input=lines, capture_output=True, text=True, encoding="utf-8", check=False,
        timeout=PATIENCE_S,
    )  # fmt: skip
    assert (done.returncode, done.stderr) == (0, "")
    return done.stdout.splitlines()


def test_a_hurried_clock_stands_still_until_what_was_said_can_be_understood(
    own_folders, intent_server: IntentServer
):
    """It takes the server seconds to come up: many minutes of a cook at sixty times its pace."""
    lines = cook_of_lines(
        "--clock", "18:00x60", lines="could you tell me what the time of the day is\nwhat time\n"
    )
    assert any("One moment" in line for line in lines)
    assert re.fullmatch(r"It is 18:0\d\.", lines[-1])
    assert sum(line.startswith("»") for line in lines) <= 3


def test_a_clean_end_with_nothing_reported_is_not_carried_on(own_folders):
    for _ in range(2):
        assert cook_of_lines()[0].startswith("Cooking ")


def test_an_impossible_time_is_told_with_the_earliest(own_folders):
    lines = cook_of_lines("--clock", "18:00x20", "--at", "18:10")
    assert "Service at 18:10 cannot be; 19:03 is the earliest." in lines
    assert "We eat at 19:03, in 1 h 3 min." in lines
    assert any("takes too long for service at 18:10" in line for line in lines)


def test_two_assistants_do_not_share_one_cook(cook):
    first = cook()
    first.wait_for("^We eat")
    second = cook()
    status, told = second.end()
    assert status == 1
    assert told.count("\n") == 1
    assert "is in use by another assistant; close the other one" in told


def test_a_kitchen_that_cannot_cook_it_leaves_nothing_to_carry_on(own_folders):
    failed = subprocess.run(
        [sys.executable, "-m", "assistant.cli", "cook", "--kitchen", "bench"],
        cwd=ROOT, stdin=subprocess.DEVNULL, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert failed.returncode == 1
    assert failed.stdout == ""
    assert failed.stderr.startswith("hobside: ")
    assert failed.stderr.count("\n") == 1
    assert cook_of_lines()[0].startswith("Cooking ")


def test_it_ends_when_its_reader_has_gone(own_folders):
    reading, writing = os.pipe()
    process = subprocess.Popen(
        [sys.executable, "-m", "assistant.cli", "cook"],
        cwd=ROOT, stdin=subprocess.PIPE, stdout=writing, stderr=subprocess.PIPE,
    )  # fmt: skip
    os.close(writing)
    os.close(reading)
    _, told = process.communicate(b"what now\nwhat now\n", PATIENCE_S)
    assert (process.returncode, told) == (0, b"")


def test_the_intent_server_is_waited_for_missed_and_back(cook, intent_server: IntentServer):
    """One conversation: before the server is up, with it, when it is killed, and after."""
    here = cook()
    here.wait_for("^We eat")
    assert here.ask("what now")
    assert not any("One moment" in line for line in here.lines)  # it needed no server
    free = "could you tell me at what time dinner will be on the table"
    assert here.ask(free).startswith("We eat at ")
    (server,) = here.children()
    server.kill()
    here.wait_for(r"^\* I understand only the plainest commands for a moment")
    assert here.ask("convert 400 g to ounces") == "400 g = 14.1 oz"
    since = len(here.lines)
    assert here.ask(free).startswith("We eat at ")
    here.wait_for(r"^\* I understand everything again\.", since)
    status, told = here.end()
    assert (status, told) == (0, "")
