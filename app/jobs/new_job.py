"""The intake: what is known about a unit on the day it comes in becomes a job."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from itertools import chain, repeat

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent, QShowEvent
from PySide6.QtWidgets import QHBoxLayout, QLabel, QVBoxLayout, QWidget

from app.jobs.form import ChoiceField, Form, RowsField, Scrolled, TextField, button, unsaid
from app.jobs.latest import Latest, Run
from app.jobs.panes import Panes
from app.jobs.rows import Column
from app.theme import GRID, give_role, set_mark
from app.widgets.sentences import say, words
from core.drafts import JobDraft
from core.errors import UserError
from core.facts import LEFT, SpecCard
from core.language import mark, tr
from core.stages.card import FACTS_BY_KEY
from core.stages.entry import Remark
from core.workshop import Workshop

LEAST_DIGITS = 130


def _ring_gear_side(card: SpecCard) -> str:
    return tr("left") if card.text("ring_gear_side") == LEFT else tr("right")


def _setting(card: SpecCard) -> str:
    choices = FACTS_BY_KEY["setting_method"].choices
    return next((tr(choice.label) for choice in choices if choice.key == card.text("setting_method")), "")


CARD_COLUMNS = (
    Column(mark("Family"), lambda card: card.family),
    Column(mark("Revision"), lambda card: str(card.revision), is_number=True),
    Column(mark("Ring gear"), _ring_gear_side),
    Column(mark("Set by"), _setting, stretches=True),
)


def intake_form() -> Form:
    """Return the empty intake, its fields in the order a unit is looked at."""
    form = Form()
    for field in (
        TextField("number", tr("Job number"), tr("The next free number; change it if your paper says another.")),
        TextField(
            "serial", tr("Unit serial number"), tr("As stamped on the casing; its earlier visits are found by it.")
        ),
        TextField("customer", tr("Customer")),
        TextField("contact", tr("Contact"), tr("Telephone, mail or street, as the customer wishes.")),
        TextField("vehicle", tr("Vehicle"), tr("In your own words.")),
        RowsField(
            "card_id",
            tr("Casing family"),
            CARD_COLUMNS,
            tr("Arrow keys choose; the spec card says which limits apply."),
        ),
        TextField("ring_gear_teeth", tr("Ring-gear teeth"), tr("Count them; a tag may belong to another unit.")),
        TextField("pinion_teeth", tr("Pinion teeth"), tr("Count them.")),
        TextField("tag_ratio", tr("Ratio on the tag"), tr("Leave it empty where there is no tag.")),
        ChoiceField("is_limited_slip", tr("Limited-slip carrier"), (("no", tr("no")), ("yes", tr("yes")))),
        TextField("asked_for", tr("What was asked for"), tr("In the customer's words.")),
    ):
        form.add(field)
    return form


class NewJobPage(QWidget):
    """The intake on a page: fields on the left, on the right what the counts and the serial say."""

    job_opened = Signal(int)
    cancelled = Signal()
    card_wanted = Signal()

    def __init__(
        self, workshop: Workshop, run: Run, person: Callable[[], str] = str, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._workshop = workshop
        self._person = person
        self._remarks = Latest(run)
        self._offered = ""
        self._emptied: dict[str, str] | None = None
        self.form = intake_form()
        self.refusal = unsaid("refusal")
        self.no_card = words(
            tr("A job needs a spec card, because the card says which limits apply. There is none yet.")
        )
        self.add_card = button(tr("Add a spec card"))
        self.open_job = button(tr("Open job"), "main")
        self.back = button(tr("Back to the jobs"))
        self.start_over = button(tr("Empty the form"), "plain")
        self.remarks_heading = words(tr("What this comes to"), "heading")
        self.remarks = QVBoxLayout()
        self._remark_lines: list[QLabel] = []
        self._lay_out()
        self._connect()
        self._begin()

    def _lay_out(self) -> None:
        missing_card = QHBoxLayout()
        missing_card.setSpacing(2 * GRID)
        missing_card.addWidget(self.no_card, 1)
        missing_card.addWidget(self.add_card)
        pushes = QHBoxLayout()
        pushes.setSpacing(GRID)
        for push in (self.open_job, self.back, self.start_over):
            pushes.addWidget(push)
        pushes.addStretch(1)
        content = QWidget()
        left = QVBoxLayout(content)
        left.setContentsMargins(0, 0, GRID, 0)
        left.setSpacing(2 * GRID)
        left.addLayout(missing_card)
        left.addWidget(self.form)
        left.addWidget(self.refusal)
        left.addLayout(pushes)
        left.addStretch(1)
        beside = QWidget()
        right = QVBoxLayout(beside)
        right.setContentsMargins(0, 0, 0, 0)
        right.setSpacing(GRID)
        right.addWidget(self.remarks_heading)
        right.addLayout(self.remarks)
        right.addStretch(1)
        page = QVBoxLayout(self)
        page.setContentsMargins(3 * GRID, 2 * GRID, 3 * GRID, 2 * GRID)
        page.setSpacing(2 * GRID)
        page.addWidget(
            words(tr("Write down what came in. Enter goes on; in the last field it opens the job."), "sentence")
        )
        # The remarks stay outside what scrolls: they are read while the counts are typed.
        page.addWidget(Panes(Scrolled(content, self.form), beside, LEAST_DIGITS, narrow=(1, 0)), 1)

    def _connect(self) -> None:
        self.form.changed.connect(self._look_at_it)
        self.form.handed_in.connect(self._open)
        self.open_job.clicked.connect(self._open)
        self.back.clicked.connect(self.cancelled)
        self.start_over.clicked.connect(self._empty_or_put_back)
        self.add_card.clicked.connect(self.card_wanted)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Escape goes back to the jobs; what was typed is still here on return."""
        if event.key() == Qt.Key.Key_Escape:
            self.cancelled.emit()
        else:
            super().keyPressEvent(event)

    def showEvent(self, event: QShowEvent) -> None:
        """Offer the cards and the number as they are now, and touch nothing that was typed."""
        super().showEvent(event)
        self._offer()
        self.form.fields["serial"].setFocus(Qt.FocusReason.OtherFocusReason)

    def _begin(self) -> None:
        """Empty the form for the next unit."""
        self.form.put({"is_limited_slip": "no"})
        say(self.refusal, "")
        self._offered = ""
        self._offer()
        self._remarks.drop()
        self._show_remarks([])

    def _empty_or_put_back(self) -> None:
        """Empty the form; pushed again before anything is typed, put it all back."""
        emptied, self._emptied = self._emptied, None
        if emptied is None:
            self._emptied = self.form.values()
            self._begin()
        else:
            self.form.put(emptied)
            self._ask_for_remarks()
        self._name_start_over()

    def _name_start_over(self) -> None:
        self.start_over.setText(tr("Empty the form") if self._emptied is None else tr("Put it back"))

    def _offer(self) -> None:
        number = self.form.fields["number"]
        if number.value() == self._offered:
            self._offered = self._workshop.next_job_number()
            number.put(self._offered)
        cards = self._workshop.cards()
        family = self.form.fields["card_id"]
        assert isinstance(family, RowsField)  # noqa: S101
        family.show_rows(cards, lambda card: card.family)
        self.no_card.setVisible(not cards)
        self.add_card.setVisible(not cards)
        self.open_job.setEnabled(bool(cards))

    def draft(self) -> JobDraft:
        """Return the intake as typed."""
        values = self.form.values()
        card_id = values.pop("card_id")
        is_limited_slip = values.pop("is_limited_slip") == "yes"
        return JobDraft(**values, is_limited_slip=is_limited_slip, card_id=int(card_id) if card_id else None)

    def _look_at_it(self) -> None:
        say(self.refusal, "")
        self._emptied = None
        self._name_start_over()
        self._ask_for_remarks()

    def _ask_for_remarks(self) -> None:
        self._remarks.ask(partial(self._workshop.draft_remarks, self.draft()), self._show_remarks)

    def _show_remarks(self, remarks: Sequence[Remark]) -> None:
        while len(self._remark_lines) < len(remarks):
            self._remark_lines.append(words())
            self.remarks.addWidget(self._remark_lines[-1])
        for line, remark in zip(self._remark_lines, chain(remarks, repeat(Remark(""))), strict=False):
            say(line, remark.text)
            set_mark(line, "tone", "uncertain" if remark.is_warning else "")
        give_role(self.remarks_heading, "heading" if remarks else "quiet")
        say(self.remarks_heading, tr("What this comes to") if remarks else tr("Ratio and earlier visits appear here."))

    def _open(self) -> None:
        draft = self.draft()
        refused = self._workshop.check_draft(draft)
        self.form.refuse(refused)
        if refused:
            return
        try:
            job = self._workshop.new_job(draft, self._person())
        except UserError as error:
            if self._is_taken(draft.number):
                self.form.refuse({"number": str(error)})
            else:
                say(self.refusal, str(error))
            return
        self._begin()
        self.job_opened.emit(job.id)

    def _is_taken(self, number: str) -> bool:
        try:
            self._workshop.job(number)
        except UserError:
            return False
        return True
