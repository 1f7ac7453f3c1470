"""What a job shows as one row of the desk."""

from __future__ import annotations

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QStyleOptionViewItem

from app.jobs.rows import AnyIndex, Column, RowDelegate
from app.jobs.visits import day
from app.theme import GRID, current
from app.widgets import paint_mark
from core.language import mark, tr
from core.stages import STAGES
from core.verdict import ANSWER_WORDS
from core.workshop import JobRow

MARK_GAP = 6


def _marks_in_words(row: JobRow) -> str:
    pairs = zip(STAGES, row.marks, strict=False)
    return ", ".join(
        tr("{stage} {answer}", stage=tr(stage.label), answer=tr(ANSWER_WORDS[answer])) for stage, answer in pairs
    )


def _missing(row: JobRow) -> str:
    if row.missing:
        return row.missing
    return tr("signed by {name}", name=row.job.signed_by) if row.job.signed_by else tr("nothing; ready to sign")


JOB_COLUMNS = (
    Column(mark("Job"), lambda row: row.job.number),
    Column(mark("Unit"), lambda row: row.job.serial),
    Column(mark("Casing"), lambda row: row.job.card.family),
    Column(mark("Customer"), lambda row: row.job.customer),
    Column(mark("Stages"), lambda row: "", _marks_in_words),
    Column(mark("What is missing"), _missing, stretches=True),
    Column(mark("Last touched"), lambda row: day(row.touched_at)),
)
MARKS_COLUMN = 4


class MarksDelegate(RowDelegate):
    """Draws the six stage marks of a job side by side, in order of work."""

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: AnyIndex) -> None:
        self.paint_ground(painter, option, index)
        row: JobRow = index.data(Qt.ItemDataRole.UserRole)
        size = option.fontMetrics.ascent()
        left = option.rect.left() + current().px(GRID)
        top = option.rect.center().y() - size / 2
        for at, answer in enumerate(row.marks):
            paint_mark(painter, QRectF(left + at * (size + MARK_GAP), top, size, size), answer)

    def sizeHint(self, option: QStyleOptionViewItem, index: AnyIndex) -> QSize:
        width = len(STAGES) * (option.fontMetrics.ascent() + MARK_GAP) + 2 * current().px(GRID)
        return QSize(width, super().sizeHint(option, index).height())
