"""Whether the logbook is whole, and whether a build sheet is genuine; asked for by a push, answered below it."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from PySide6.QtWidgets import QFileDialog, QVBoxLayout, QWidget

from app.jobs.form import button, unsaid
from app.jobs.latest import Latest
from app.jobs.rows import Column, RowsView
from app.keeping.keeper import Runner, at_once
from app.theme import GRID
from app.widgets.flow import FlowLayout
from app.widgets.sentences import Reply, say, words
from core.errors import UserError
from core.language import mark, tr
from core.workshop import Workshop
from core.workshop.checking import Found, LogbookAnswer
from core.workshop.paper import SheetAnswer

ROWS_SHOWN = 6

COLUMNS = (Column(mark("What does not agree"), lambda found: str(found.sentence), stretches=True),)


class CheckingPart(QWidget):
    """Two pushes; below them the answer, what was found, and what the chosen finding means."""

    def __init__(self, workshop: Workshop, run: Runner = at_once, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._workshop = workshop
        self._latest = Latest(run)
        self.logbook = button(tr("Check the logbook"))
        self.sheet = button(tr("Check a build sheet …"))
        self.answer = Reply()
        self.found = RowsView(COLUMNS, tr("What does not agree"))
        self.meaning = unsaid("body")
        pushes = QWidget()
        row = FlowLayout(pushes)
        for push in (self.logbook, self.sheet):
            row.addWidget(push)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 2 * GRID, 0, 0)
        column.setSpacing(GRID)
        for widget in (words(tr("Was anything changed?"), "heading"), pushes, self.answer, self.found, self.meaning):
            column.addWidget(widget)
        self.logbook.clicked.connect(self._check_logbook)
        self.sheet.clicked.connect(self._check_sheet)
        self.found.chosen.connect(self._show_meaning)
        self._show_found(())

    def _check_logbook(self) -> None:
        self._show_found(())
        self.answer.tell(tr("Comparing every row with the trail …"))

        def check() -> LogbookAnswer | UserError:
            try:
                return self._workshop.check_logbook()
            except UserError as error:
                return error

        self._latest.ask(check, self._logbook_checked)

    def _logbook_checked(self, checked: LogbookAnswer | UserError) -> None:
        if isinstance(checked, UserError):
            self.answer.refuse(checked)
            return
        if checked.is_whole:
            self.answer.tell(
                tr("The logbook is whole. {counted} {end}", counted=checked.counted, end=checked.end), "body"
            )
        else:
            first = tr("Show it to the owner before anything else is entered.")
            self.answer.refuse(f"{checked.counted} {first} {checked.end}")
        self._show_found(checked.found)

    def _check_sheet(self) -> None:
        chosen = self.ask_file()
        if not chosen:
            return
        path = Path(chosen)
        self._show_found(())
        self.answer.tell(tr("Reading {file} …", file=path.name))

        def check() -> SheetAnswer | UserError:
            try:
                return self._workshop.check_sheet(path)
            except UserError as error:
                return error

        self._latest.ask(check, lambda checked: self._sheet_checked(path.name, checked))

    def _sheet_checked(self, name: str, checked: SheetAnswer | UserError) -> None:
        if isinstance(checked, UserError):
            self.answer.refuse(checked)
        else:
            said = tr("{file}: {sentence}", file=name, sentence=checked.sentence)
            self.answer.tell(said, "body" if checked.is_genuine else "refusal")

    def _show_found(self, found: Sequence[Found]) -> None:
        self.found.show_rows(found)
        self.found.setVisible(bool(found))
        self.found.fit_height(ROWS_SHOWN)
        self._show_meaning(self.found.current())

    def _show_meaning(self, found: Found | None) -> None:
        say(self.meaning, "" if found is None else f"{found.sentence}\n{found.meaning}")

    def ask_file(self) -> str:
        """Ask for a build sheet; "" where none was chosen."""
        return QFileDialog.getOpenFileName(self, tr("Check a build sheet"), "", tr("Build sheets (*.pdf)"))[0]
