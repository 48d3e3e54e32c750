"""The terminal front: typed and spoken at once, calls unasked, a live line of what is on.

A pipe in place of a keyboard is a cook too: each line is an utterance, and the end of the lines
ends the program. Enter alone, from a keyboard or a pedal that sends it, has us listen.
"""

import contextlib
import sys
import threading
from collections.abc import Iterator
from contextlib import ExitStack

from assistant.answer_learned import in_use_line, offered_line
from assistant.cook import Message, Ticker
from assistant.foretold import drafts_told
from assistant.measures import clock, span
from assistant.run_sheet_words import clean
from assistant.running import Running, kitchen_of
from assistant.two_forms import to_show
from assistant.wiring import LATE_S, Request, why_late_at_all
from scheduling.queries import finished, next_steps, now_steps, service_at, starts_at, time_left
from scheduling.view import View

_LEAVES = frozenset({"quit", "exit", "bye", "goodbye"})
_LEADS = {"heard": "heard: ", "reply": "", "call": "» ", "notice": "* "}


def run(request: Request, plain: bool, typed: bool, fresh: bool) -> int:
    """Cook at this terminal until the lines end or the cook leaves; returns the exit status."""
    piped = not sys.stdin.isatty()
    with ExitStack() as stack:
        running = stack.enter_context(kitchen_of(request, keep=True, fresh=fresh))
        running.start()
        for line in greeting(running):
            print(line, flush=True)
        stack.callback(running.cook.attach(_print_message))
        running.start_server()
        if not piped and not typed:
            from assistant.voice import Voice

            stack.enter_context(Voice(running))
        stack.enter_context(Ticker(running.cook))
        if piped or plain or not sys.stdout.isatty():
            _read_lines(running, echo=piped)
        else:
            _converse(running)
    return 0


def greeting(running: Running) -> Iterator[str]:
    """What is cooked, when we eat and, if that is not the time asked for, why."""
    view = running.cook.view()
    what = f"{clean(view.menu.title)}, for {view.state.servings}, in {clean(view.kitchen.title)}"
    if running.resumed:
        begun = clock(view.state.started_at or view.now)
        yield to_show(f"Carrying on with {what}, begun at {begun}. To begin anew: --fresh.")
    else:
        yield f"Cooking {what}."
    at, wanted = service_at(view), view.state.wanted_at
    yield to_show(f"We eat at {clock(at)}, in {span(max(0.0, at - view.now))}.")
    if wanted is not None and at - wanted >= LATE_S:
        yield to_show(f"Service at {clock(wanted)} cannot be; {clock(at)} is the earliest.")
        why = () if running.resumed else why_late_at_all(running.request, view.timetable)
        yield from map(clean, (*view.timetable.missed, *why))
    if not running.resumed:
        own = running.request.learned
        lines = in_use_line(own, view.menu), offered_line(own, view.menu)
        yield from (clean(line) for line in lines if line)
        yield from drafts_told(view.menu)
    yield "Ask “what now?” or “what can I say?”. “quit” leaves."


def live_line(view: View, hearing: str = "") -> str:
    """What is on, in one line, the most important first: a narrow screen shows only that.

    hearing: words that are being said, which go before all else.
    """
    parts = [f"{hearing} …"] if hearing else []
    parts += [
        clock(view.now),
        "all done" if finished(view) else f"service {clock(service_at(view))}",
    ]
    if view.state.paused_at is not None:
        parts.append("paused")
    on = now_steps(view)
    for step in on:
        left = time_left(view, step.key) or 0.0
        parts.append(f"{step.name} {span(left) if left > 0 else '(time is up)'}")
    if not on and (coming := next_steps(view)):
        parts.append(f"at {clock(starts_at(view, coming[0].key))} {coming[0].name}")
    return clean(to_show(" | ".join(parts)))


def _print_message(message: Message) -> None:
    typed = message.kind == "heard" and threading.current_thread() is threading.main_thread()
    if message.kind not in _LEADS or typed:
        return
    # Whoever read our output may have gone; the next line that is read finds that out.
    with contextlib.suppress(BrokenPipeError):
        for line in message.shown.splitlines():
            print(f"{_LEADS[message.kind]}{clean(line)}", flush=True)


def _read_lines(running: Running, echo: bool) -> None:
    """Utterances line by line, nothing redrawn. echo: print them, where no keyboard shows them."""
    for line in sys.stdin:
        if echo and line.strip():
            print(f"> {clean(line.strip())}", flush=True)
        if not _say(running, line):
            return


def _converse(running: Running) -> None:
    """A prompt with the live line below it, redrawn while the cook types."""
    from prompt_toolkit import PromptSession
    from prompt_toolkit.patch_stdout import patch_stdout

    hearing = ""

    def toolbar() -> str:
        return live_line(running.cook.view(), hearing)

    def show(message: Message) -> None:
        nonlocal hearing
        if message.kind == "hearing":
            hearing = message.shown
            session.app.invalidate()

    session: PromptSession[str] = PromptSession("> ", bottom_toolbar=toolbar, refresh_interval=1.0)
    with patch_stdout(), ExitStack() as stack:
        stack.callback(running.cook.attach(show))
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
        running.say(text)
    else:
        running.cook.listen()
    return True
