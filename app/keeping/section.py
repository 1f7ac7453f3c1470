"""The backups as the shop page shows them: the last good one, where it is, the earlier ones; below, a check of all."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QFileDialog, QVBoxLayout, QWidget

from app.drawer.section import Line, cell_columns
from app.jobs.form import Scrolled, button, unsaid
from app.jobs.panes import Panes, list_pane
from app.jobs.rows import RowsView
from app.keeping.checking import CheckingPart
from app.keeping.keeper import EVERY_HOURS, Keeper, Runner, at_once
from app.theme import GRID
from app.widgets.sentences import say, words
from core.errors import UserError
from core.language import mark, tr
from core.records.backups import DAYS, MONTHS, WEEKS, Backup, BackupState, wall_time
from core.records.location import Place
from core.workshop import Workshop

LEAST_DIGITS = 130
MEGABYTE = 1_000_000


@dataclass(frozen=True)
class Seen:
    """What a look at the folder of backups found, or why there is nothing to see."""

    state: BackupState | None
    backups: tuple[Backup, ...] = ()
    trouble: str = ""


class BackupsSection(QWidget):
    """When the last good backup was made and where it is, the ones kept from before, and a push for one more."""

    kept = Signal()

    def __init__(
        self, workshop: Workshop, keeper: Keeper, run: Runner = at_once, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._workshop = workshop
        self._keeper = keeper
        self._run = run
        columns = cell_columns(
            (mark("Made"), False), (mark("Last entry"), False), (mark("Entries"), True), (mark("Size"), True)
        )
        self.list = RowsView(columns, tr("Backups"))
        self.count = unsaid()
        self.heading = words(role="heading")
        self.since = unsaid("body")
        self.where = unsaid()
        self.trouble = unsaid("refusal")
        self.save = button(tr("Back up now"), "main")
        self.elsewhere = button(tr("Keep backups in another folder …"))
        self.usual = button(tr("Keep them beside the logbook again"), "plain")
        self.checking = CheckingPart(workshop, run)
        self._lay_out()
        self.save.clicked.connect(keeper.back_up_now)
        self.elsewhere.clicked.connect(self._choose)
        self.usual.clicked.connect(lambda: keeper.keep_in(""))
        keeper.changed.connect(self._changed)

    def _lay_out(self) -> None:
        content = QWidget()
        right = QVBoxLayout(content)
        right.setContentsMargins(0, 0, GRID, GRID)
        right.setSpacing(2 * GRID)
        for label in (self.heading, self.since, self.where, self.trouble):
            right.addWidget(label)
        for push in (self.save, self.elsewhere, self.usual):
            right.addWidget(push, 0, Qt.AlignmentFlag.AlignLeft)
        for sentence in (rule_in_words(), way_back_in_words(self._workshop.place)):
            right.addWidget(words(sentence, "quiet"))
        right.addWidget(self.checking)
        right.addStretch(1)
        Panes(list_pane(self.count, self.list), Scrolled(content), LEAST_DIGITS, wide=(1, 1)).fill(self)

    def showEvent(self, event: QShowEvent) -> None:
        """Look at the folder as it is now."""
        super().showEvent(event)
        self.refresh()

    def _changed(self) -> None:
        if self.isVisible():
            self.refresh()

    def refresh(self) -> None:
        """Look at the folder again, off the window's thread: a drive may be slow to wake."""
        folder = self._keeper.folder

        def look() -> Seen:
            try:
                state = self._workshop.backup_state(folder)
                return Seen(state, tuple(self._workshop.backups(folder)))
            except UserError as error:
                return Seen(None, trouble=str(error))

        self._run(look, self._show)

    def _show(self, seen: Seen) -> None:
        lines = [_line(number, backup) for number, backup in enumerate(seen.backups)]
        self.list.show_rows(lines, lambda line: line.cells)
        say(self.count, "" if lines else tr("There is no backup yet."))
        self.usual.setVisible(bool(self._keeper.folder))
        state = seen.state
        newest = state.newest if state else None
        say(
            self.heading,
            tr("Last good backup: {time}", time=wall_time(newest.made_at)) if newest else tr("No backup yet"),
        )
        say(self.since, since_in_words(state) if state else "")
        say(self.where, tr("Kept in {folder}", folder=state.folder) if state else "")
        say(self.trouble, seen.trouble or self._missing(state) or self._keeper.trouble)

    def _missing(self, state: BackupState | None) -> str:
        """Return that a chosen folder is not there; the usual one is made when it is needed."""
        return missing_in_words(state) if state and self._keeper.folder and not state.is_there else ""

    def _choose(self) -> None:
        chosen = self.ask_folder()
        if chosen:
            self._keeper.keep_in(chosen)

    def ask_folder(self) -> str:
        """Ask for a folder; "" where none was chosen."""
        return QFileDialog.getExistingDirectory(self, tr("Keep backups in"), self._keeper.folder)


def _line(number: int, backup: Backup) -> Line:
    head = backup.head
    ends = (wall_time(head.at), str(head.entry)) if head else (tr("cannot be read"), "")
    return Line(number, (wall_time(backup.made_at), *ends, f"{backup.size / MEGABYTE:.1f} MB"))


def since_in_words(state: BackupState) -> str:
    """Return how much was entered since the last backup."""
    if state.newest is None:
        return ""
    if state.entries_since == 0:
        return tr("It holds everything that was entered.")
    if state.entries_since is None:
        return tr("It is of another line of entries than the logbook: back up now.")
    return tr("Entries made since: {count}.", count=state.entries_since)


def missing_in_words(state: BackupState) -> str:
    """Return that the folder for backups is not there, and what to do."""
    return tr(
        "The folder {folder} is not there: plug its drive in, or choose another folder for backups.",
        folder=state.folder,
    )


def rule_in_words() -> str:
    """Return when backups are made by themselves, and which are kept."""
    return tr(
        "Backups are made when this window opens, when it closes and every {hours} hours, if anything was entered. "
        "Kept are all of the last day, one a day for {days} days, one a week for {weeks} weeks and one a month for "
        "{months} months.",
        hours=EVERY_HOURS,
        days=DAYS,
        weeks=WEEKS,
        months=MONTHS,
    )


def way_back_in_words(place: Place) -> str:
    """Return how to go back to a backup of a logbook that is not damaged."""
    if not isinstance(place, Path):
        return tr("To go back to one, make an empty database and type: pinionbook move BACKUP ADDRESS")
    return tr("To go back to one, close every window on this logbook and type: pinionbook restore BACKUP")
