"""Rasa's server, for real: guarded, watched, started again, ended."""

import os
import signal
import sys
from dataclasses import replace
from pathlib import Path

import httpx
import psutil
import pytest

from assistant.intent_server import IntentServer
from assistant.training import HERE, Places
from domain.errors import MissingModel


def address(server: IntentServer) -> str:
    assert server.pid is not None
    (listening,) = [
        c.laddr
        for c in psutil.Process(server.pid).net_connections("tcp")
        if c.status == psutil.CONN_LISTEN
    ]
    assert listening.ip == "127.0.0.1"
    return f"http://127.0.0.1:{listening.port}"


def test_tells_the_intent(intent_server: IntentServer) -> None:
    guesses = intent_server.parse("how many minutes does xthing still have left")
    assert guesses is not None
    assert guesses[0][0] == "time_left"
    assert [p for _, p in guesses] == sorted((p for _, p in guesses), reverse=True)


def test_is_guarded_by_a_token_that_nobody_sees(intent_server: IntentServer) -> None:
    where = address(intent_server)
    refused = httpx.post(f"{where}/model/parse", json={"text": "hello"})
    assert refused.status_code == httpx.codes.UNAUTHORIZED
    no_channel = httpx.post(f"{where}/webhooks/rest/webhook", json={"message": "hello"})
    assert no_channel.status_code == httpx.codes.NOT_FOUND
    process = psutil.Process(intent_server.pid)
    token = process.environ()["AUTH_TOKEN"]
    assert len(token) > 20
    assert token not in " ".join(process.cmdline())
    assert token not in (HERE.models / "intent-server.log").read_text(errors="replace")


def test_starts_again_when_it_dies(intent_server: IntentServer) -> None:
    changes: list[bool] = []
    intent_server._on_change = changes.append
    old = intent_server.pid
    assert old is not None
    os.kill(old, signal.SIGKILL)
    psutil.wait_procs([psutil.Process(old)] if psutil.pid_exists(old) else [], timeout=5)
    while intent_server.ready():
        pass
    assert intent_server.parse("hello") is None
    assert intent_server.wait(120.0)
    assert intent_server.pid != old
    assert changes == [False, True]


def test_without_environment_or_model_it_says_how_to_get_them(tmp_path: Path) -> None:
    for places in (
        replace(HERE, python=tmp_path / "python"),
        Places(python=Path(sys.executable), models=tmp_path),
    ):
        server = IntentServer(places)
        with pytest.raises(MissingModel, match="make setup"):
            server.start()
        assert not server.ready()
        assert not server.wait(5.0)
        assert server.parse("hello") is None
        server.close()
