"""Build sheets and bench tickets on the way to paper: written in the background, said where they are, and opened."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QObject, QUrl, Slot
from PySide6.QtGui import QDesktopServices
from PySide6.QtWidgets import QFileDialog, QWidget

from app.message_line import MessageLine
from app.settings import Settings
from app.sheets import default_folder, make_folder, sheet_name, ticket_name
from app.tasks import Tasks
from core.language import tr
from core.workshop import Workshop


class SheetDesk(QObject):
    """Everything the window does with build sheets and bench tickets."""

    def __init__(
        self, parent: QWidget, workshop: Workshop, settings: Settings, tasks: Tasks, message: MessageLine
    ) -> None:
        super().__init__(parent)
        self._window, self._workshop, self._settings = parent, workshop, settings
        self._tasks, self._message = tasks, message
        self._sheet: Path | None = None

    def folder(self) -> Path:
        """Return the folder build sheets are kept in."""
        return Path(self._settings.sheet_folder or default_folder())

    @Slot(int, str)
    def make_sheet(self, job_id: int, copy: str) -> None:
        """Write a job's sheet in the background and say where it is."""
        job = self._workshop.state(job_id).context.job
        path = self.folder() / sheet_name(job, copy)
        page, person = self._settings.page, self._settings.person

        def write() -> Path:
            make_folder(path.parent)
            return self._workshop.write_sheet(job_id, path, copy=copy, page=page, person=person)

        self._tasks.run(write, self._sheet_written, tr("Writing the build sheet of job {number} …", number=job.number))

    def _sheet_written(self, path: Path) -> None:
        self._sheet = path
        self._message.say(
            tr("The build sheet is in {path}.", path=path), action=tr("Open the sheet"), act=self._open_sheet
        )

    @Slot(int, str, int)
    def make_ticket(self, job_id: int, stage: str, trial: int) -> None:
        """Write the bench ticket of a trial in the background and say where it is."""
        job = self._workshop.state(job_id).context.job
        path = self.folder() / ticket_name(job, stage, trial)

        def write() -> Path:
            # The typesetter takes a third of a second to load; the window should not wait for it.
            from core.sheet import put_sheet

            content = self._workshop.bench_ticket(job_id, stage)
            make_folder(path.parent)
            put_sheet(path, content)
            return path

        label = tr("Writing the bench ticket of job {number} …", number=job.number)
        self._tasks.run(write, self._ticket_written, label)

    def _ticket_written(self, path: Path) -> None:
        self._sheet = path
        self._message.say(
            tr("The bench ticket is in {path}.", path=path), action=tr("Open the ticket"), act=self._open_sheet
        )

    def _open_sheet(self) -> None:
        if self._sheet is not None:
            QDesktopServices.openUrl(QUrl.fromLocalFile(str(self._sheet)))

    @Slot()
    def choose_folder(self) -> None:
        """Ask where build sheets are kept from now on."""
        chosen = QFileDialog.getExistingDirectory(self._window, tr("Keep build sheets in"), str(self.folder()))
        if chosen:
            self._settings.sheet_folder = chosen
            self._settings.save()
