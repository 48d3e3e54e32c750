"""Write transcripts anew from what their cooks say: `python -m tests.transcripts [NAME...]`."""

import sys

from assistant.intent_server import IntentServer
from assistant.training import train
from scheduling import reasons
from tests.transcripts.transcript import FOLDER, names, read, replayed


def main() -> None:
    train()
    reasons.LIMIT_S = 20.0  # as in the tests: what is found does not hang on a busy machine
    server = IntentServer()
    server.start()
    try:
        if not server.wait(120.0):
            sys.exit("the intent server does not start; see models/intent-server.log")
        for name in sys.argv[1:] or names():
            file = FOLDER / f"{name}.txt"
            file.write_text(replayed(read(file.read_text()), server))
            print(file)
    finally:
        server.close()


if __name__ == "__main__":
    main()
