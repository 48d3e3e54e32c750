"""From a time of day to the moment that is meant, where the clocks change too."""

from datetime import datetime, timedelta


def next_shown(hour: int, minute: int, now: float) -> float:
    """The next moment, now or later, at which the wall clock here shows HH:MM, POSIX seconds.

    When clocks go back an hour is shown twice: the first time it is shown from now on is meant.
    When they go forward an hour is not shown at all: a time in it is counted as if they had not
    gone (02:30 for 01:30), as RFC 5545, 3.3.5 reads such a time; once they have, the next day's
    is meant.
    """
    here = datetime.fromtimestamp(now).replace(fold=0)
    today = here.replace(hour=hour, minute=minute, second=0, microsecond=0)
    moments = [at for days in range(2) for at in _moments(today + timedelta(days), here)]
    return min(at for at in moments if at >= now)


def _moments(day: datetime, here: datetime) -> list[float]:
    """When the wall clock shows this; here: what it shows now."""
    moments = [day.replace(fold=fold).timestamp() for fold in (0, 1)]
    shown = [at for at in moments if datetime.fromtimestamp(at).replace(fold=0) == day]
    return shown or ([moments[0]] if day >= here else [])
