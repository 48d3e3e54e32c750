"""How much of one resource is taken at which time: a step function, quick to ask and to change."""

from bisect import bisect_left, bisect_right

FAR_S = 1 << 40  # later than anything


class Timeline:
    """Stretch i lasts from _from[i] until _from[i + 1], the last one without end."""

    def __init__(self) -> None:
        self._from = [-FAR_S]
        self._taken = [0]

    def take(self, start_s: int, end_s: int, amount: int) -> None:
        """From start to end, amount more is taken (less, if it is negative)."""
        if start_s < end_s and amount:
            first = self._cut(start_s)
            for stretch in range(first, self._cut(end_s)):
                self._taken[stretch] += amount

    def last_over(self, start_s: int, end_s: int, room: int) -> int | None:
        """When the last stretch between start and end that takes more than room is over."""
        stretch = bisect_left(self._from, end_s) - 1
        until_s = self._from[stretch + 1] if stretch + 1 < len(self._from) else FAR_S
        while until_s > start_s:
            if self._taken[stretch] > room:
                return until_s
            until_s = self._from[stretch]
            stretch -= 1
        return None

    def first_over(self, start_s: int, end_s: int, room: int) -> int | None:
        """When the first stretch between start and end that takes more than room begins."""
        for stretch in range(bisect_right(self._from, start_s) - 1, len(self._from)):
            if self._from[stretch] >= end_s:
                return None
            if self._taken[stretch] > room:
                return self._from[stretch]
        return None

    def _cut(self, at_s: int) -> int:
        """The stretch that begins at this time, made by cutting one in two where there is none."""
        stretch = bisect_left(self._from, at_s)
        if stretch == len(self._from) or self._from[stretch] != at_s:
            self._from.insert(stretch, at_s)
            self._taken.insert(stretch, self._taken[stretch - 1])
        return stretch
