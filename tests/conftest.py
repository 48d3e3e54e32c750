"""What many tests share: the phrase book, and one real intent server for the whole run."""

from collections.abc import Iterator

import pytest

from assistant.intent_server import IntentServer
from assistant.phrasebook import PhraseBook, read_phrase_book
from assistant.training import HERE, train
from scheduling import reasons


@pytest.fixture(autouse=True)
def patience(monkeypatch: pytest.MonkeyPatch) -> None:
    """What is found does not hang on how busy the machine is that runs the tests."""
    monkeypatch.setattr(reasons, "LIMIT_S", 20.0)


@pytest.fixture(scope="session")
def phrase_book() -> PhraseBook:
    return read_phrase_book(HERE.phrases)


@pytest.fixture(scope="session")
def intent_server() -> Iterator[IntentServer]:
    """Rasa's own server with the model of the phrase book, trained first when it is not there."""
    train()
    server = IntentServer()
    server.start()
    try:
        assert server.wait(120.0), "see models/intent-server.log"
        yield server
    finally:
        server.close()
