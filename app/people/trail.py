"""What was done: the trail for anybody to read, newest first."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.jobs.form import button, unsaid
from app.jobs.rows import Column, RowsView
from app.people.telling import told
from app.theme import GRID
from app.widgets.sentences import say, words
from core.facts import TrailEntry
from core.language import mark, tr
from core.workshop import Workshop

PAGE = 200


@dataclass(frozen=True)
class Line:
    """One thing that was done, in words."""

    id: int
    when: str
    who: str
    what: str
    job: str
    bench: str


def line_of(entry: TrailEntry) -> Line:
    """Return an entry of the trail in words."""
    when = entry.at.astimezone().strftime("%Y-%m-%d %H:%M:%S")
    return Line(entry.id, when, entry.person or tr("not said"), told(entry), entry.job_number, entry.bench)


def machine(bench: str) -> str:
    """Return the machine's name: what follows it tells two windows on one machine apart, and is told below."""
    return bench.rpartition("/")[0] or bench


COLUMNS = (
    Column(mark("When"), lambda line: str(line.when)[:-3]),
    Column(mark("Who"), lambda line: str(line.who)),
    Column(mark("What was done"), lambda line: str(line.what), stretches=True),
    Column(mark("Job"), lambda line: str(line.job)),
    Column(mark("At which bench"), lambda line: machine(line.bench)),
)


class TrailSection(QWidget):
    """The list of what was done; below it the chosen line in full."""

    kept = Signal()

    def __init__(self, workshop: Workshop, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._workshop = workshop
        self._last_id: int | None = None
        self._newest_id = 0
        self.list = RowsView(COLUMNS, tr("What was done"))
        self.count = unsaid()
        self.full = words("", "body")
        self.earlier = button(tr("Show what was done before"))
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(GRID)
        column.addWidget(words(tr("Every change is written down here for good, with who made it and where."), "quiet"))
        column.addWidget(self.count)
        column.addWidget(self.list, 1)
        column.addWidget(self.full)
        column.addWidget(self.earlier, 0, Qt.AlignmentFlag.AlignLeft)
        self.list.chosen.connect(self._show_in_full)
        self.earlier.clicked.connect(self._show_earlier)

    def showEvent(self, event: QShowEvent) -> None:
        """Show what was done until now."""
        super().showEvent(event)
        self._begin()

    def _begin(self) -> None:
        """Show the newest; what was read of the earlier is put away."""
        self._last_id, self._newest_id = None, 0
        self._show(self._read())

    def refresh(self) -> None:
        """Put what was done since above what is shown: what is written in the trail never changes."""
        self._show([*_lines(self._since(self._newest_id)), *self.list.rows_model.rows])

    def _show(self, lines: Sequence[Line]) -> None:
        self.list.show_rows(lines)
        say(self.count, "" if lines else tr("Nothing was done yet."))

    def _show_earlier(self) -> None:
        before = len(self.list.rows_model.rows)
        self.list.show_rows([*self.list.rows_model.rows, *self._read()])
        if len(self.list.rows_model.rows) > before:
            self.list.choose(before)
            self.list.setFocus(Qt.FocusReason.OtherFocusReason)

    def _read(self) -> list[Line]:
        """Read on until there is something to show; many entries are told by one line."""
        lines: list[Line] = []
        is_more = True
        while is_more and not lines:
            entries = self._workshop.trail(PAGE, self._last_id)
            is_more = len(entries) == PAGE
            if entries:
                self._last_id = entries[-1].id
                self._newest_id = max(self._newest_id, entries[0].id)
            lines = list(_lines(entries))
        self.earlier.setVisible(is_more)
        return lines

    def _since(self, entry_id: int) -> list[TrailEntry]:
        """Read what was entered after an entry."""
        found: list[TrailEntry] = []
        is_more = True
        while is_more:
            page = self._workshop.trail(PAGE, found[-1].id if found else None)
            news = [entry for entry in page if entry.id > entry_id]
            found += news
            is_more = len(news) == PAGE
        self._newest_id = found[0].id if found else entry_id
        return found

    def _show_in_full(self, line: Line | None) -> None:
        if line is None:
            say(self.full, "")
            return
        parts = [line.when, line.who, tr("job {number}", number=line.job) if line.job else "", line.bench]
        say(self.full, tr("{what}\n{where}", what=line.what, where=" · ".join(filter(None, parts))))


def _lines(entries: Iterable[TrailEntry]) -> Iterable[Line]:
    return (line for line in map(line_of, entries) if line.what)
