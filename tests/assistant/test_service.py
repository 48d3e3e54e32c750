"""The service on a running cook: by request, by WebSocket, and on a real socket of loopback."""

import asyncio
import json
import socket
import threading
import time
from contextlib import contextmanager

import httpx
import pytest
import uvicorn
import websockets
from fastapi.testclient import TestClient
from fronts import running_cook, told
from starlette.testclient import WebSocketDenialResponse
from starlette.websockets import WebSocketDisconnect
from websockets.sync.client import connect

import assistant.service as service
from assistant.cli import main
from assistant.service_guard import LARGEST_BODY

HERE = "http://127.0.0.1:8765"
WS = "ws://127.0.0.1:8765/ws"


@pytest.fixture
def running():
    with running_cook() as running:
        yield running


@pytest.fixture
def client(running):
    with TestClient(service.application(running), base_url=HERE) as client:
        yield client


@contextmanager
def served(running):
    """The service on a free port of loopback; yields host:port."""
    there = service._listening("127.0.0.1", 0)
    config = uvicorn.Config(
        service.application(running), log_level="warning", ws_max_size=LARGEST_BODY
    )
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run, kwargs={"sockets": [there]})
    thread.start()
    try:
        yield f"127.0.0.1:{there.getsockname()[1]}"
    finally:
        server.should_exit = True
        thread.join(10)
        assert not thread.is_alive()


def test_what_is_said_is_answered(client):
    answer = client.post("/say", json={"text": "convert 400 g to ounces"}).json()
    assert answer["shown"] == "400 g = 14.1 oz"
    assert answer["spoken"] == "About fourteen ounces."
    assert answer["intent"] == "convert"


def test_words_stream_as_they_form_and_a_page_may_have_us_listen(client, running):
    with client.websocket_connect(WS) as connection:
        running.cook.hearing("what")
        running.cook.hearing("what now")
        assert client.post("/listen").status_code == 204
        told = [connection.receive_json() for _ in range(3)]
    assert [(m["kind"], m["shown"]) for m in told] == [
        ("hearing", "what"),
        ("hearing", "what now"),
        ("listen", ""),
    ]


def test_the_state_tells_what_is_on_and_when_we_eat(client, running):
    running.request.clock.advance(300)
    running.cook.tick()
    state = client.get("/state").json()
    assert state["menu"] == "Harbour supper"
    assert state["service"].startswith("2026-03-14T19:03:00")
    assert state["now"].startswith("2026-03-14T18:05:00")
    on = {step["name"]: step["left_s"] for step in state["under_way"]}
    assert 0 < on["cut the fennel"] <= 150
    starts = [step["start"] for step in state["to_come"]]
    assert starts == sorted(starts)
    assert not state["finished"]
    assert not state["paused"]


def test_what_is_said_twice_or_of_what_is_gone_changes_nothing_more(client, running):
    for text in ("drop the pears", "leave it out"):
        client.post("/say", json={"text": text})
    before = running.cook.view()
    assert before.state.dropped == {"honey-pears"}
    for text in (
        "drop the pears",
        "leave it out",
        "the pears are done",
        "the pears need three days",
    ):
        answer = client.post("/say", json={"text": text}).json()
        assert answer["spoken"]
    after = running.cook.view()
    assert after.state.steps == before.state.steps
    assert after.state.dropped == before.state.dropped


def test_two_fronts_agree(client, running):
    here = told(running)
    with (
        client.websocket_connect(WS) as one,
        client.websocket_connect(WS) as two,
    ):
        two.send_json({"text": "set a timer for five minutes"})
        for socket_ in (one, two):
            kinds = [socket_.receive_json() for _ in range(3)]
            assert [message["kind"] for message in kinds] == ["call", "heard", "reply"]
            running.cook.tick()  # waits until the turn is over and every front has been told
            assert kinds == [vars(message) for message in here]
        assert list(client.get("/state").json()["timers"]) == ["timer"]
        running.request.clock.advance(301)
        running.cook.tick()
        rung = [two.receive_json() for _ in range(2)]
        assert "Timer is up." in [message["shown"] for message in rung]


@pytest.mark.parametrize(
    "sent", ["", "nonsense", "[]", "{}", '{"text": 1}', '{"text": "  "}', "[" * 9000]
)
def test_what_is_no_utterance_is_refused_and_the_connection_stays(client, sent):
    with client.websocket_connect(WS) as socket_:
        socket_.send_text(sent)
        assert socket_.receive_json() == {"error": 'send {"text": "..."} of 1 to 1000 characters'}
        socket_.send_bytes(b"\x00\x01")
        assert "error" in socket_.receive_json()
        socket_.send_json({"text": "when do we eat"})
        assert "error" not in socket_.receive_json()
    posted = client.post("/say", content=sent, headers={"content-type": "application/json"})
    assert posted.status_code in (400, 422)


def test_an_utterance_has_a_longest(client):
    assert client.post("/say", json={"text": "a" * service.LONGEST}).status_code == 200
    assert client.post("/say", json={"text": "a" * (service.LONGEST + 1)}).status_code == 422
    assert client.post("/say", content=b"a" * (LARGEST_BODY + 1)).status_code == 413


def test_pages_from_elsewhere_get_nothing(client, running):
    before = running.cook.view().state
    there = {"origin": "https://pages.example"}
    assert client.post("/say", json={"text": "done"}, headers=there).status_code == 403
    assert client.get("/state", headers={"host": "pages.example"}).status_code == 400
    for headers in (there, {"host": "pages.example"}):
        with (
            pytest.raises(WebSocketDenialResponse),
            client.websocket_connect(WS, headers=headers),
        ):
            pass
    assert running.cook.view().state == before
    with client.websocket_connect(WS, headers={"origin": HERE}):
        pass


def test_the_schema_is_whole_and_the_page_loads_nothing(client):
    schema = client.get("/openapi.json").json()
    assert schema["openapi"].startswith("3.1")
    assert set(schema["paths"]) == {"/say", "/listen", "/state"}
    for reference in json.dumps(schema).split('"$ref": "')[1:]:
        found = schema
        for part in reference.split('"')[0].removeprefix("#/").split("/"):
            found = found[part]
    page = client.get("/")
    assert page.headers["content-security-policy"] == "default-src 'none'"
    for path in (*schema["paths"], "/ws"):
        assert f"<td>{path}</td>" in page.text
    for loads in ("<script", "<link", "<img", "<style", "src=", "http:", "https:"):
        assert loads not in page.text


def test_an_answer_that_fails_is_an_answer_still(client, running, monkeypatch):
    def broken(text, scene, confidence=1.0):
        raise ZeroDivisionError

    with monkeypatch.context() as patched:
        patched.setattr(running.cook._conversation, "turn", broken)
        answer = client.post("/say", json={"text": "what now"})
    assert answer.status_code == 200
    assert "went wrong" in answer.json()["shown"]
    assert client.post("/say", json={"text": "what now"}).json()["intent"] == "what_now"


def test_a_slow_reader_is_cut_off_with_a_reason(client, running, monkeypatch):
    monkeypatch.setattr(service, "MOST_WAITING", 5)
    hold = threading.Event()

    async def stuck(connection, reader):
        await asyncio.to_thread(hold.wait, 5)

    with monkeypatch.context() as patched:
        patched.setattr(service, "_send", stuck)
        with client.websocket_connect(WS) as slow:
            for nth in range(6):
                running.cook.notice(f"notice {nth}")
            with pytest.raises(WebSocketDisconnect) as cut:
                slow.receive_json()
    hold.set()
    assert cut.value.code == service.TOO_SLOW
    assert cut.value.reason == "more than 5 messages behind"
    with client.websocket_connect(WS) as next_one:
        running.cook.notice("still here")
        assert next_one.receive_json()["shown"] == "still here"


def test_on_a_real_socket(running):
    with served(running) as address:
        there = f"ws://{address}/ws"
        with connect(there) as socket_:
            socket_.send(json.dumps({"text": "what is 180 celsius in fahrenheit"}))
            messages = [json.loads(socket_.recv(5)) for _ in range(3)]
            assert messages[-1]["shown"] == "180 °C = 356 °F; set 350 °F"
            socket_.send("x" * (LARGEST_BODY + 1))
            with pytest.raises(websockets.ConnectionClosedError) as too_big:
                socket_.recv(5)
            assert too_big.value.rcvd.code == 1009
        with pytest.raises(websockets.InvalidStatus) as refused:
            connect(there, origin="https://pages.example")
        assert refused.value.response.status_code == 403
        with pytest.raises(websockets.InvalidStatus):
            connect(there, additional_headers={"Host": "pages.example"})
        assert httpx.get(f"http://{address}/state").json()["menu"] == "Harbour supper"


def test_a_reader_who_stops_reading_is_cut_off_on_a_real_socket(running):
    """Its buffers full, nothing more can be sent: the service lets go and serves the others."""
    with served(running) as address, connect(f"ws://{address}/ws") as stuck:
        stuck.socket.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
        for _ in range(3 * service.MOST_WAITING):
            running.cook.notice("x" * 5000)
        deadline = time.monotonic() + 20
        with connect(f"ws://{address}/ws") as reading:
            running.cook.notice("to those who read")
            assert json.loads(reading.recv(10))["shown"] == "to those who read"
        while time.monotonic() < deadline:
            try:
                stuck.recv(5)
            except websockets.ConnectionClosed:
                break
        else:
            pytest.fail("it was not cut off")


def test_a_port_in_use_is_one_line(capsys, own_folders):
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        assert main(["serve", "--clock", "18:00", "--port", str(port)]) == 1
    assert capsys.readouterr().err == (
        f"hobside: cannot listen on 127.0.0.1 port {port} (Address already in use); "
        "choose others with --host and --port\n"
    )
    assert main(["serve", "--clock", "18:00", "--port", "70000"]) == 1
    assert capsys.readouterr().err.count("\n") == 1
