"""Makes backups while a window is open: at opening, every few hours, at closing, and whenever somebody asks for one."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Future, wait
from typing import Any, Protocol

from PySide6.QtCore import QEventLoop, QObject, QTimer, Signal
from PySide6.QtWidgets import QApplication

from app.settings import Settings
from core.errors import DamagedLogbookError, UserError
from core.language import tr
from core.records.backups import Backup
from core.workshop import Workshop

EVERY_HOURS = 3
_LOOK_EVERY_S = 0.05

Result = Backup | UserError | None


class Runner(Protocol):
    """How work gets off the window's thread: `app.tasks.Tasks.run`."""

    def __call__(self, work: Callable[[], Any], done: Callable[[Any], None], label: str = "") -> Future[Any]:
        """Run `work`, then `done` with its result on the window's thread."""
        ...


def at_once(work: Callable[[], Any], done: Callable[[Any], None], label: str = "") -> Future[Any]:
    """Run work on this thread; for a page that stands by itself."""
    future: Future[Any] = Future()
    future.set_result(work())
    done(future.result())
    return future


def unheard(sentence: str, is_fault: bool = False) -> None:
    """Say something to nobody."""


class Keeper(QObject):
    """The backups of one window; off its thread, and only when something was entered since the last.

    Signals
    -------
    changed()
        A backup was made, could not be made, or goes elsewhere from now on.
    damaged(object)
        The logbook itself does not read back whole; the error comes with it.
    """

    changed = Signal()
    damaged = Signal(object)

    def __init__(
        self,
        workshop: Workshop,
        settings: Settings,
        run: Runner = at_once,
        say: Callable[[str, bool], None] = unheard,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._workshop = workshop
        self._settings = settings
        self.run = run
        self._say = say
        self._is_on = False
        self.trouble = ""
        self._warned_of = ""
        self._timer = QTimer(self)
        self._timer.setInterval(EVERY_HOURS * 3_600_000)
        self._timer.timeout.connect(self.back_up_if_grown)

    @property
    def folder(self) -> str:
        """The folder backups are kept in, "" for the usual one."""
        return self._settings.backup_folder

    def keep_in(self, folder: str) -> None:
        """Keep backups in another folder from now on; "" for the usual one."""
        self._settings.backup_folder = folder
        self._settings.save()
        self.trouble = ""
        self.changed.emit()

    def start(self) -> None:
        """Make backups from now on until the window closes."""
        self._is_on = True
        self._timer.start()
        self.back_up_if_grown()

    def stop(self) -> None:
        """Make no more of them, not at closing either."""
        self._is_on = False
        self._timer.stop()

    def back_up_if_grown(self) -> None:
        """Make a backup if anything was entered since the last one; only what goes wrong is said."""
        self.run(self._if_grown(), self._take)

    def back_up_now(self) -> None:
        """Make a backup because somebody asked for it, and say where it is."""
        folder = self.folder
        self.run(tried(lambda: self._workshop.back_up(folder)), self._told, tr("Making a backup …"))

    def may_close(self) -> bool:
        """Make the last backup and wait for it; where it cannot be made, say so and hold the window once."""
        if not self._is_on:
            return True
        future = self.run(self._if_grown(), _nothing)
        while not wait([future], _LOOK_EVERY_S).done:
            QApplication.processEvents(QEventLoop.ProcessEventsFlag.ExcludeUserInputEvents)
        result = future.result()
        sentence = self._sentence(result) if isinstance(result, UserError) else ""
        if not sentence or sentence == self._warned_of:
            return True
        self._warned_of = sentence
        self._take(result)
        if not isinstance(result, DamagedLogbookError):
            self._say(tr("{trouble} Close once more to leave without it.", trouble=sentence), True)
        return False

    def _if_grown(self) -> Callable[[], Result]:
        folder = self.folder
        return tried(lambda: self._workshop.back_up_if_grown(folder))

    def _told(self, result: Result) -> None:
        self._take(result)
        if isinstance(result, Backup):
            self._say(tr("A backup was made and compared: {path}.", path=result.path), False)

    def _take(self, result: Result) -> None:
        self.trouble = self._sentence(result) if isinstance(result, UserError) else ""
        if isinstance(result, DamagedLogbookError):
            self.stop()
            self.damaged.emit(result)
        elif self.trouble:
            self._say(self.trouble, True)
        self.changed.emit()

    def _sentence(self, error: UserError) -> str:
        return tr("No backup was made: {sentence}", sentence=str(error))


def _nothing(_: Result) -> None:
    """Take a result that is waited for elsewhere."""


def tried(act: Callable[[], Backup | None]) -> Callable[[], Result]:
    """Return work that hands back what a person can put right instead of raising it."""

    def work() -> Result:
        try:
            return act()
        except UserError as error:
            return error

    return work
