"""The terminal front: typed and spoken at once, calls unasked, a live line of what is on.

A pipe in place of a keyboard is a cook too: each line is an utterance, and the end of the lines
ends the program.
"""

import sys
import threading
from contextlib import ExitStack
from datetime import datetime

from prompt_toolkit import PromptSession
from prompt_toolkit.patch_stdout import patch_stdout

from assistant.cook import Cook, Message
from assistant.measures import clock, span
from assistant.two_forms import to_show
from assistant.voice import Voice
from assistant.wiring import Request, Running, kitchen_of
from scheduling.dispatch import View
from scheduling.queries import finished, now_steps, service_at, time_left

_TICK_S = 0.5
_LEAVES = frozenset({"quit", "exit", "bye", "goodbye"})


def run(request: Request, plain: bool, typed: bool, fresh: bool) -> int:
    """Cook at this terminal until the lines end or the cook leaves; returns the exit status."""
    piped = not sys.stdin.isatty()
    with ExitStack() as stack:
        running = stack.enter_context(kitchen_of(request, keep=True, fresh=fresh))
        stack.callback(running.cook.attach(_print_message))
        running.start_server()
        if not piped and not typed:
            stack.enter_context(Voice(running))
        _greet(running)
        running.cook.start(request.wanted_at)
        stack.enter_context(Ticker(running.cook))
        if piped:
            _read_lines(running)
        elif plain:
            _read_lines(running, prompt="> ")
        else:
            _converse(running)
    return 0


class Ticker:
    """Lets the cook's time pass, on a thread of its own, while a front waits for words."""

    def __init__(self, cook: Cook) -> None:
        self._cook = cook
        self._over = threading.Event()
        self._thread = threading.Thread(target=self._run, name="ticker", daemon=True)

    def __enter__(self) -> "Ticker":
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._over.set()
        self._thread.join()

    def _run(self) -> None:
        while not self._over.wait(_TICK_S):
            self._cook.tick()


def _greet(running: Running) -> None:
    view = running.cook.view()
    menu = view.menu
    begun = "Carrying on with" if running.resumed else "Cooking"
    print(f"{begun} {menu.title}, for {view.state.servings or menu.servings}.")
    print(f"We eat at {_time(service_at(view))}. Ask “what now?”, “what can I say?”.", flush=True)


def _print_message(message: Message) -> None:
    if message.kind in ("heard", "stop"):
        return
    lead = {"reply": "", "call": "» ", "notice": "* "}[message.kind]
    print(f"{lead}{message.shown}", flush=True)


def _read_lines(running: Running, prompt: str = "") -> None:
    while True:
        if prompt:
            print(prompt, end="", flush=True)
        line = sys.stdin.readline()
        if not line:
            return
        if not prompt and line.strip():
            print(f"> {line.strip()}", flush=True)
        if not _say(running, line):
            return


def _converse(running: Running) -> None:
    """A prompt with the live line below it, redrawn while the cook types."""
    session: PromptSession[str] = PromptSession(
        "> ", bottom_toolbar=lambda: live_line(running.cook.view()), refresh_interval=1.0
    )
    with patch_stdout():
        while True:
            try:
                line = session.prompt()
            except (EOFError, KeyboardInterrupt):
                return
            if not _say(running, line):
                return


def _say(running: Running, line: str) -> bool:
    """Take one typed line; returns whether to go on."""
    text = line.strip()
    if text.lower().strip(".!") in _LEAVES:
        return False
    if text:
        running.wait_for(text)
        running.cook.say(text)
    return True


def live_line(view: View) -> str:
    """What is on, in one line: the time, each thing under way with its time left, service."""
    parts = [_time(view.now)]
    for step in now_steps(view):
        left = time_left(view, step.key) or 0.0
        parts.append(f"{step.name} {to_show(span(left)) if left > 0 else 'time is up'}")
    parts.append("all done" if finished(view) else f"service {to_show(clock(service_at(view)))}")
    return "  |  ".join(parts)


def _time(at: float) -> str:
    return datetime.fromtimestamp(at).strftime("%H:%M")
