"""A thin HTTP and WebSocket service on one running cook; loopback unless told otherwise."""

import asyncio
import html
import ipaddress
import os
import socket
import sys
import threading
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager, suppress
from dataclasses import asdict, dataclass, field
from datetime import datetime
from typing import Annotated

import uvicorn
from fastapi import FastAPI, WebSocket, WebSocketDisconnect
from fastapi.responses import HTMLResponse
from pydantic import BaseModel, Field, StringConstraints, ValidationError

from assistant.cook import Message, Ticker
from assistant.running import Running, kitchen_of
from assistant.service_guard import LARGEST_BODY, Guard
from assistant.terminal import greeting
from assistant.wiring import Request
from domain.errors import KitchenError
from scheduling.queries import finished, now_steps, pace_s, service_at, starts_at, time_left
from scheduling.view import View

LONGEST = 1000  # characters of one utterance
MOST_WAITING = 1000  # messages that a slow reader may fall behind before it is cut off
TOO_SLOW = 1013  # of the registered WebSocket close codes: try again later
_FAREWELL_S = 5.0

Words = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=LONGEST)]


class Utterance(BaseModel):
    """Something the cook says."""

    text: Words


class Answered(BaseModel):
    """The assistant's answer, to say, to show, and what there is on "more"."""

    spoken: str
    shown: str
    more: str
    intent: str | None


class StepNow(BaseModel):
    """A step under way. left_s: seconds left, negative once its time is up."""

    key: str
    name: str
    say: str
    attention: str
    left_s: float


class StepNext(BaseModel):
    """A step to come, and when it starts (ISO 8601)."""

    key: str
    name: str
    start: str


class KitchenState(BaseModel):
    """The kitchen as it stands. pace_s: seconds behind (+) or ahead (-). Times in ISO 8601."""

    menu: str
    now: str
    service: str
    pace_s: float
    paused: bool
    finished: bool
    under_way: list[StepNow]
    to_come: list[StepNext] = Field(description="in the plan's order")
    timers: dict[str, str]


@dataclass(eq=False)
class _Reader:
    """One connection's messages, and whether it fell so far behind that it is cut off."""

    queue: asyncio.Queue[dict[str, object]] = field(
        default_factory=lambda: asyncio.Queue(MOST_WAITING)
    )
    too_slow: asyncio.Event = field(default_factory=asyncio.Event)

    def give(self, message: dict[str, object]) -> None:
        """Have it sent; nothing is ever left out of what a connection gets."""
        if self.queue.full():
            self.too_slow.set()
        if not self.too_slow.is_set():
            self.queue.put_nowait(message)


def application(running: Running) -> FastAPI:
    """The service of one running cook."""
    readers: set[_Reader] = set()
    one_turn = threading.Lock()

    @asynccontextmanager
    async def lifespan(_: FastAPI) -> AsyncIterator[None]:
        loop = asyncio.get_running_loop()

        def spread(message: Message) -> None:
            for reader in readers:
                reader.give(asdict(message))

        def from_any_thread(message: Message) -> None:
            loop.call_soon_threadsafe(spread, message)

        detach = running.cook.attach(from_any_thread)
        yield
        detach()

    app = FastAPI(
        title="Hobside", version="0.1.0", lifespan=lifespan, docs_url=None, redoc_url=None,
        description="One live cook. The page at / lists this API; /ws streams messages.",
    )  # fmt: skip
    app.add_middleware(Guard)

    @app.get("/", response_class=HTMLResponse, include_in_schema=False)
    def api_page() -> HTMLResponse:
        return HTMLResponse(_page(app), headers={"Content-Security-Policy": "default-src 'none'"})

    @app.post("/say")
    def say(utterance: Utterance) -> Answered:
        """Take an utterance and answer it."""
        running.wait_for(utterance.text)
        with one_turn:
            reply, asked = running.cook.say(utterance.text), running.cook.understood
        return Answered(
            spoken=reply.spoken, shown=reply.shown, more=reply.more_shown,
            intent=asked.intent if asked else None,
        )  # fmt: skip

    @app.post("/listen", status_code=204)
    def listen() -> None:
        """Fall silent and take what is said next as meant for us: a key or pedal on a page."""
        running.cook.listen()

    @app.get("/state")
    def state() -> KitchenState:
        """What is on, what comes next, and when we eat."""
        return _state(running.cook.view())

    @app.websocket("/ws")
    async def messages(connection: WebSocket) -> None:
        await connection.accept()
        reader = _Reader()
        readers.add(reader)
        try:
            await _connected(connection, reader, say)
        finally:
            readers.discard(reader)

    return app


async def _connected(
    connection: WebSocket, reader: _Reader, say: Callable[[Utterance], Answered]
) -> None:
    """Send and receive until either is over, or the other side reads too slowly."""
    tasks = [
        asyncio.create_task(_send(connection, reader)),
        asyncio.create_task(_receive(connection, reader, say)),
        asyncio.create_task(reader.too_slow.wait()),
    ]
    try:
        over, _ = await asyncio.wait(tasks, return_when=asyncio.FIRST_COMPLETED)
    finally:
        for task in tasks:
            task.cancel()
    await asyncio.wait(tasks)
    for task in over:
        task.result()
    if reader.too_slow.is_set():
        with suppress(TimeoutError, RuntimeError, WebSocketDisconnect):
            async with asyncio.timeout(_FAREWELL_S):
                await connection.close(TOO_SLOW, f"more than {MOST_WAITING} messages behind")


async def _send(connection: WebSocket, reader: _Reader) -> None:
    with suppress(WebSocketDisconnect):
        while True:
            await connection.send_json(await reader.queue.get())


async def _receive(
    connection: WebSocket, reader: _Reader, say: Callable[[Utterance], Answered]
) -> None:
    """Utterances as {"text": "..."}; anything else is answered with {"error": "..."}."""
    while True:
        received = await connection.receive()
        if received["type"] == "websocket.disconnect":
            return
        try:
            utterance = Utterance.model_validate_json(received.get("text") or "")
        except ValidationError:
            reader.give({"error": f'send {{"text": "..."}} of 1 to {LONGEST} characters'})
            continue
        await asyncio.to_thread(say, utterance)


def _state(view: View) -> KitchenState:
    waiting = [key for key, standing in view.state.steps.items() if standing.status == "waiting"]
    waiting.sort(key=lambda key: starts_at(view, key))
    return KitchenState(
        menu=view.menu.title,
        now=_iso(view.now),
        service=_iso(service_at(view)),
        pace_s=round(pace_s(view), 1),
        paused=view.state.paused_at is not None,
        finished=finished(view),
        under_way=[
            StepNow(key=step.key, name=step.name, say=step.say, attention=step.attention,
                    left_s=round(time_left(view, step.key) or 0.0, 1))
            for step in now_steps(view)
        ],
        to_come=[
            StepNext(key=key, name=view.steps[key].name, start=_iso(starts_at(view, key)))
            for key in waiting
        ],
        timers={
            timer.name: _iso(timer.ends_at)
            for timer in view.state.timers.values()
            if not timer.acknowledged
        },
    )  # fmt: skip


def _page(app: FastAPI) -> str:
    """The API as a page that loads nothing from anywhere."""
    rows = [
        f"<tr><td>{method.upper()}</td><td>{path}</td>"
        f"<td>{html.escape(operation.get('description') or operation.get('summary', ''))}</td></tr>"
        for path, methods in app.openapi()["paths"].items()
        for method, operation in methods.items()
    ]
    return (
        "<!doctype html><html lang=en><head><meta charset=utf-8><title>Hobside service</title>"
        "</head><body><main><h1>Hobside service</h1>"
        "<table><thead><tr><th>Method</th><th>Path</th><th>What it does</th></tr></thead>"
        f"<tbody>{''.join(rows)}<tr><td>WebSocket</td><td>/ws</td>"
        "<td>Send {&quot;text&quot;: &quot;…&quot;}; every reply, call and notice comes as JSON, "
        "and the words that are heard as they form (kind “hearing”). "
        f"Who falls more than {MOST_WAITING} messages behind is cut off (code {TOO_SLOW}).</td>"
        "</tr></tbody></table><p>The full description is at "
        "<a href=/openapi.json>/openapi.json</a> (OpenAPI).</p></main></body></html>"
    )


def _iso(at: float) -> str:
    return datetime.fromtimestamp(at).astimezone().isoformat(timespec="seconds")


def run(request: Request, host: str, port: int, fresh: bool) -> int:
    """Serve until interrupted; returns the exit status."""
    with _listening(host, port) as there, kitchen_of(request, keep=True, fresh=fresh) as running:
        running.start()
        for line in greeting(running):
            print(line)
        running.cook.attach(_print_notice)
        running.start_server()
        config = uvicorn.Config(application(running), log_level="warning", ws_max_size=LARGEST_BODY)
        address = f"[{host}]" if ":" in host else host
        print(f"Listening on http://{address}:{there.getsockname()[1]}/", flush=True)
        if not ipaddress.ip_address(there.getsockname()[0]).is_loopback:
            print("Whoever can reach this machine can use it: there is no password.", flush=True)
        with Ticker(running.cook), suppress(KeyboardInterrupt):
            uvicorn.Server(config).run(sockets=[there])
    return 0


def _listening(host: str, port: int) -> socket.socket:
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    try:
        return socket.create_server((host, port), family=family)
    except (OSError, OverflowError) as error:
        errno = getattr(error, "errno", None)
        why = os.strerror(errno) if errno and errno > 0 else error
        raise KitchenError(
            f"cannot listen on {host} port {port} ({why}); choose others with --host and --port"
        ) from error


def _print_notice(message: Message) -> None:
    if message.kind == "notice":
        print(f"* {message.shown}", file=sys.stderr, flush=True)
