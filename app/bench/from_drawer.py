"""Pieces of the drawer below the field they are taken for: the nearest ones, each a key or a click away."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QPushButton, QVBoxLayout, QWidget
from shiboken6 import isValid

from app.bench.aside import Aside
from app.bench.gauges import BenchSettings
from app.bench.holdings import Holdings
from app.bench.photo_desk import Run, at_once
from app.widgets.editors import LineEditor
from app.widgets.entry_field import EntryField, Helper
from app.widgets.flow import FlowLayout
from app.widgets.sentences import say, words
from app.widgets.settle import when_mouse_rests
from core.errors import UserError
from core.facts import Hold, Job
from core.language import tr
from core.mechanics.rings import is_parallel
from core.quantities import number, show
from core.stages.pieces import takes_piece
from core.workshop import Workshop
from core.workshop.drawer import Offer

SHOWN, ALL_SHOWN = 5, 24
"""How many of the nearest pieces are offered, and how many once more are asked for."""

Found = tuple[list[Offer], Hold | None]
"""What the drawer has for a field, and what the job has there already."""


def offer_words(offer: Offer) -> str:
    """Return what stands on the button of a piece: where it lies, how thick it is, how far that is off."""
    parts = [offer.part.place, offer.text, *_remarks(offer)]
    if offer.off_mm is not None:
        off = number("length", offer.off_mm, offer.unit)
        parts.append(off if off.startswith("-") else f"+{off}")
    return " · ".join(part for part in parts if part)


def spoken_words(offer: Offer, key: int) -> str:
    """Return what a screen reader says of a piece."""
    told = [tr("Take {piece}, {size}", piece=offer.part.called, size=offer.text), *_remarks(offer)]
    if offer.off_mm is not None:
        size = show("length", abs(offer.off_mm), offer.unit)
        told.append(tr("{size} too thick", size=size) if offer.off_mm > 0 else tr("{size} too thin", size=size))
    if key <= SHOWN:
        told.append(tr("Ctrl+{digit}", digit=key))
    return ", ".join(told)


def _remarks(offer: Offer) -> list[str]:
    told = []
    if offer.held_at:
        told.append(tr("in hand"))
    if not offer.part.measured_mm:
        told.append(tr("not measured"))
    elif not is_parallel(offer.part.measured_mm):
        told.append(tr("not parallel"))
    return told


class DrawerPieces(Helper):
    """The pieces offered for one field; one that was never measured asks for its thickness first.

    Signals
    -------
    wanted(part_id, measured)
        A piece is to be taken, with what it measures where that was asked for.
    rearranged()
        The buttons are others than before.
    """

    wanted = Signal(int, str)
    rearranged = Signal()

    def __init__(self, field: EntryField) -> None:
        super().__init__()
        self._offers: Sequence[Offer] = ()
        self._hold: Hold | None = None
        self._field, self._is_long = field, False
        self._to_measure: Offer | None = None
        self.heading, self.holds, self.refusal = words("", "quiet"), words("", "quiet"), words("", "refusal")
        self.buttons: list[QPushButton] = []
        self._row = QWidget()
        self._flow = FlowLayout(self._row)
        self.more = _button(tr("More of them"))
        # On the page from the start: Tab may be led past it before anything is offered.
        self._flow.addWidget(self.more)
        self.more.setAccessibleName(tr("More pieces for {field}", field=field.name))
        self.question, self.measured = words("", "quiet"), LineEditor()
        self.measured.setAlignment(Qt.AlignmentFlag.AlignLeft)
        self.measured.set_name(tr("Thickness as measured, for {field}", field=field.name))
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        for widget in (self.holds, self.heading, self._row, self.question, self.measured, self.refusal):
            column.addWidget(widget)
        for widget in (self.more, self.measured):
            self.watch(widget)
        self.more.clicked.connect(self._show_more)
        self.measured.entered.connect(self._take_measured)
        self.measured.escaped.connect(self._ask_nothing)
        for at in range(SHOWN):
            key = QShortcut(QKeySequence(f"Ctrl+{at + 1}"), field)
            key.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
            key.activated.connect(partial(self._take_at, at))
        self._ask_nothing()

    def show_offers(self, offers: Sequence[Offer], hold: Hold | None) -> None:
        """Show what the drawer has for the field, and what the job has there already."""
        self._offers, self._hold = offers, hold
        say(self.holds, hold_words(hold) if hold is not None else "")
        say(self.heading, self._heading(offers))
        shown = offers[: ALL_SHOWN if self._is_long else SHOWN]
        self._make_buttons(len(shown))
        for key, (button, offer) in enumerate(zip(self.buttons, shown, strict=True), start=1):
            button.setText(offer_words(offer))
            button.setAccessibleName(tr("{take} for {field}", take=spoken_words(offer, key), field=self._field.name))
            button.setToolTip(spoken_words(offer, key))
        self.more.setVisible(len(offers) > len(shown) and not self._is_long)
        self._row.setVisible(bool(shown))
        self.rearranged.emit()

    def _make_buttons(self, count: int) -> None:
        """Have so many buttons; those already there stay, with the focus."""
        for gone in self.buttons[count:]:
            if gone.hasFocus():
                self._field.setFocus(Qt.FocusReason.OtherFocusReason)
            self._flow.removeWidget(gone)
            gone.hide()
            gone.deleteLater()
        del self.buttons[count:]
        self._flow.removeWidget(self.more)
        while len(self.buttons) < count:
            button = _button()
            button.clicked.connect(partial(self._take_at, len(self.buttons)))
            self.watch(button)
            self._flow.addWidget(button)
            self.buttons.append(button)
        self._flow.addWidget(self.more)

    def _heading(self, offers: Sequence[Offer]) -> str:
        if not offers:
            return tr("The drawer has nothing for this.")
        nearest = offers[0]
        if nearest.off_mm is None or nearest.part.thickness_mm is None:
            return tr("From the drawer, the thinnest first; Ctrl+1 takes the first:")
        size = show("length", nearest.part.thickness_mm - nearest.off_mm, nearest.unit)
        return tr("From the drawer, nearest to {size}; Ctrl+1 takes the first:", size=size)

    def _show_more(self) -> None:
        # A button that hides with the focus in it would hand it to another field.
        self._field.setFocus(Qt.FocusReason.OtherFocusReason)
        self._is_long = True
        first_new = len(self.buttons)
        self.show_offers(self._offers, self._hold)
        self.buttons[min(first_new, len(self.buttons) - 1)].setFocus(Qt.FocusReason.OtherFocusReason)

    def _take_at(self, at: int) -> None:
        if not self.isVisible() or at >= len(self.buttons):
            return
        offer = self._offers[at]
        say(self.refusal, "")
        if offer.part.measured_mm:
            self.wanted.emit(offer.part.id, "")
            return
        self._to_measure = offer
        ask = tr(
            "{piece}: measure it at a few places, a bare number is in mm; then Enter takes it.", piece=offer.part.called
        )
        say(self.question, ask)
        self.measured.clear()
        self.measured.show()
        self.rearranged.emit()
        self.measured.setFocus(Qt.FocusReason.OtherFocusReason)

    def _take_measured(self) -> None:
        if self._to_measure is not None and self.measured.text().strip():
            self.wanted.emit(self._to_measure.part.id, self.measured.text())

    def _ask_nothing(self) -> None:
        if self.measured.hasFocus():
            self._field.setFocus(Qt.FocusReason.OtherFocusReason)
        self._to_measure = None
        say(self.question, "")
        self.measured.hide()

    def refuse(self, sentence: str) -> None:
        """Say why a piece was not taken; "" takes it back."""
        say(self.refusal, sentence)

    def put_away(self) -> None:
        """Take no more room than a calm field does."""
        self._is_long = False
        self._ask_nothing()
        self.refuse("")
        self.hide()

    def focusables(self) -> list[QWidget]:
        """Return what takes the focus, in order."""
        return [*self.buttons, self.more, self.measured]


def hold_words(hold: Hold) -> str:
    """Return in words what a job has at an entry."""
    if hold.is_fitted:
        return tr("Of the drawer, this job has the {piece} there: fitted.", piece=hold.part.called)
    return tr("Of the drawer, this job has the {piece} there: on trial.", piece=hold.part.called)


def _button(text: str = "") -> QPushButton:
    button = QPushButton(text)
    button.setAutoDefault(False)
    return button


class DrawerDesk(QObject):
    """Everything the bench does with the drawer; the page only says what it shows.

    Signals
    -------
    changed(state)
        A job has another piece: it is judged anew.
    rearranged()
        The order of the Tab key must be set anew.
    """

    changed = Signal(object)
    rearranged = Signal()

    def __init__(self, parent: QWidget, workshop: Workshop, settings: BenchSettings, run: Run = at_once) -> None:
        super().__init__(parent)
        self._workshop, self._settings, self._run = workshop, settings, run
        self._panels: dict[EntryField, DrawerPieces] = {}
        self._holdings: dict[Aside, Holdings] = {}
        self._armed: tuple[EntryField, int, str] | None = None

    def adopt(self, aside: Aside) -> None:
        """Put what the job has of the drawer beside a stage."""
        holdings = Holdings(self._workshop, self._settings)
        holdings.rearranged.connect(self.rearranged)
        self._holdings[aside] = holdings
        aside.put_before_photos(holdings)

    def show_stage(self, job: Job, aside: Aside) -> None:
        """Show what a job has, and what is offered for the armed field, as it is now."""
        self._holdings[aside].show_job(job, self._workshop.held_by_job(job.id))
        self._offer()

    def leave(self) -> None:
        """Forget the fields and asides of the job that was shown."""
        self._panels, self._holdings, self._armed = {}, {}, None

    def focusables(self, aside: Aside) -> list[QWidget]:
        """Return what takes the focus beside a stage, in order."""
        return self._holdings[aside].focusables()

    def arm(self, field: EntryField, job: Job, stage: str) -> None:
        """Offer the pieces that suit the armed field; what was offered below another goes."""
        if self._armed is not None and self._armed[0] is field:
            return
        if self._armed is not None and isValid(self._armed[0]):
            panel = self._panels[self._armed[0]]
            when_mouse_rests(panel, panel.put_away)
        self._armed = None
        if not takes_piece(field.entry) or job.signed_at is not None:
            return
        if field not in self._panels:
            panel = DrawerPieces(field)
            panel.wanted.connect(partial(self._take, field))
            panel.rearranged.connect(self.rearranged)
            field.put_helper(panel)
            panel.hide()
            self._panels[field] = panel
        self._armed = field, job.id, stage
        when_mouse_rests(field, self._offer)

    def _offer(self) -> None:
        # A trial that was closed took its fields along.
        if self._armed is None or not isValid(self._armed[0]):
            return
        field, job_id, stage = self._armed
        entry, _, trial = field.key

        # Which thickness is wanted may be advised, and that takes a moment.
        def look() -> Found:
            offers = self._workshop.offers(job_id, stage, entry, trial)
            return offers, self._workshop.held_by_job(job_id).holds.get(entry)

        self._run(look, partial(self._found, field))

    def _found(self, field: EntryField, found: Found) -> None:
        if isValid(field):
            when_mouse_rests(field, partial(self._show_found, field, found))

    def _show_found(self, field: EntryField, found: Found) -> None:
        """Show what was found, if the field is still the armed one."""
        if self._armed is not None and self._armed[0] is field:
            self._panels[field].show_offers(*found)
            self._panels[field].show()

    def _take(self, field: EntryField, part_id: int, measured: str) -> None:
        if self._armed is None:
            return
        _, job_id, stage = self._armed
        try:
            state = self._workshop.take_from_drawer(
                job_id,
                stage,
                field.entry.key,
                field.trial,
                part_id,
                self._settings.person,
                measured_text=measured,
                seen=field.seen,
            )
        except UserError as error:
            # Somebody else may have been quicker: what is left is shown.
            self._offer()
            self._panels[field].refuse(str(error))
            return
        # What is put away with the focus in it would hand it to another field.
        field.setFocus(Qt.FocusReason.OtherFocusReason)
        self._panels[field].put_away()
        reading = state.context.reading(stage, field.entry.key, trial=field.trial)
        if reading is not None:
            field.editor.set_text(reading.text)
        field.accept()
        self.changed.emit(state)
        field.went_on.emit(field)
