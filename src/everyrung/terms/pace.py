"""How long a long work still takes, by the rate that was measured lately."""

import time
from collections import deque
from collections.abc import Callable

WINDOW_S = 30.0  # of the measured rate; chosen, because what was kept from before comes in a flash and says nothing
LEAST_S = 2.0  # before anything is said; chosen, because a shorter stretch only tells of its first step


class Pace:
    """The rate of one work that is done in a known number of steps."""

    def __init__(self, now_s: Callable[[], float] = time.monotonic) -> None:
        self._now_s = now_s
        self._points: deque[tuple[float, int]] = deque()

    def left_s(self, count: int, total: int) -> float | None:
        """The seconds to go when `count` steps are done; None while nothing can be said yet."""
        now = self._now_s()
        if self._points and count < self._points[-1][1]:
            self._points.clear()  # another work began
        self._points.append((now, count))
        while len(self._points) > 2 and now - self._points[1][0] > WINDOW_S:
            self._points.popleft()
        began, before = self._points[0]
        if count <= before or now - began < LEAST_S:
            return None
        return (total - count) * (now - began) / (count - before)


def left_words(left_s: float | None) -> str:
    """'about 3 min to go', 'about 20 s to go'; nothing where nothing can be said."""
    if left_s is None:
        return ""
    if left_s >= 90:
        return f"about {round(left_s / 60)} min to go"
    return f"about {max(1, round(left_s / 10)) * 10} s to go"
