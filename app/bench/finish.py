"""The end of a stage: on to the next, and after the last one the sheet and the signature, with its PIN."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app import theme
from app.bench.column import GoOnButton
from app.bench.lines import LEFT_MARGIN
from app.jobs.form import button
from app.people.pin_line import PinLine
from app.widgets.editors import LineEditor
from app.widgets.flow import FlowLayout
from app.widgets.sentences import say, words
from core.errors import PinError
from core.facts import Job
from core.language import tr


class GoOn(QWidget):
    """Under every stage but the last: the button that turns to the next."""

    def __init__(self, label: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.button = GoOnButton(tr("Go on to {stage}", stage=label))
        theme.give_role(self.button, "main")
        column = QVBoxLayout(self)
        column.setContentsMargins(LEFT_MARGIN, 2 * theme.GRID, 0, 3 * theme.GRID)
        column.addWidget(self.button, 0, Qt.AlignmentFlag.AlignLeft)

    def first(self) -> QWidget:
        """Return where Enter arrives from the last field."""
        return self.button

    def focusables(self) -> list[QWidget]:
        """Return what takes the focus, in order."""
        return [self.button]


class HandOver(QWidget):
    """Under the last stage: the build sheet, and the signature by name and PIN. Enter signs from the PIN's line alone.

    Signals
    -------
    sheet_wanted(copy)
        A build sheet is wanted: ``shop`` or ``customer``.
    sign_wanted()
        The person at the bench signs; `pin` holds what was typed, once it was asked for.
    reopen_wanted(reason)
        The signed job is to be worked on again.
    """

    sheet_wanted = Signal(str)
    sign_wanted = Signal()
    reopen_wanted = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.shop_sheet = button(tr("Make the build sheet, shop's copy"))
        self.customer_sheet = button(tr("Make the build sheet, customer's copy"))
        self.sign = button("")
        self.pin = PinLine(tr("Sign with this PIN"))
        self.reopen = button(tr("Reopen the job"))
        self.signed, self.refusal = words("", "body"), words("", "refusal")
        self._asked_for = 0, ""
        self.reason = LineEditor()
        self.reason.setAlignment(Qt.AlignmentFlag.AlignLeft)
        self.reason.set_name(tr("Reason for reopening the job"))
        self.reason.entered.connect(self.reopen.setFocus)
        self._why = words(tr("To work on it again, write down why:"), "quiet")
        sheets = QWidget()
        row = FlowLayout(sheets)
        for push in (self.shop_sheet, self.customer_sheet):
            row.addWidget(push)
        column = QVBoxLayout(self)
        column.setContentsMargins(LEFT_MARGIN, 2 * theme.GRID, theme.GRID, 3 * theme.GRID)
        column.setSpacing(theme.GRID)
        column.addWidget(words(tr("Hand over"), "heading"))
        column.addWidget(sheets)
        for widget in (self.signed, self._why, self.reason):
            column.addWidget(widget)
        for push in (self.sign, self.reopen):
            column.addWidget(push, 0, Qt.AlignmentFlag.AlignLeft)
        column.addWidget(self.pin)
        column.addWidget(self.refusal)
        self._connect()

    def _connect(self) -> None:
        self.shop_sheet.clicked.connect(self._want_shop_sheet)
        self.customer_sheet.clicked.connect(self._want_customer_sheet)
        self.sign.clicked.connect(self.sign_wanted)
        self.pin.given.connect(self.sign_wanted)
        self.pin.given_up.connect(self._give_up_signing)
        self.reopen.clicked.connect(self._want_reopen)

    def _want_shop_sheet(self) -> None:
        self.sheet_wanted.emit("shop")

    def _want_customer_sheet(self) -> None:
        self.sheet_wanted.emit("customer")

    def _want_reopen(self) -> None:
        self.reopen_wanted.emit(self.reason.text())

    def ask_pin(self, error: PinError, person: str) -> None:
        """Ask for the PIN of who signs; once it is asked for, say why it was refused."""
        is_asked = self.pin.isVisibleTo(self)
        self.pin.ask(person)
        self.sign.hide()
        if is_asked:
            self.pin.refuse(error)
        else:
            self.pin.setFocus(Qt.FocusReason.OtherFocusReason)

    def _give_up_signing(self) -> None:
        self.pin.put_away()
        self.sign.show()
        self.sign.setFocus(Qt.FocusReason.OtherFocusReason)

    def show_job(self, job: Job, person: str) -> None:
        """Show whether the job is signed, and by whom it may be."""
        is_signed = job.signed_at is not None
        if is_signed or (job.id, person) != self._asked_for:
            self.pin.put_away()
        self._asked_for = job.id, person
        self.sign.setText(tr("Sign off as {name}", name=person) if person else tr("Sign off"))
        if job.signed_at is not None:
            day = job.signed_at.date().isoformat()
            say(self.signed, self._signed_words(job, day))
            self.reason.clear()
        else:
            say(self.signed, "")
        self.sign.setVisible(not is_signed and not self.pin.isVisibleTo(self))
        for widget in (self._why, self.reason, self.reopen):
            widget.setVisible(is_signed)
        self.refuse("")

    @staticmethod
    def _signed_words(job: Job, day: str) -> str:
        if job.signed_with_pin:
            return tr("Signed by {name} with PIN on {day}.", name=job.signed_by, day=day)
        return tr("Signed by {name} on {day}.", name=job.signed_by, day=day)

    def refuse(self, sentence: str) -> None:
        """Say why it cannot be done; "" takes it back."""
        say(self.refusal, sentence)

    def first(self) -> QWidget:
        """Return where Enter arrives from the last field."""
        return self.shop_sheet

    def focusables(self) -> list[QWidget]:
        """Return what takes the focus, in order."""
        return [self.shop_sheet, self.customer_sheet, self.reason, self.sign, self.reopen, *self.pin.focusables()]
