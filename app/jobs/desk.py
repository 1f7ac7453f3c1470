"""The desk: find a job, open it, begin one, and see what the same unit was like before."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent, QShortcut, QShowEvent
from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QVBoxLayout, QWidget

from app.jobs.form import button
from app.jobs.job_rows import JOB_COLUMNS, MARKS_COLUMN, MarksDelegate
from app.jobs.latest import Latest, Run
from app.jobs.panes import Panes
from app.jobs.rows import RowsView
from app.jobs.timeline import Timeline
from app.jobs.visits import Visit, visit
from app.theme import GRID
from app.widgets.sentences import words
from core.language import tr
from core.workshop import JobRow, Workshop

LEAST_DIGITS = 150
"""So many digits must fit across the page before the history stands beside the jobs."""


class SearchLine(QLineEdit):
    """What to look for; the arrow down and Enter go on into what was found."""

    gone_down = Signal()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Down and Enter leave for the list; Escape empties the line."""
        if event.key() in (Qt.Key.Key_Down, Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.gone_down.emit()
        elif event.key() == Qt.Key.Key_Escape and self.text():
            self.clear()
        else:
            super().keyPressEvent(event)


class DeskPage(QWidget):
    """Search, the jobs as rows, and the chosen unit's visits along a line."""

    job_wanted = Signal(int)
    new_job_wanted = Signal()

    def __init__(self, workshop: Workshop, run: Run, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._workshop = workshop
        self._search = Latest(run)
        self._history = Latest(run)
        self.search = SearchLine()
        self.search.setAccessibleName(tr("Find jobs"))
        self.search.setAccessibleDescription(tr("Unit serial, customer, job number, or any word."))
        self.open_job = button(tr("Open job"))
        self.open_job.setEnabled(False)
        self.new_job = button(tr("New job"), "main")
        self.found = words(tr("Looking through the logbook …"), "quiet")
        self.jobs = RowsView(JOB_COLUMNS, tr("Jobs"))
        self.jobs.setItemDelegateForColumn(MARKS_COLUMN, MarksDelegate(self.jobs))
        self.unit = words(role="strong")
        self.timeline = Timeline()
        self._lay_out()
        self._connect()

    def _lay_out(self) -> None:
        self.top = QWidget()
        top = QHBoxLayout(self.top)
        top.setContentsMargins(0, 0, 0, 0)
        top.setSpacing(GRID)
        search_label = words(tr("Find"), wraps=False)
        search_label.setBuddy(self.search)
        top.addWidget(search_label)
        top.addWidget(self.search, 1)
        top.addSpacing(2 * GRID)
        top.addWidget(self.open_job)
        top.addWidget(self.new_job)
        panes = Panes(
            _column(self.found, self.jobs), _column(self.unit, self.timeline), LEAST_DIGITS, wide=(5, 2), narrow=(3, 2)
        )
        page = QVBoxLayout(self)
        page.setContentsMargins(3 * GRID, 2 * GRID, 3 * GRID, 2 * GRID)
        page.setSpacing(2 * GRID)
        page.addWidget(self.top)
        page.addWidget(panes, 1)

    def _connect(self) -> None:
        self.search.textChanged.connect(self.refresh)
        self.search.gone_down.connect(self._into_list)
        self.jobs.left_upwards.connect(self.search.setFocus)
        self.jobs.chosen.connect(self._show_history)
        self.jobs.opened.connect(self._open)
        self.open_job.clicked.connect(self._open_chosen)
        self.new_job.clicked.connect(self.new_job_wanted)
        self.timeline.job_wanted.connect(self.job_wanted)
        shortcut = QShortcut("Ctrl+N", self)
        shortcut.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
        shortcut.activated.connect(self.new_job_wanted)

    def showEvent(self, event: QShowEvent) -> None:
        """Look again each time the desk is come back to; the bench may have changed every row."""
        super().showEvent(event)
        self.refresh()

    def refresh(self) -> None:
        """Find the jobs again, as the search line says now."""
        text = self.search.text()
        self._search.ask(lambda: self._workshop.find_jobs(text), self._show_jobs)

    def _show_jobs(self, rows: list[JobRow]) -> None:
        self.jobs.show_rows(rows, lambda row: row.job.id)
        self.open_job.setEnabled(bool(rows))
        self.found.setText(self._found_words(len(rows)))
        if not rows:
            self._show_history(None)

    def _found_words(self, count: int) -> str:
        text = self.search.text().strip()
        if count == 0 and text:
            return tr("No job has “{typed}” in it. Try the unit serial or the customer.", typed=text[:60])
        if count == 0:
            return tr("There is no job yet. Begin the first one with New job.")
        found = tr("1 job") if count == 1 else tr("{count} jobs", count=count)
        return found if text else tr("{found}. Find one by unit serial, customer, number or any word.", found=found)

    def _show_history(self, row: JobRow | None) -> None:
        if row is None:
            self._history.drop()
            self.unit.setText("")
            self.timeline.show_visits((), 0)
            return
        job_id, serial = row.job.id, row.job.serial
        self._history.ask(lambda: self._visits(job_id), lambda visits: self._show_visits(visits, job_id, serial))

    def _visits(self, job_id: int) -> list[Visit]:
        """Collect every visit of the unit a job is about, newest first; runs off the window's thread."""
        units = self._workshop.shop().units
        states = [self._workshop.state(job_id), *self._workshop.history(job_id)]
        states.sort(key=lambda state: state.context.job.opened_at, reverse=True)
        return [visit(state, units) for state in states]

    def _show_visits(self, visits: list[Visit], job_id: int, serial: str) -> None:
        if len(visits) == 1:
            self.unit.setText(tr("Unit {serial}, first time here", serial=serial))
        else:
            self.unit.setText(tr("Unit {serial}, {count} visits", serial=serial, count=len(visits)))
        self.timeline.show_visits(visits, job_id)

    def _into_list(self) -> None:
        if self.jobs.rows_model.rows:
            self.jobs.setFocus(Qt.FocusReason.TabFocusReason)

    def _open(self, row: JobRow | None) -> None:
        if row is not None:
            self.job_wanted.emit(row.job.id)

    def _open_chosen(self) -> None:
        self._open(self.jobs.current())


def _column(above: QWidget, below: QWidget) -> QWidget:
    pane = QWidget()
    column = QVBoxLayout(pane)
    column.setContentsMargins(0, 0, 0, 0)
    column.setSpacing(GRID)
    column.addWidget(above)
    column.addWidget(below, 1)
    return pane
