"""What the bench does when a job is handed over: asks for its sheet, signs it, opens it again."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QWidget

from app.bench.finish import HandOver
from app.bench.gauges import BenchSettings
from core.errors import PinError, UserError
from core.facts import Job
from core.language import tr
from core.workshop import Workshop


class HandingOver(QObject):
    """Everything the bench does at the end of the last stage; the page only says what it shows.

    Signals
    -------
    sheet_wanted(job_id, copy)
        A build sheet is wanted, and all that is typed is stored.
    person_wanted()
        Somebody is to say who is at the bench.
    changed(state)
        The job was signed or opened again: it is judged anew.
    """

    sheet_wanted = Signal(int, str)
    person_wanted = Signal()
    changed = Signal(object)

    def __init__(
        self, parent: QWidget, workshop: Workshop, settings: BenchSettings, left_over: Callable[[], list[str]]
    ) -> None:
        super().__init__(parent)
        self._workshop, self._settings, self._left_over = workshop, settings, left_over
        self._end: HandOver | None = None
        self._job: Job | None = None

    def adopt(self, end: HandOver) -> None:
        """Do what is asked for under the last stage."""
        self._end = end
        end.sheet_wanted.connect(self._want_sheet)
        end.sign_wanted.connect(self._sign)
        end.reopen_wanted.connect(self._reopen)

    def show_job(self, job: Job) -> None:
        """Show whether the job is signed, and who at the bench may sign it."""
        self._job = job
        if self._end is not None:
            self._end.show_job(job, self._settings.person)

    def leave(self) -> None:
        """Forget the job that was shown."""
        self._end = self._job = None

    def _want_sheet(self, copy: str) -> None:
        if self._job is not None and self._is_settled():
            self.sheet_wanted.emit(self._job.id, copy)

    def _sign(self) -> None:
        if not self._settings.person:
            self.person_wanted.emit()
        elif self._end is not None and self._is_settled():
            pin = self._end.pin.text()
            self._hand_over(lambda job_id, person: self._workshop.sign(job_id, person, pin))

    def _reopen(self, reason: str) -> None:
        self._hand_over(lambda job_id, person: self._workshop.reopen(job_id, person, reason))

    def _hand_over(self, act: Callable[[int, str], object]) -> None:
        if self._job is None or self._end is None:
            return
        try:
            act(self._job.id, self._settings.person)
        except PinError as error:
            self._end.ask_pin(error, self._settings.person)
        except UserError as error:
            self._end.refuse(str(error))
        else:
            self.changed.emit(self._workshop.state(self._job.id))

    def _is_settled(self) -> bool:
        """Store what is typed; say which field stands in the way where that cannot be done."""
        unsaved = self._left_over()
        if unsaved and self._end is not None:
            self._end.refuse(tr("First finish what is not saved yet: {fields}.", fields=", ".join(unsaved)))
        return not unsaved
