"""Supervises Rasa's own HTTP server, which tells the intent of a masked wording.

It listens on loopback only, on a free port, behind a random token, without any channel. It is
started without waiting, started again when it dies, and ends with this process.

`python -m assistant.intent_server` trains the model when the phrase book has changed.
"""

import contextlib
import logging
import os
import secrets
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass

import httpx

from assistant.training import GET, HERE, PART, Places, train, trained_model
from domain.errors import KitchenError, MissingModel

PARSE_TIMEOUT_S = 2.0
_POLL_S = 0.25
# A server that dies sooner than this after its start is given longer before the next try.
_SETTLED_S = 60.0
_LONGEST_PAUSE_S = 30.0

# httpx logs every address that it asks, and the token is part of it.
logging.getLogger("httpx").setLevel(logging.WARNING)


@dataclass(frozen=True)
class _Process:
    """A running server. pipe: our end, whose closing tells it that we have gone."""

    popen: subprocess.Popen[bytes]
    pipe: int
    client: httpx.Client
    began: float


class IntentServer:
    """One server process and the thread that watches it.

    on_change: called from that thread with True when the server has come up, False when it
    has gone down by itself.
    """

    def __init__(
        self, places: Places = HERE, on_change: Callable[[bool], None] | None = None
    ) -> None:
        self._places = places
        self._on_change = on_change or (lambda up: None)
        self._up = threading.Event()
        self._closing = threading.Event()
        self._process: _Process | None = None
        self._watcher: threading.Thread | None = None

    def start(self) -> None:
        """Begin to start the server, without waiting for it.

        Raises MissingModel when Rasa's environment or the trained model is not there.
        """
        if not self._places.python.exists():
            raise MissingModel("for what cooks say", GET)
        model = trained_model(self._places)
        if model is None:
            raise MissingModel("for what cooks say", GET)
        self._closing.clear()
        self._watcher = threading.Thread(
            target=self._watch, args=(str(model),), name="intent server", daemon=True
        )
        self._watcher.start()

    def ready(self) -> bool:
        """Whether it answers now."""
        return self._up.is_set()

    def wait(self, timeout_s: float = 60.0) -> bool:
        """Wait until it answers; False when it was never started or the time is over."""
        return self._up.wait(timeout_s if self._watcher else 0.0)

    @property
    def pid(self) -> int | None:
        """The process id of the server, None while there is none."""
        process = self._process
        return process.popen.pid if process else None

    def parse(self, wording: str) -> tuple[tuple[str, float], ...] | None:
        """The likely intents of a masked wording with their confidence, best first.

        None when the server is away or does not answer in time.
        """
        process = self._process
        if process is None or not self.ready():
            return None
        try:
            answer = process.client.post("/model/parse", json={"text": wording})
            answer.raise_for_status()
            ranking = answer.json()["intent_ranking"]
        except (httpx.HTTPError, ValueError, KeyError):
            return None
        together: dict[str, float] = {}
        for guess in ranking:
            name = guess["name"].partition(PART)[0]
            together[name] = together.get(name, 0.0) + float(guess["confidence"])
        return tuple(sorted(together.items(), key=lambda guess: -guess[1]))

    def close(self) -> None:
        """Stop the server and all that it started."""
        self._closing.set()
        if self._watcher:
            self._watcher.join()
            self._watcher = None

    def _watch(self, model: str) -> None:
        """Start, watch and restart, until closed."""
        pause = _POLL_S
        while not self._closing.is_set():
            process = self._process = self._launch(model)
            while process.popen.poll() is None and not self._closing.wait(_POLL_S):
                if not self.ready() and self._answers(process):
                    self._up.set()
                    self._on_change(True)
            was_up = self.ready()
            self._up.clear()
            self._process = None
            _end(process)
            if was_up and not self._closing.is_set():
                self._on_change(False)
            settled = time.monotonic() - process.began > _SETTLED_S
            pause = _POLL_S if settled else min(2 * pause, _LONGEST_PAUSE_S)
            self._closing.wait(pause)

    def _launch(self, model: str) -> _Process:
        token = secrets.token_urlsafe(24)
        port = _free_port()
        theirs, ours = os.pipe()
        command = [
            *(str(self._places.python), str(self._places.project / "serve.py")),
            *("run", "--enable-api", "-i", "127.0.0.1", "-p", str(port), "-m", model),
            # Without this file Rasa would open its REST channel, which asks for no token.
            *("--credentials", str(self._places.project / "credentials.yml")),
        ]
        surroundings = self._places.surroundings()
        log = self._places.models / "intent-server.log"
        with log.open("wb") as written:
            log.chmod(0o600)
            popen = subprocess.Popen(
                command,
                cwd=self._places.models,
                # Not among the command's words, which any user of the machine can list.
                env=surroundings | {"AUTH_TOKEN": token, "PARENT_PIPE": str(theirs)},
                stdin=subprocess.DEVNULL,
                stdout=written,
                stderr=subprocess.STDOUT,
                start_new_session=True,
                pass_fds=(theirs,),
            )
        os.close(theirs)
        client = httpx.Client(
            base_url=f"http://127.0.0.1:{port}",
            params={"token": token},
            timeout=PARSE_TIMEOUT_S,
            trust_env=False,
        )
        return _Process(popen, ours, client, time.monotonic())

    def _answers(self, process: _Process) -> bool:
        try:
            return process.client.get("/status").status_code == httpx.codes.OK
        except httpx.HTTPError:
            return False


def _end(process: _Process) -> None:
    """End the server's whole process group, kindly first."""
    for sign, wait_s in ((signal.SIGTERM, 3.0), (signal.SIGKILL, 3.0)):
        with contextlib.suppress(ProcessLookupError):
            os.killpg(process.popen.pid, sign)
        with contextlib.suppress(subprocess.TimeoutExpired):
            process.popen.wait(wait_s)
            break
    process.client.close()
    os.close(process.pipe)


def _free_port() -> int:
    with socket.socket() as listening:
        listening.bind(("127.0.0.1", 0))
        return int(listening.getsockname()[1])


def main() -> int:
    """Train the model that the phrase book needs; 0 when it is there."""
    try:
        train()
    except KitchenError as problem:
        print(problem, file=sys.stderr)
        return 1
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
