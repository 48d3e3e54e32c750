"""Runs Rasa's own command line, and ends when the process that started it has gone.

argv: Rasa's words. AUTH_TOKEN: the token it asks for. PARENT_PIPE: a file descriptor that reads
to its end when the parent is gone.
Runs in Rasa's environment, so it must not import from the assistant.
"""

import os
import sys
import threading

from rasa.__main__ import main


def end_with_parent(pipe: int) -> None:
    os.read(pipe, 1)
    os._exit(0)


if __name__ == "__main__":
    pipe = int(os.environ["PARENT_PIPE"])
    sys.argv += ["--auth-token", os.environ.pop("AUTH_TOKEN")]
    threading.Thread(target=end_with_parent, args=(pipe,), daemon=True).start()
    main()
