"""Background questions of which only the newest answer counts."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Future
from typing import Any, Protocol, TypeVar

Result = TypeVar("Result")


class Run(Protocol):
    """How a page has work done off the window's thread (`app.tasks.Tasks.run`)."""

    def __call__(self, work: Callable[[], Result], done: Callable[[Result], None]) -> Future[Result] | None:
        """Do the work and hand its result to `done` on the window's thread."""


class Latest:
    """Asks again and again, as somebody types, and drops every answer but the one to the last question."""

    def __init__(self, run: Run) -> None:
        self._run = run
        self._asked = 0
        self._running: Future[Any] | None = None

    def ask(self, work: Callable[[], Result], done: Callable[[Result], None]) -> None:
        """Have `work` done; `done` gets the result unless something was asked since."""
        self.drop()
        mine = self._asked

        def hand_on(result: Result) -> None:
            if mine == self._asked:
                done(result)

        self._running = self._run(work, hand_on)

    def drop(self) -> None:
        """Forget whatever was asked; what has not begun yet never does."""
        self._asked += 1
        if self._running is not None:
            self._running.cancel()
            self._running = None
