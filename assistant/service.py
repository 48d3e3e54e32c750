"""A thin HTTP and WebSocket service on one running cook; loopback unless told otherwise."""

import asyncio
import html
import json
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager, suppress
from dataclasses import asdict
from datetime import datetime
from typing import Annotated

import uvicorn
from fastapi import FastAPI, WebSocket, WebSocketDisconnect
from fastapi.responses import HTMLResponse
from pydantic import BaseModel, Field, StringConstraints

from assistant.cook import Message
from assistant.terminal import Ticker
from assistant.wiring import Request, Running, kitchen_of
from scheduling.dispatch import View
from scheduling.queries import finished, now_steps, pace_s, service_at, starts_at, time_left

_LONGEST = 1000  # characters of one utterance
_MOST_WAITING = 1000  # messages that a slow reader may fall behind before it is cut off

Words = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=_LONGEST)]


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


def application(running: Running) -> FastAPI:
    """The service of one running cook."""
    readers: set[asyncio.Queue[Message]] = set()

    @asynccontextmanager
    async def lifespan(_: FastAPI) -> AsyncIterator[None]:
        loop = asyncio.get_running_loop()

        def spread(message: Message) -> None:
            for queue in list(readers):
                if not queue.full():
                    queue.put_nowait(message)

        def from_any_thread(message: Message) -> None:
            loop.call_soon_threadsafe(spread, message)

        detach = running.cook.attach(from_any_thread)
        yield
        detach()

    app = FastAPI(
        title="Hobside", version="0.1.0", lifespan=lifespan, docs_url=None, redoc_url=None,
        description="One live cook. The page at / lists this API; /ws streams messages.",
    )  # fmt: skip

    @app.get("/", response_class=HTMLResponse, include_in_schema=False)
    def api_page() -> str:
        return _page(app)

    @app.post("/say")
    def say(utterance: Utterance) -> Answered:
        """Take an utterance and answer it."""
        running.wait_for(utterance.text)
        reply = running.cook.say(utterance.text)
        asked = running.cook.understood
        return Answered(
            spoken=reply.spoken, shown=reply.shown, more=reply.more_shown,
            intent=asked.intent if asked else None,
        )  # fmt: skip

    @app.get("/state")
    def state() -> KitchenState:
        """What is on, what comes next, and when we eat."""
        return _state(running.cook.view())

    @app.websocket("/ws")
    async def messages(socket: WebSocket) -> None:
        await socket.accept()
        queue: asyncio.Queue[Message] = asyncio.Queue(_MOST_WAITING)
        readers.add(queue)
        sender = asyncio.create_task(_send(socket, queue))
        try:
            with suppress(WebSocketDisconnect):
                await _receive(socket, running)
        finally:
            readers.discard(queue)
            sender.cancel()

    return app


async def _send(socket: WebSocket, queue: asyncio.Queue[Message]) -> None:
    while True:
        message = await queue.get()
        await socket.send_json(asdict(message))


async def _receive(socket: WebSocket, running: Running) -> None:
    """Utterances as {"text": "..."}; anything else is answered with {"error": "..."}."""
    while True:
        try:
            utterance = Utterance.model_validate(json.loads(await socket.receive_text()))
        except ValueError:
            error = f'send {{"text": "..."}} of 1 to {_LONGEST} characters'
            await socket.send_json({"error": error})
            continue
        await asyncio.to_thread(running.wait_for, utterance.text)
        await asyncio.to_thread(running.cook.say, utterance.text)


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
        "<!doctype html><html lang=en><meta charset=utf-8><title>Hobside service</title>"
        "<h1>Hobside service</h1><table><tr><th>Method<th>Path<th>What it does"
        f"{''.join(rows)}<tr><td>WebSocket<td>/ws<td>Send {{&quot;text&quot;: &quot;…&quot;}}; "
        "every reply, call and notice comes as JSON</table>"
        "<p>The full description is at <a href=/openapi.json>/openapi.json</a> (OpenAPI).</html>"
    )


def _iso(at: float) -> str:
    return datetime.fromtimestamp(at).astimezone().isoformat(timespec="seconds")


def run(request: Request, host: str, port: int, fresh: bool) -> int:
    """Serve until interrupted."""
    with kitchen_of(request, keep=True, fresh=fresh) as running:
        running.start_server()
        running.cook.start(request.wanted_at)
        with Ticker(running.cook):
            print(f"Listening on http://{host}:{port}/ (this machine only by default)", flush=True)
            uvicorn.run(application(running), host=host, port=port, log_level="warning")
    return 0
