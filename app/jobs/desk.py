"""The desk: find a job, open it, begin one, and see what the same unit was like before."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent, QShortcut, QShowEvent
from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QVBoxLayout, QWidget

from app.jobs.form import button
from app.jobs.job_rows import JOB_COLUMNS, MARKS_COLUMN, MarksDelegate
from app.jobs.latest import Latest, Run
from app.jobs.panes import Panes, list_pane
from app.jobs.rows import RowsView
from app.jobs.timeline import Timeline
from app.jobs.visits import visit
from app.theme import GRID
from app.widgets.sentences import words
from core.history import UnitHistory
from core.history_words import count_words
from core.language import tr
from core.workshop import FoundJobs, JobRow, Workshop

SHOWN_AT_FIRST = 40
"""So many jobs are judged and shown until somebody asks for more: more than a page holds, and quick."""
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
    unit_wanted = Signal(int)

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
        self._most = SHOWN_AT_FIRST
        self.found = words(tr("Looking through the logbook …"), "quiet")
        self.more = button(tr("Show more"), "plain")
        self.more.hide()
        self.jobs = RowsView(JOB_COLUMNS, tr("Jobs"))
        self.jobs.setItemDelegateForColumn(MARKS_COLUMN, MarksDelegate(self.jobs))
        self.unit = words(role="strong")
        self.whole_history = button(tr("Unit history"))
        self.whole_history.setAccessibleDescription(tr("Everything this unit ever had, Ctrl+U."))
        self.whole_history.hide()
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
        found = _row((self.found, 1), (self.more, 0))
        unit = _row((self.unit, 1), (self.whole_history, 0))
        panes = Panes(
            list_pane(found, self.jobs), list_pane(unit, self.timeline), LEAST_DIGITS, wide=(5, 2), narrow=(3, 2)
        )
        page = QVBoxLayout(self)
        page.setContentsMargins(3 * GRID, 2 * GRID, 3 * GRID, 2 * GRID)
        page.setSpacing(2 * GRID)
        page.addWidget(self.top)
        page.addWidget(panes, 1)

    def _connect(self) -> None:
        self.search.textChanged.connect(self._look_for_others)
        self.search.gone_down.connect(self._into_list)
        self.jobs.left_upwards.connect(self.search.setFocus)
        self.jobs.chosen.connect(self._show_history)
        self.jobs.opened.connect(self._open)
        self.open_job.clicked.connect(self._open_chosen)
        self.new_job.clicked.connect(self.new_job_wanted)
        self.timeline.job_wanted.connect(self.job_wanted)
        self.more.clicked.connect(self._show_more)
        self.whole_history.clicked.connect(self.want_unit)
        shortcut = QShortcut("Ctrl+N", self)
        shortcut.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
        shortcut.activated.connect(self.new_job_wanted)

    def showEvent(self, event: QShowEvent) -> None:
        """Look again each time the desk is come back to; the bench may have changed every row."""
        super().showEvent(event)
        self.refresh()

    def refresh(self) -> None:
        """Find the jobs again, as the search line says now."""
        text, most = self.search.text(), self._most
        self._search.ask(lambda: self._workshop.search_jobs(text, most), self._show_jobs)

    def _look_for_others(self) -> None:
        self._most = SHOWN_AT_FIRST
        self.refresh()

    def _show_more(self) -> None:
        # The button may go with the last of them; the hand is then in the list it made longer.
        self.jobs.setFocus(Qt.FocusReason.OtherFocusReason)
        self._most += SHOWN_AT_FIRST
        self.refresh()

    def _show_jobs(self, found: FoundJobs) -> None:
        self.jobs.show_rows(found.rows, lambda row: row.job.id)
        self.open_job.setEnabled(bool(found.rows))
        self.found.setText(self._found_words(found))
        self.more.setVisible(found.count > len(found.rows))
        if not found.rows:
            self._show_history(None)

    def _found_words(self, found: FoundJobs) -> str:
        text = self.search.text().strip()
        if found.count == 0 and text:
            return tr(
                "No job has “{typed}” in it. Try the unit serial, the customer, or the beginning of another word.",
                typed=text[:60],
            )
        if found.count == 0:
            return tr("There is no job yet. Begin the first one with New job.")
        told = tr("1 job") if found.count == 1 else tr("{count} jobs", count=found.count)
        if found.count > len(found.rows):
            told = tr("{shown} of {told}", shown=len(found.rows), told=told)
        return told if text else tr("{found}. Find one by unit serial, customer, number or any word.", found=told)

    def _show_history(self, row: JobRow | None) -> None:
        if row is None:
            self._history.drop()
            self.unit.setText("")
            self.whole_history.hide()
            self.timeline.show_visits((), 0)
            return
        job_id = row.job.id
        self._history.ask(
            lambda: (self._workshop.history_of_job(job_id), self._workshop.shop().units),
            lambda found: self._show_visits(*found, job_id),
        )

    def _show_visits(self, history: UnitHistory, units: str, job_id: int) -> None:
        self.unit.setText(count_words(history))
        self.whole_history.show()
        # The newest on top, where the eye begins.
        self.timeline.show_visits([visit(one, units) for one in history.visits[::-1]], job_id)

    def want_unit(self) -> None:
        """Ask for the history of the chosen job's unit."""
        row = self.jobs.current()
        if row is not None:
            self.unit_wanted.emit(row.job.id)

    def _into_list(self) -> None:
        if self.jobs.rows_model.rows:
            self.jobs.setFocus(Qt.FocusReason.TabFocusReason)

    def _open(self, row: JobRow | None) -> None:
        if row is not None:
            self.job_wanted.emit(row.job.id)

    def _open_chosen(self) -> None:
        self._open(self.jobs.current())


def _row(*parts: tuple[QWidget, int]) -> QWidget:
    pane = QWidget()
    row = QHBoxLayout(pane)
    row.setContentsMargins(0, 0, 0, 0)
    row.setSpacing(GRID)
    # With a button in it or without, so that what stands below is level on both sides.
    row.addStrut(button(" ").sizeHint().height())
    for widget, share in parts:
        row.addWidget(widget, share)
    return pane
