"""The clock of a drill: by turns, where only acts and waiting take time, or live, as fast as the real one or faster."""
from __future__ import annotations

import time
from collections.abc import Callable
from typing import Protocol


class Clock(Protocol):
    """Seconds since the drill began. Never runs back."""

    live: bool
    """Whether time passes while nobody types."""

    def now(self) -> float:
        """The time now."""

    def come_to(self, t_s: float) -> None:
        """An act or a wait has brought the drill to this time."""

    def pause(self) -> None:
        """Stand still until `go`."""

    def go(self) -> None:
        """Run on."""


class Turns:
    """Time passes by acts and waiting alone."""

    live = False

    def __init__(self, at_s: float = 0.0) -> None:
        self._at_s = at_s

    def now(self) -> float:
        """The time now."""
        return self._at_s

    def come_to(self, t_s: float) -> None:
        """An act or a wait has brought the drill to this time."""
        self._at_s = max(self._at_s, t_s)

    def pause(self) -> None:
        """It stands still as it is."""

    def go(self) -> None:
        """It stands still as it is."""


class Live:
    """Time passes `factor` times as fast as on `real`, a clock in seconds; acts put it forward as well."""

    live = True

    def __init__(self, at_s: float = 0.0, factor: float = 1.0, real: Callable[[], float] = time.monotonic) -> None:
        self._factor, self._real = factor, real
        self._at_s, self._since, self._running = at_s, real(), True

    def now(self) -> float:
        """The time now."""
        return self._at_s + (self._real() - self._since) * self._factor if self._running else self._at_s

    def come_to(self, t_s: float) -> None:
        """An act or a wait has brought the drill to this time."""
        self._at_s, self._since = max(self.now(), t_s), self._real()

    def pause(self) -> None:
        """Stand still until `go`."""
        self._at_s, self._running = self.now(), False

    def go(self) -> None:
        """Run on."""
        if not self._running:
            self._since, self._running = self._real(), True
