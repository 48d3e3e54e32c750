"""Whether what is heard is for us: by our name, after a key, as an answer, or all that is said.

Time is told by the sound that was heard, so that nothing here looks at a clock.
"""

import re
from typing import Literal

from assistant.audio import CHUNK_MS

Mode = Literal["open", "name", "key"]

# After our name alone, a key, or our own question an utterance may begin for so long; after we
# spoke, "stop" is still meant for us for so long: our own choices.
LISTENS_MS, ANSWERS_MS = 8000, 5000
_BEFORE_NAME = r"(?:(?:hey|hi|hello|okay|ok|so|and|please)[\s,]+)?"


def without_name(text: str, called: str) -> tuple[str, bool]:
    """`text` without our name at its beginning or end, and whether it was there.

    The name alone leaves nothing.
    """
    name = r"[\s-]*".join(map(re.escape, called.split()))
    first = re.match(rf"\s*{_BEFORE_NAME}{name}(?![\w'’])[\s,.:!?]*", text, re.IGNORECASE)
    if first:
        return text[first.end() :], True
    last = re.search(rf"[\s,]+{name}[\s.!?]*$", text, re.IGNORECASE)
    return (text[: last.start()], True) if last else (text, False)


class Addressed:
    """Follows what one microphone hears: for whom it is, and for how long we listen for more."""

    def __init__(self) -> None:
        self._called_ms = self._asked_ms = 0
        self._since_ours_ms = float("inf")
        self._begun: tuple[bool, bool] | None = None

    def call(self) -> None:
        """By our name alone or by a key: the next utterance is meant for us."""
        self._called_ms = LISTENS_MS

    def ask(self) -> None:
        """We have asked something: the next utterance may be the answer."""
        self._asked_ms = LISTENS_MS

    def pass_time(self, speaking: bool, hearing: bool) -> None:
        """One chunk of sound later. speaking: whether we are; hearing: words are being said."""
        if hearing and self._begun is None:
            self._begun = self._called_ms > 0, self._asked_ms > 0
        self._since_ours_ms = 0 if speaking else self._since_ours_ms + CHUNK_MS
        if not speaking:  # who is asked waits for the end of the question
            self._called_ms = max(0, self._called_ms - CHUNK_MS)
            self._asked_ms = max(0, self._asked_ms - CHUNK_MS)

    @property
    def just_spoke(self) -> bool:
        """Whether we speak or have just spoken, so that "stop" needs no name."""
        return self._since_ours_ms <= ANSWERS_MS

    def called(self, named: bool) -> bool:
        """Whether the utterance is meant for us beyond doubt: by name or after a key."""
        return named or (self._begun is not None and self._begun[0])

    def takes(self, named: bool, mode: Mode) -> bool:
        """Whether the utterance is taken for ours. named: our name was in it."""
        answers = self._begun is not None and self._begun[1]
        return mode == "open" or self.called(named) or answers

    def ended(self) -> None:
        """The utterance is over; what was opened for it is closed."""
        if self._begun is not None and any(self._begun):
            self._called_ms = self._asked_ms = 0
        self._begun = None

    def nothing_said(self) -> None:
        """What seemed to be speech was none."""
        self._begun = None
