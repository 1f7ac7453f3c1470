"""Work that may take longer than a tenth of a second: off the window's thread, one job at a time, with cancel.

One worker thread, so that two long jobs never race for the logbook; what is done with a result always runs on the
window's thread. A task that was cancelled keeps running to its end in the worker (a half-written sheet is never left
behind: it is written aside and renamed), but its result is dropped.
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import CancelledError, Future, ThreadPoolExecutor
from typing import Any, TypeVar

from PySide6.QtCore import QObject, Signal, Slot

Result = TypeVar("Result")


class Tasks(QObject):
    """The background worker of one window.

    Signals
    -------
    started(str)
        A task with a label a person should see has begun.
    finished()
        No labelled task is left.
    """

    started = Signal(str)
    finished = Signal()
    _arrived = Signal(object)

    def __init__(self, failed: Callable[[BaseException], None], parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._failed = failed
        self._worker = ThreadPoolExecutor(max_workers=1, thread_name_prefix="pinionbook-work")
        self._waiting: dict[Future[Any], tuple[Callable[[Any], None], str]] = {}
        self._is_closed = False
        # Queued across threads because this object lives on the window's thread.
        self._arrived.connect(self._deliver)

    def run(self, work: Callable[[], Result], done: Callable[[Result], None], label: str = "") -> Future[Result]:
        """Run `work` in the worker and `done` with its result on the window's thread; neither once it was closed."""
        if self._is_closed:
            # A page may still be redrawn while its window closes.
            never: Future[Result] = Future()
            never.cancel()
            return never
        future = self._worker.submit(work)
        self._waiting[future] = (done, label)
        if label:
            self.started.emit(label)
        future.add_done_callback(self._arrived.emit)
        return future

    def cancel(self) -> None:
        """Drop every labelled task: what has not begun never does, what runs is not delivered."""
        for future, (_, label) in list(self._waiting.items()):
            if label:
                future.cancel()
                self._waiting.pop(future, None)
        self.finished.emit()

    def close(self) -> None:
        """Wait for the running task and end the worker; undelivered results are dropped."""
        self._is_closed = True
        self._waiting.clear()
        self._worker.shutdown(wait=True, cancel_futures=True)

    @Slot(object)
    def _deliver(self, future: Future[Any]) -> None:
        done, label = self._waiting.pop(future, (None, ""))
        if done is None:
            return
        if label and not any(waiting_label for _, waiting_label in self._waiting.values()):
            self.finished.emit()
        try:
            result = future.result()
        except CancelledError:
            return
        except Exception as error:
            self._failed(error)
            return
        done(result)
