"""One comeback: the time between, what the unit came back with, and what was not as it had left."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.jobs.form import button
from app.theme import GRID
from app.widgets.sentences import words
from core.language import tr
from core.overview import Comeback
from core.overview_words import moved_lines


class ComebackPanel(QWidget):
    """The chosen comeback, with both its jobs to be opened."""

    job_wanted = Signal(int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._comeback: Comeback | None = None
        self.heading, self.asked_for, self.moved = words(role="strong"), words(role="body"), words(role="body")
        self.open_again, self.open_before = button(""), button("")
        self.open_again.clicked.connect(self._want_again)
        self.open_before.clicked.connect(self._want_before)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(GRID)
        for label in (self.heading, self.asked_for, self.moved):
            column.addWidget(label)
        for push in (self.open_again, self.open_before):
            column.addWidget(push, 0, Qt.AlignmentFlag.AlignLeft)
        column.addStretch(1)
        self.show_comeback(None, "metric")

    def show_comeback(self, comeback: Comeback | None, units: str) -> None:
        """Show a comeback, or nothing."""
        self._comeback = comeback
        for widget in (self.heading, self.asked_for, self.moved, self.open_again, self.open_before):
            widget.setVisible(comeback is not None)
        if comeback is None:
            return
        again, before = comeback.again, comeback.before
        self.heading.setText(
            tr(
                "Unit {serial} was back {days} days after job {before} was signed",
                serial=again.serial,
                days=comeback.days,
                before=before.number,
            )
        )
        self.asked_for.setText(again.asked_for or tr("Nothing in particular was asked for."))
        self.moved.setText("\n".join(moved_lines(comeback, units)))
        self.open_again.setText(tr("Open job {number}, come back", number=again.number))
        self.open_before.setText(tr("Open job {number}, signed before", number=before.number))

    def _want_again(self) -> None:
        if self._comeback is not None:
            self.job_wanted.emit(self._comeback.again.id)

    def _want_before(self) -> None:
        if self._comeback is not None:
            self.job_wanted.emit(self._comeback.before.id)
