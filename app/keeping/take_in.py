"""What is taken in: an archive, looked through first; what would come in, and every conflict, stand there before."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QCheckBox, QFileDialog, QVBoxLayout, QWidget

from app.drawer.section import Line, cell_columns
from app.jobs.form import button, unsaid
from app.jobs.rows import RowsView
from app.keeping.keeper import Runner
from app.theme import GRID
from app.widgets.sentences import Reply, say, words
from core.errors import UserError
from core.exchange.answer import WORDS, Conflict, JobTaken, Taken
from core.language import mark, tr
from core.workshop import Workshop

ROWS_SHOWN = 6


class TakeIn(QWidget):
    """An archive chosen, looked through off the window's thread, and taken in when somebody says so.

    Signals
    -------
    taken()
        Something new is in the logbook.
    """

    taken = Signal()

    def __init__(
        self, workshop: Workshop, run: Runner, person: Callable[[], str] = str, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._workshop = workshop
        self._run = run
        self._person = person
        self._path: Path | None = None
        self._asked = 0
        self._conflicts: tuple[Conflict, ...] = ()
        self.choose = button(tr("Choose an archive …"))
        self.file = unsaid("body")
        self.summary = unsaid("strong")
        self.jobs = RowsView(
            cell_columns(
                (mark("Job"), False), (mark("Unit"), False), (mark("Becomes"), False), (mark("Readings"), True),
                (mark("Photos"), True), stretched=2,
            ),
            tr("Jobs in the archive"),
        )  # fmt: skip
        self.conflicts = RowsView(
            cell_columns(
                (mark("Where"), False), (mark("What"), False), (mark("Here"), False), (mark("In the archive"), False),
                stretched=3,
            ),
            tr("Conflicts"),
        )  # fmt: skip
        self.conflict = unsaid("body")
        self.renumber = QCheckBox(tr("Give a job a free number where its own is taken"))
        self.skip = QCheckBox(tr("Leave out what contradicts this logbook"))
        self.notes = unsaid()
        self.push = button(tr("Take it in"), "main")
        self.answer = Reply()
        self._lay_out()
        self._forget()
        self._connect()

    def _lay_out(self) -> None:
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, GRID, GRID)
        column.setSpacing(2 * GRID)
        column.addWidget(words(tr("Take in"), "heading"))
        column.addWidget(self.choose, 0, Qt.AlignmentFlag.AlignLeft)
        for widget in (self.file, self.summary, self.jobs, self.conflicts, self.conflict, self.renumber, self.skip):
            column.addWidget(widget)
        column.addWidget(self.notes)
        column.addWidget(self.push, 0, Qt.AlignmentFlag.AlignLeft)
        column.addWidget(self.answer)
        column.addWidget(
            words(
                tr(
                    "All of it comes in, or nothing; what is known here already stays as it is. The stock of the "
                    "drawer only comes in with everything, into an empty logbook. Only the owner takes in."
                ),
                "quiet",
            )
        )
        column.addStretch(1)

    def _connect(self) -> None:
        self.choose.clicked.connect(self._choose)
        self.renumber.toggled.connect(self._look)
        self.skip.toggled.connect(self._look)
        self.conflicts.chosen.connect(self._show_conflict)
        self.push.clicked.connect(self._take)

    # -- looking ---------------------------------------------------------------------------------------------------

    def _choose(self) -> None:
        chosen = self.ask_file()
        if chosen:
            self.open(Path(chosen))

    def open(self, path: Path) -> None:
        """Look an archive through."""
        self._forget()
        self._path = path
        for box in (self.renumber, self.skip):
            # Setting both anew must not look it through three times.
            box.blockSignals(True)
            box.setChecked(False)
            box.blockSignals(False)
        say(self.file, str(path))
        self._look()

    def _look(self) -> None:
        if self._path is not None:
            self.answer.tell(tr("Looking through the archive …"))
            self._ask(self._workshop.preview_import, self._show)

    def _ask(self, verb: Callable[..., Taken], done: Callable[[Taken | UserError], None]) -> None:
        """Have the archive looked through or taken in; only the answer to the last question counts."""
        self.push.setEnabled(False)
        self._asked += 1
        asked, path, person = self._asked, self._path, self._person()
        how = {"renumber": self.renumber.isChecked(), "skip_conflicts": self.skip.isChecked()}

        def answer(found: Taken | UserError) -> None:
            if asked == self._asked:
                done(found)

        self._run(partial(_tried, verb, path, person, **how), answer)

    def _show(self, found: Taken | UserError) -> None:
        if isinstance(found, UserError):
            self._show_parts(None)
            self.answer.refuse(found)
            return
        self._show_parts(found)
        self.answer.forget()
        self.push.setEnabled(bool(found.changes))

    def _show_parts(self, found: Taken | None) -> None:
        if found is not None and self._path is not None:
            shop = tr("from {shop}", shop=found.shop) if found.shop else ""
            say(self.file, " ".join(word for word in (str(self._path), shop) if word))
        say(self.summary, found.summary if found else "")
        jobs = [_job_line(at, job) for at, job in enumerate(found.jobs)] if found else []
        conflicts = [_conflict_line(at, conflict) for at, conflict in enumerate(found.conflicts)] if found else []
        self._conflicts = found.conflicts if found else ()
        for view, lines in ((self.jobs, jobs), (self.conflicts, conflicts)):
            view.show_rows(lines, lambda line: line.id)
            view.setVisible(bool(lines))
            view.fit_height(ROWS_SHOWN)
        if not conflicts:
            say(self.conflict, "")
        # Either may be what brought the conflicts down to none, and must be there to be taken back.
        for box in (self.renumber, self.skip):
            box.setVisible(bool(conflicts) or box.isChecked())
        say(self.notes, "\n".join(found.notes) if found else "")
        self.push.setVisible(found is not None)

    def _show_conflict(self, line: Line | None) -> None:
        say(self.conflict, "" if line is None else str(self._conflicts[line.id]))

    # -- taking ----------------------------------------------------------------------------------------------------

    def _take(self) -> None:
        self.answer.tell(tr("Taking it in …"))
        self._ask(self._workshop.import_archive, self._took)

    def _took(self, found: Taken | UserError) -> None:
        if isinstance(found, UserError):
            self.answer.refuse(found)
            self.push.setEnabled(True)
            return
        self._show_parts(found)
        self.answer.forget()
        # What came in is known from now on; the same archive again would change nothing.
        self.push.setVisible(not found.is_kept)
        if found.is_kept:
            self.taken.emit()

    def _forget(self) -> None:
        self._path = None
        self._asked += 1
        self._show_parts(None)
        say(self.file, "")
        self.answer.forget()

    def ask_file(self) -> str:
        """Ask for an archive; "" where none was chosen."""
        chosen, _ = QFileDialog.getOpenFileName(self, tr("Take in"), "", tr("Archives (*.zip)"))
        return chosen


def _tried(verb: Callable[..., Taken], *arguments: object, **how: bool) -> Taken | UserError:
    try:
        return verb(*arguments, **how)
    except UserError as error:
        return error


def _job_line(at: int, job: JobTaken) -> Line:
    counted = (str(job.readings or ""), str(job.photos or ""))
    return Line(at, (job.number, job.serial, tr(WORDS[job.what]), *counted))


def _conflict_line(at: int, conflict: Conflict) -> Line:
    return Line(at, (conflict.about, conflict.field, conflict.ours, conflict.theirs))
