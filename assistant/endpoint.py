"""Where an utterance begins and ends, from the chance of speech in each 10 ms frame."""

from collections import deque
from dataclasses import dataclass, field

from assistant.denoise import FRAME_MS

# A frame counts as voiced above this chance of speech.
VOICED = 0.6

# Speech has begun when this much of the window was voiced; it includes the shortest words
# ("no", "done") and leaves out taps and clatter.
WINDOW_MS = 300
BEGUN_MS = 120

# Sound kept from before the beginning, so that first consonants are not cut.
PRE_ROLL_MS = 400

# A pause this long is worth a first decoding; one this long ends the utterance.
PAUSE_MS = 200
END_MS = 500

# A longer utterance is cut: a radio, or talk that is not meant for the assistant.
LONGEST_MS = 20_000


@dataclass
class Endpointer:
    """Follows one stream of frames."""

    speaking: bool = False
    silent_ms: int = 0
    length_ms: int = 0
    _window: deque[bool] = field(
        default_factory=lambda: deque(maxlen=WINDOW_MS // FRAME_MS), repr=False
    )

    def push(self, chance: float) -> None:
        """Take the next frame's chance of speech."""
        voiced = chance > VOICED
        self._window.append(voiced)
        if not self.speaking:
            if sum(self._window) * FRAME_MS >= BEGUN_MS:
                self.speaking, self.silent_ms = True, 0
                self.length_ms = PRE_ROLL_MS
            return
        self.length_ms += FRAME_MS
        # A click of 10 ms does not interrupt a silence; two voiced frames in a row do.
        if voiced and len(self._window) > 1 and self._window[-2]:
            self.silent_ms = 0
        else:
            self.silent_ms += FRAME_MS

    @property
    def paused(self) -> bool:
        return self.speaking and self.silent_ms >= PAUSE_MS

    @property
    def ended(self) -> bool:
        return self.speaking and (self.silent_ms >= END_MS or self.length_ms >= LONGEST_MS)

    def reset(self) -> None:
        """Wait for the next utterance."""
        self.speaking = False
        self.silent_ms = self.length_ms = 0
        self._window.clear()
