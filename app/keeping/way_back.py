"""What is shown instead of a damaged logbook: the newest good backup, what going back would lose, and one push."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QCloseEvent
from PySide6.QtWidgets import QFileDialog, QHBoxLayout, QMainWindow, QVBoxLayout, QWidget

from app.boundary import Boundary
from app.jobs.form import button, unsaid
from app.keeping.keeper import Runner
from app.message_line import MessageLine
from app.tasks import Tasks
from app.theme import GRID
from app.widgets.sentences import say, words
from core.errors import UserError, WayBack
from core.language import tr
from core.records.backups import usual_folder, wall_time
from core.records.location import Place
from core.workshop import utc_now

WIDEST = 90
"""How many digits of text a sentence may be wide here."""


class WayBackPage(QWidget):
    """A damaged logbook, and the push that goes back to its newest good backup; nothing is done by itself.

    Signals
    -------
    went_back(str)
        The logbook is there again; comes with where the damaged file is kept.
    leave_wanted()
        Somebody would rather close the program.
    """

    went_back = Signal(str)
    leave_wanted = Signal()

    def __init__(self, place: Place, sentence: str, folder: str, run: Runner, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._place = place
        self._folders = [Path(folder)] if folder else []
        self._run = run
        self.way: WayBack | None = None
        self.heading = words(sentence, "heading")
        self.found = words(tr("Looking for the newest good backup …"), "sentence")
        self.loss = unsaid("body")
        self.kept = unsaid()
        self.answer = unsaid("refusal")
        self.back = button("", "main")
        self.again = button(tr("Look again"))
        self.elsewhere = button(tr("Look in another folder …"))
        self.leave = button(tr("Close the program"), "plain")
        self._lay_out()
        self.back.hide()
        self.back.clicked.connect(self._go_back)
        self.again.clicked.connect(self.look)
        self.elsewhere.clicked.connect(self._look_elsewhere)
        self.leave.clicked.connect(self.leave_wanted)

    def _lay_out(self) -> None:
        column = QVBoxLayout(self)
        column.setContentsMargins(6 * GRID, 6 * GRID, 6 * GRID, 6 * GRID)
        column.setSpacing(2 * GRID)
        widest = WIDEST * self.fontMetrics().horizontalAdvance("0")
        for label in (self.heading, self.found, self.loss, self.kept, self.answer):
            label.setMaximumWidth(widest)
            column.addWidget(label)
        pushes = QHBoxLayout()
        pushes.setSpacing(GRID)
        for push in (self.back, self.again, self.elsewhere, self.leave):
            pushes.addWidget(push)
        pushes.addStretch(1)
        column.addLayout(pushes)
        column.addStretch(1)

    def look(self) -> None:
        """Look for the newest good backup, off the window's thread: each is read from its first page to its last."""
        say(self.answer, "")
        say(self.found, tr("Looking for the newest good backup …"))
        self._enable(False)
        place, folders = self._place, list(self._folders)

        def work() -> WayBack | None:
            # Loads the check of the trail, which a sound logbook does without.
            from core.records.recovery import find_way_back

            ways = [find_way_back(place, folder) for folder in (None, *folders)]
            found = [way for way in ways if way is not None]
            return max(found, key=lambda way: (way.is_sound, way.up_to or way.made_at, way.made_at), default=None)

        self._run(work, self.show_way)

    def show_way(self, way: WayBack | None) -> None:
        """Show what was found, or where nothing was."""
        from core.records.recovery import loss_in_words

        self.way = way
        self._enable(True)
        self.back.setVisible(way is not None)
        if way is None:
            looked = {str(usual_folder(self._place)), *(str(folder) for folder in self._folders)}
            say(self.found, tr("No good backup was found in {folders}.", folders=", ".join(sorted(looked))))
            say(self.loss, tr("If backups are kept on another drive, plug it in and look again."))
            say(self.kept, "")
            self.again.setFocus(Qt.FocusReason.OtherFocusReason)
            return
        time = wall_time(way.made_at)
        say(self.found, tr("The newest good backup was made {time}: {path}", time=time, path=way.backup))
        say(self.loss, loss_in_words(way))
        self.back.setText(tr("Go back to the backup of {time}", time=time))
        sentence = tr("The damaged file is kept beside the logbook under another name.")
        doubt = tr("Some rows of the backup do not agree with its trail; 'pinionbook verify' names them.")
        say(self.kept, sentence if way.is_sound else f"{doubt} {sentence}")
        self.back.setFocus(Qt.FocusReason.OtherFocusReason)

    def _enable(self, is_enabled: bool) -> None:
        for push in (self.back, self.again, self.elsewhere):
            push.setEnabled(is_enabled)

    def _go_back(self) -> None:
        if self.way is None:
            return
        backup, place = self.way.backup, self._place
        self._enable(False)

        def work() -> UserError | Path | None:
            from core.records.recovery import restore

            try:
                return restore(backup, place, utc_now()).kept_as
            except UserError as error:
                return error

        self._run(work, self._went)

    def _went(self, result: UserError | Path | None) -> None:
        self._enable(True)
        if isinstance(result, UserError):
            say(self.answer, str(result))
        else:
            self.went_back.emit("" if result is None else str(result))

    def _look_elsewhere(self) -> None:
        chosen = self.ask_folder()
        if chosen:
            self._folders.append(Path(chosen))
            self.look()

    def ask_folder(self) -> str:
        """Ask for a folder; "" where none was chosen."""
        return QFileDialog.getExistingDirectory(self, tr("Look for backups in"), "")


class WayBackWindow(QMainWindow):
    """The window that stands in for the one on the logbook while that is damaged."""

    def __init__(self, place: Place, sentence: str, folder: str) -> None:
        super().__init__()
        self.message = MessageLine()
        self.boundary = Boundary(self.message.say)
        self.tasks = Tasks(self.boundary.failed, self)
        self.page = WayBackPage(place, sentence, folder, self.tasks.run)
        self.page.leave_wanted.connect(self.close)
        whole = QWidget()
        column = QVBoxLayout(whole)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.page, 1)
        column.addWidget(self.message)
        self.setCentralWidget(whole)
        self.setWindowTitle(tr("Pinionbook – the way back"))
        self.resize(980, 460)

    def closeEvent(self, event: QCloseEvent) -> None:
        """Wait for what is being copied: it is put in place whole or not at all."""
        self.tasks.close()
        self.boundary.remove()
        super().closeEvent(event)
