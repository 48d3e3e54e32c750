"""Things made on a thread of their own, a little ahead of whoever takes them."""

import queue
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TypeVar

_T = TypeVar("_T")
_LOOK_S = 0.05  # how soon a maker whose things nobody wants any more ends


@contextmanager
def made_ahead(make: Callable[[], Iterator[_T]], most: int) -> Iterator[Iterator[_T]]:
    """What `make()` yields, made at once and at most so many things ahead.

    Leaving ends the making; what is raised in it is raised where its next thing would come.
    """
    ready: queue.Queue[tuple[bool, _T | Exception | None]] = queue.Queue(most)
    left = threading.Event()

    def put(last: bool, thing: _T | Exception | None) -> None:
        while not left.is_set():
            try:
                return ready.put((last, thing), timeout=_LOOK_S)
            except queue.Full:
                continue

    def work() -> None:
        try:
            for thing in make():
                put(False, thing)
                if left.is_set():
                    return
        except Exception as trouble:  # for the one who waits
            put(True, trouble)
        else:
            put(True, None)

    def taken() -> Iterator[_T]:
        while True:
            last, thing = ready.get()
            if isinstance(thing, Exception):
                raise thing
            if last:
                return
            yield thing  # type: ignore[misc]  # not the last one's None

    threading.Thread(target=work, name="ahead", daemon=True).start()
    try:
        yield taken()
    finally:
        left.set()
