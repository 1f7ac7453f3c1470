"""What the job has of the drawer, beside its stages; and where seals and bearings are used up."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QGridLayout, QPushButton, QVBoxLayout, QWidget

from app import theme
from app.bench.gauges import BenchSettings
from app.jobs.form import button
from app.jobs.rows import Column, RowsView
from app.widgets.sentences import say, words
from core.errors import UserError
from core.facts import PART_WORDS, Hold, Job, JobParts, Part, UsedPart
from core.language import mark, tr
from core.stages import stage
from core.workshop import Workshop

ROWS_SHOWN = 6
USED_KINDS = ("seal", "bearing", "spacer", "shim")
"""What is used up without an entry asking for it; rings are taken for a side of a trial."""

COLUMNS = (
    Column(mark("Piece"), lambda part: part.name or tr(PART_WORDS[part.kind]), stretches=True),
    Column(mark("Place"), lambda part: str(part.place)),
    Column(mark("Free"), lambda part: str(part.count), is_number=True),
)


def hold_line(hold: Hold) -> str:
    """Return in words which piece a job has where."""
    label = tr(stage(hold.stage).entry(hold.entry).label)
    if hold.is_fitted:
        return tr("{where}: {piece}, fitted", where=label, piece=hold.part.called)
    return tr("{where}: {piece}, on trial", where=label, piece=hold.part.called)


class PartsToUse(RowsView):
    """What may be used up; Enter uses one piece, Escape puts the list away."""

    left = Signal()

    def __init__(self) -> None:
        super().__init__(COLUMNS, tr("Parts to use on this job"))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
        else:
            super().keyPressEvent(event)


class Holdings(QWidget):
    """The pieces a job has, and what it used; from here further parts are used, and brought back.

    Signals
    -------
    rearranged()
        The order of the Tab key must be set anew.
    """

    rearranged = Signal()

    def __init__(self, workshop: Workshop, settings: BenchSettings, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._workshop, self._settings = workshop, settings
        self._job: Job | None = None
        self._shown: JobParts | None = None
        self.heading, self.refusal = words(tr("Of the drawer"), "heading"), words("", "refusal")
        self.back: dict[int, QPushButton] = {}
        self._lines = QGridLayout()
        self._lines.setColumnStretch(0, 1)
        self._lines.setVerticalSpacing(2)
        self.use = button(tr("Use a seal, bearing or other part"), "plain")
        self.use.setCheckable(True)
        self.list = PartsToUse()
        self.hint = words(tr("Enter uses one piece; Escape puts the list away."), "quiet")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 2 * theme.GRID, 0, 0)
        column.setSpacing(theme.GRID)
        column.addWidget(self.heading)
        column.addLayout(self._lines)
        column.addWidget(self.use, 0, Qt.AlignmentFlag.AlignLeft)
        for widget in (self.hint, self.list, self.refusal):
            widget.hide()
            column.addWidget(widget)
        self.use.toggled.connect(self._open)
        self.list.opened.connect(self._use)
        self.list.left.connect(self._close)

    def show_job(self, job: Job, parts: JobParts) -> None:
        """Show what a job has of the drawer."""
        is_other = self._job is None or self._job.signed_at != job.signed_at or parts != self._shown
        self._job = job
        if not is_other:
            return
        self._shown = parts
        is_open = job.signed_at is None
        self._clear()
        for hold in sorted(parts.holds.values(), key=lambda hold: hold.entry, reverse=True):
            self._lines.addWidget(words(hold_line(hold), "body"), self._lines.rowCount(), 0, 1, 2)
        for used in parts.used:
            self._add_used(used, is_open=is_open)
        self.heading.setVisible(bool(parts.holds or parts.used))
        self.use.setVisible(is_open)
        if not is_open:
            self._close()
        self.rearranged.emit()

    def _clear(self) -> None:
        self.back = {}
        while (item := self._lines.takeAt(0)) is not None:
            if (widget := item.widget()) is not None:
                widget.hide()
                widget.deleteLater()

    def _add_used(self, used: UsedPart, *, is_open: bool) -> None:
        row = self._lines.rowCount()
        told = tr("Used: {count} × {piece}", count=used.pieces, piece=used.part.called)
        self._lines.addWidget(words(told, "body"), row, 0)
        if is_open:
            back = button(tr("Bring one back"), "plain")
            back.setAccessibleName(tr("Bring one back: {piece}", piece=used.part.called))
            back.clicked.connect(partial(self._bring_back, used.part.id))
            self._lines.addWidget(back, row, 1)
            self.back[used.part.id] = back

    # -- using ---------------------------------------------------------------------------------------------------

    def _open(self, is_open: bool) -> None:
        for widget in (self.hint, self.list):
            widget.setVisible(is_open)
        self._refuse("")
        if is_open:
            self._list_parts()
            self.list.setFocus(Qt.FocusReason.TabFocusReason)
        self.rearranged.emit()

    def _list_parts(self) -> None:
        there = [p for p in self._workshop.parts() if p.kind in USED_KINDS and p.count and not p.is_retired]
        there.sort(key=lambda part: (USED_KINDS.index(part.kind), part.name, part.place))
        self.list.show_rows(there)
        head, row = self.list.horizontalHeader(), self.list.verticalHeader().defaultSectionSize()
        rows = min(max(len(there), 1), ROWS_SHOWN)
        self.list.setFixedHeight(head.sizeHint().height() + rows * row + theme.GRID)

    def _close(self) -> None:
        had_focus = self.list.hasFocus()
        self.use.setChecked(False)
        if had_focus:
            self.use.setFocus(Qt.FocusReason.OtherFocusReason)

    def _use(self, part: Part | None) -> None:
        if part is not None:
            self._change(self._workshop.use_part, part.id)
            self._list_parts()

    def _bring_back(self, part_id: int) -> None:
        self._change(self._workshop.bring_part_back, part_id)
        if self.list.isVisibleTo(self):
            self._list_parts()
        following = self.back.get(part_id, self.use)
        following.setFocus(Qt.FocusReason.OtherFocusReason)

    def _change(self, act: Callable[[int, int, str, str], JobParts], part_id: int) -> None:
        if self._job is None:
            return
        self._refuse("")
        try:
            parts = act(self._job.id, part_id, "1", self._settings.person)
        except UserError as error:
            self._refuse(str(error))
            return
        self.show_job(self._job, parts)

    def _refuse(self, sentence: str) -> None:
        say(self.refusal, sentence)

    def focusables(self) -> list[QWidget]:
        """Return what takes the focus, in order."""
        return [*self.back.values(), self.use, self.list]
