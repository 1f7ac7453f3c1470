"""The top of the bench: which job and which unit; and the job's details, corrected in place."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QGridLayout, QVBoxLayout, QWidget

from app import theme
from app.jobs.form import button
from app.widgets.entry_field import EntryField
from app.widgets.sentences import words
from core.drafts import ratio_words, tag_differs
from core.facts import Job
from core.language import mark, tr
from core.mechanics.bevel import is_hunting
from core.quantities import number
from core.stages.entry import Entry, Position

DETAILS = (
    Entry("customer", mark("Customer"), "text", help=mark("Who the unit belongs to.")),
    Entry("contact", mark("How to reach the customer"), "text", help=mark("Telephone or address, as it suits.")),
    Entry("vehicle", mark("Vehicle"), "text", help=mark("What the unit came out of, in the customer's words.")),
    Entry("asked_for", mark("Asked for"), "text", help=mark("What the customer wants done.")),
)
"""What may be corrected after the job was opened; its number, unit, teeth and card may not."""


PLAIN_INSET = 3
"""How far the words of a plain button stand from its edge; they line up with what stands below."""


class Details(QWidget):
    """The words of the job; each correction keeps the old ones in the job's events."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, theme.GRID)
        column.setSpacing(2)
        self.fields = [EntryField(entry, Position("", ""), parent=self) for entry in DETAILS]
        for field, following in zip(self.fields, [*self.fields[1:], None], strict=True):
            column.addWidget(field)
            if following is not None:
                field.went_on.connect(following.setFocus)
        self.hide()

    def show_job(self, job: Job) -> None:
        """Show the job's words."""
        for field in self.fields:
            field.show_text(getattr(job, field.entry.key), is_read_only=job.signed_at is not None)


class Header(QWidget):
    """Job number, unit, casing, ratio."""

    back_wanted = Signal()
    unit_wanted = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.back = button(tr("All jobs"), "plain")
        self.unit = button(tr("Unit history"), "plain")
        self.number, self.facts = words("", "title", wraps=False), words("", "body")
        self.facts.setProperty("tone", "quiet")
        self.details_button = button(tr("Job details"), "plain")
        self.details_button.setCheckable(True)
        self.details = Details(self)
        self._top = QGridLayout()
        self._top.setHorizontalSpacing(2 * theme.GRID)
        for at, widget in ((0, self.back), (1, self.number), (3, self.unit), (4, self.details_button)):
            self._top.addWidget(widget, 0, at)
        self._top.setColumnStretch(2, 1)
        self.set_wide(True)
        column = QVBoxLayout(self)
        column.setContentsMargins(2 * theme.GRID - PLAIN_INSET, theme.GRID, 2 * theme.GRID, 0)
        column.setSpacing(theme.GRID)
        column.addLayout(self._top)
        column.addWidget(self.details)
        self.back.clicked.connect(self.back_wanted)
        self.unit.clicked.connect(self.unit_wanted)
        self.details_button.toggled.connect(self._show_details)

    def set_wide(self, is_wide: bool) -> None:
        """Put the facts beside the number, or under it where the page is narrow."""
        self._top.removeWidget(self.facts)
        self.facts.setContentsMargins(0 if is_wide else PLAIN_INSET, 0, 0, 0)
        if is_wide:
            self._top.addWidget(self.facts, 0, 2)
        else:
            self._top.addWidget(self.facts, 1, 0, 1, 5)

    def _show_details(self, is_open: bool) -> None:
        self.details.setVisible(is_open)
        if is_open:
            self.details.fields[0].setFocus()

    def show_job(self, job: Job) -> None:
        """Show which job is worked on."""
        revision = tr(", revision {revision}", revision=job.revision) if job.revision > 1 else ""
        self.number.setText(f"{job.number}{revision}")
        self.facts.setText(" · ".join(self._facts(job)))
        self.details.show_job(job)

    @staticmethod
    def _facts(job: Job) -> list[str]:
        facts = [
            tr("unit {serial}", serial=job.serial),
            tr("casing {family}, card revision {revision}", family=job.card.family, revision=job.card.revision),
            ratio_words(job.ring_gear_teeth, job.pinion_teeth),
            tr("hunting") if is_hunting(job.pinion_teeth, job.ring_gear_teeth) else tr("not hunting"),
        ]
        if job.tag_ratio is not None and tag_differs(job.ring_gear_teeth, job.pinion_teeth, job.tag_ratio):
            facts.append(tr("the tag says {tag}", tag=number("ratio", job.tag_ratio, "one", 2)))
        return facts
