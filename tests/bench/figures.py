"""The figures of the README: `make bench`. Prints a table; each row says how it was got."""

import statistics
import subprocess
import sys
import time
from collections.abc import Callable, Iterator

import psutil

from assistant import wiring
from assistant.running import kitchen_of
from domain.cookbook import names
from tests.bench import scheduling
from tests.bench.understanding import lines

ROWS = "{:52} {:>14} {:>12}"
EXACT = "what now"
WANTS_SERVER = "which job would you have me do at this very moment"


def main() -> None:
    """Print every figure with its aim, and how the planner does on menus of all sizes."""
    print(ROWS.format("figure", "measured", "aim"))
    for row in (*planning(), *starting(), *answering()):
        print(ROWS.format(*row), flush=True)
    print()
    scheduling.report(scheduling.CHART)


def planning() -> Iterator[tuple[str, str, str]]:
    """Each sample menu planned five times from nothing; the median."""
    for name in names("menus"):
        request = wiring.request([name], None, None, "18:00")
        took, proven = [], True
        for _ in range(5):
            began = time.perf_counter()
            proven = wiring.planned(request).proven and proven
            took.append(time.perf_counter() - began)
        what = f"plan {name} ({len(request.menu.steps)} steps), proven: {proven}"
        yield what, f"{statistics.median(took):.2f} s", "1 s"


def starting() -> Iterator[tuple[str, str, str]]:
    """A fresh process, from its start to its reply to a piped line."""
    yield "first exact reply after start", f"{_first_reply(EXACT):.1f} s", "3 s"
    yield "first reply that needs the server", f"{_first_reply(WANTS_SERVER):.1f} s", "20 s"


def _first_reply(text: str) -> float:
    began = time.perf_counter()
    command = [sys.executable, "-m", "assistant.cli", "cook", "--fresh"]
    with subprocess.Popen(
        command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True
    ) as process:
        assert process.stdin is not None
        assert process.stdout is not None
        process.stdin.write(f"{text}\n")
        process.stdin.flush()
        for line in process.stdout:
            if line.startswith("> "):
                break
        while process.stdout.readline().startswith(("»", "*")):  # calls and notices are no reply
            pass
        took = time.perf_counter() - began
        process.stdin.close()
        process.stdout.read()
    return took


def answering() -> Iterator[tuple[str, str, str]]:
    """Every question of the open unseen lines of one menu, to one running cook, one by one."""
    request = wiring.request(["harbour-supper"], None, None, "18:00")
    questions = [line["say"] for line in lines("open") if line.get("menu") == "harbour-supper"]
    with kitchen_of(request, keep=False) as running:
        running.start_server()
        running.wait_until_ready()
        running.cook.start(request.wanted_at)
        running.cook.say("hello")
        took = sorted(_timed(lambda text=text: running.cook.say(text)) for text in questions)
        here = psutil.Process()
        main_mb = here.memory_info().rss / 1e6
        server_mb = sum(child.memory_info().rss for child in here.children(recursive=True)) / 1e6
    p95 = took[int(0.95 * len(took))]
    yield f"typed question to reply, median of {len(took)}", _ms(statistics.median(took)), ""
    yield "typed question to reply, 95th percentile", _ms(p95), "50 ms"
    yield "memory of the main process, without Vosk", f"{main_mb:.0f} MB", "500 MB"
    yield "memory of the intent server", f"{server_mb:.0f} MB", "700 MB"


def _timed(act: Callable[[], object]) -> float:
    began = time.perf_counter()
    act()
    return time.perf_counter() - began


def _ms(seconds: float) -> str:
    return f"{1000 * seconds:.0f} ms"


if __name__ == "__main__":
    main()
