"""The owner's page: read at the desk, every line leading to its job, its gauge or its part."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QAbstractButton, QButtonGroup, QStackedWidget, QVBoxLayout, QWidget

from app.jobs.form import button, unsaid
from app.jobs.latest import Latest, Run
from app.jobs.panes import Panes
from app.jobs.rows import RowsView
from app.owner.charts import ChartsSection
from app.owner.comeback import ComebackPanel
from app.owner.lists import (
    CARE_COLUMNS,
    WAITING_COLUMNS,
    care_key,
    comeback_columns,
    comeback_key,
    waiting_key,
)
from app.owner.taught import TaughtSection
from app.theme import GRID
from app.widgets.flow import FlowLayout
from app.widgets.sentences import NextThing, say, words
from core.language import mark, tr
from core.overview import COMEBACK_MONTHS, Comeback, Overview, WaitingJob
from core.overview_words import (
    BACKUP,
    CALIBRATE,
    ORDER,
    PIN,
    Care,
    backup_words,
    cares,
    counts_words,
    first_words,
)
from core.workshop import Workshop

LEAST_DIGITS = 150
"""So many digits must fit across the page before what moved stands beside the comebacks."""
SECTIONS = (
    ("jobs", mark("Open jobs")),
    ("comebacks", mark("Comebacks")),
    ("care", mark("To see to")),
    ("charts", mark("Charts")),
    ("taught", mark("What jobs have taught")),
)
SHELVES = {ORDER: "parts", CALIBRATE: "gauges", PIN: "people", BACKUP: "backups"}
"""The section of the shop's page where a thing is seen to."""


class OwnerPage(QWidget):
    """What waits, what came back, what to see to, and the charts.

    Signals
    -------
    job_wanted(int)
        A job is to be opened.
    shelf_wanted(str, int)
        A section of the shop's page is to be shown, by its name, and in it the thing of this id.
    """

    job_wanted = Signal(int)
    shelf_wanted = Signal(str, int)

    def __init__(
        self, workshop: Workshop, run: Run, backup_folder: Callable[[], str] = str, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._workshop = workshop
        self._backup_folder = backup_folder
        self._units = "metric"
        self._ask = Latest(run)
        self.first = NextThing()
        self.first.show_sentence(tr("Looking through the logbook …"))
        self.counts, self.backup = words(role="body"), unsaid()
        self.no_job, self.no_comeback, self.no_care = unsaid("body"), unsaid("body"), unsaid("body")
        self.jobs = RowsView(WAITING_COLUMNS, tr("Open jobs, the longest untouched first"))
        self.comebacks = RowsView(comeback_columns(lambda: self._units), tr("Comebacks, the last first"))
        self.comeback = ComebackPanel()
        self.care = RowsView(CARE_COLUMNS, tr("What to see to"))
        self.charts = ChartsSection(workshop, run)
        self.taught = TaughtSection(workshop, run)
        self._lay_out()
        self._connect()

    # -- putting together --------------------------------------------------------------------------------------------

    def _lay_out(self) -> None:
        self._sections = QStackedWidget()
        self._chooser = QButtonGroup(self)
        self.row = QWidget()
        flow = FlowLayout(self.row, gap=0)
        parts: tuple[QWidget, ...] = (
            _column(self.counts, self.no_job, self.jobs),
            Panes(self._comebacks(), self.comeback, LEAST_DIGITS, wide=(5, 2), narrow=(3, 2)),
            _column(self.no_care, self.care, self.backup),
            self.charts,
            self.taught,
        )
        for (name, title), section in zip(SECTIONS, parts, strict=True):
            push = button(tr(title), "stage")
            push.setObjectName(name)
            push.setCheckable(True)
            push.setAccessibleName(tr("Show: {section}", section=tr(title)))
            self._chooser.addButton(push, self._sections.addWidget(section))
            flow.addWidget(push)
        page = QVBoxLayout(self)
        page.setContentsMargins(3 * GRID, GRID, 3 * GRID, 2 * GRID)
        page.setSpacing(2 * GRID)
        page.addWidget(self.first)
        page.addWidget(self.row)
        page.addWidget(self._sections, 1)
        self.turn_to("jobs")

    def _comebacks(self) -> QWidget:
        what = tr("Units that were back within {months} months of being signed off.", months=COMEBACK_MONTHS)
        return _column(words(what, "quiet"), self.no_comeback, self.comebacks)

    def _connect(self) -> None:
        self._chooser.buttonClicked.connect(self._chosen)
        self.jobs.opened.connect(self._want_job)
        self.comebacks.chosen.connect(self._show_comeback)
        self.comebacks.opened.connect(self._want_again)
        self.comeback.job_wanted.connect(self.job_wanted)
        self.care.opened.connect(self._want_shelf)
        self.charts.job_wanted.connect(self.job_wanted)

    # -- reading -----------------------------------------------------------------------------------------------------

    def showEvent(self, event: QShowEvent) -> None:
        """Look again each time the page is come back to."""
        super().showEvent(event)
        self.refresh()

    def refresh(self) -> None:
        """Read everything again, off the window's thread."""
        folder = self._backup_folder()
        self._ask.ask(lambda: (self._workshop.overview(folder), self._workshop.shop().units), self._show)
        self.charts.refresh()
        self.taught.refresh()

    def theme_changed(self) -> None:
        """Draw in the colours now in force."""
        self.charts.draw()
        self.taught.theme_changed()

    def _show(self, read: tuple[Overview, str]) -> None:
        overview, self._units = read
        to_see_to = cares(overview)
        self.first.show_sentence(first_words(overview))
        say(self.counts, counts_words(overview) if overview.waiting or overview.signed else "")
        say(self.no_job, "" if overview.waiting else tr("No job is open."))
        say(self.no_comeback, "" if overview.comebacks else tr("No unit has come back."))
        say(self.no_care, "" if to_see_to else tr("Nothing is to order, to calibrate or to back up."))
        say(self.backup, "" if overview.backup.is_late(overview.at) else backup_words(overview))
        self.jobs.show_rows(overview.waiting, waiting_key)
        self.comebacks.show_rows(overview.comebacks, comeback_key)
        self.care.show_rows(to_see_to, care_key)
        self._show_comeback(self.comebacks.current())
        for name, count in (("jobs", overview.waiting), ("comebacks", overview.comebacks), ("care", to_see_to)):
            self._count(name, len(count))

    def _count(self, name: str, count: int) -> None:
        push = self._push(name)
        title = tr("{section} ({count})", section=tr(dict(SECTIONS)[name]), count=count)
        push.setText(title)
        push.setAccessibleName(tr("Show: {section}", section=title))

    def _show_comeback(self, comeback: Comeback | None) -> None:
        self.comeback.show_comeback(comeback, self._units)

    # -- where to ----------------------------------------------------------------------------------------------------

    def turn_to(self, name: str) -> None:
        """Show one section by its name."""
        push = self._push(name)
        push.setChecked(True)
        self._chosen(push)

    def _push(self, name: str) -> QAbstractButton:
        return next(push for push in self._chooser.buttons() if push.objectName() == name)

    def _chosen(self, push: QAbstractButton) -> None:
        self._sections.setCurrentIndex(self._chooser.id(push))
        self.setFocusProxy(push)

    def _want_job(self, line: WaitingJob | None) -> None:
        if line is not None:
            self.job_wanted.emit(line.job.id)

    def _want_again(self, comeback: Comeback | None) -> None:
        if comeback is not None:
            self.job_wanted.emit(comeback.again.id)

    def _want_shelf(self, care: Care | None) -> None:
        if care is not None:
            self.shelf_wanted.emit(SHELVES[care.what], care.id)


def _column(*widgets: QWidget) -> QWidget:
    section = QWidget()
    column = QVBoxLayout(section)
    column.setContentsMargins(0, 0, 0, 0)
    column.setSpacing(GRID)
    for widget in widgets:
        column.addWidget(widget, 1 if isinstance(widget, RowsView) else 0)
    return section
