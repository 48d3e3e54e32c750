"""What came of an event, or what would come of one."""

from dataclasses import dataclass

from scheduling.events import Event
from scheduling.queries import service_at
from scheduling.view import View


@dataclass(frozen=True)
class Outcome:
    """What came of an event. refused: why it was not taken, None when it was.

    event: as stored. also: what the clock then began or ended. before, after: the view on
    either side; moved_s: seconds that service moved later (+) or earlier (-).
    """

    before: View
    after: View
    refused: str | None = None
    event: Event | None = None
    also: tuple[Event, ...] = ()

    @property
    def moved_s(self) -> float:
        return service_at(self.after) - service_at(self.before)
