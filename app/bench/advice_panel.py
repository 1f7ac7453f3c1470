"""What to try next, beside the trials: the pair with its chance, why, the small plot, and the pushes that do it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from PySide6.QtCore import QEvent, QTimer, Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QVBoxLayout, QWidget

from app import theme
from app.jobs.form import button
from app.widgets.figure_view import FigureView
from app.widgets.flow import FlowLayout
from app.widgets.sentences import say, words
from core.advice import Advice
from core.advice.answer import Again, Picture, percent
from core.language import mark, tr
from core.quantities import number, show

TAKE_KEY, TICKET_KEY = "Ctrl+T", "Ctrl+Shift+T"
PLOT_WIDTH = 520
SHOWN_LATE_MS = 200
"""An answer that comes sooner than this replaces the one before without a flicker between them."""

ALONG = {"preload": mark("ring sum"), "backlash": mark("ring gear from the pinion")}


@dataclass(frozen=True)
class Shown:
    """An answer as it stands on the page.

    Attributes
    ----------
    advice : Advice or None
        What is advised; None where nothing is.
    trial : int
        The trial the pair would be.
    is_taken : bool
        The pair advised is that trial already, and nothing was read on it yet.
    is_read_only : bool
        The job is signed.
    plot : bytes or None
        The small plot as SVG.
    """

    advice: Advice | None = None
    trial: int = 0
    is_taken: bool = False
    is_read_only: bool = False
    plot: bytes | None = None


class AdvicePanel(QWidget):
    """What is advised on one stage. It never stands in the way: any other pair may be typed or taken.

    Signals
    -------
    take_wanted()
        The pair advised is to become the next trial.
    reading_wanted(again)
        The hand is to go to a reading that should be repeated.
    ticket_wanted()
        The pair is wanted on paper, for the bench.
    rearranged()
        The order of the Tab key must be set anew.
    """

    take_wanted = Signal()
    reading_wanted = Signal(object)
    ticket_wanted = Signal()
    rearranged = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.shown = Shown()
        self.title, self.text = words("", "heading"), words("", "body")
        self.chance, self.of_what = words("", "title", wraps=False), words("", "quiet")
        self.why, self.refusal = words("", "quiet"), words("", "refusal")
        self.plot = FigureView()
        self.go, self.take, self.ticket = button(tr("Go to the reading")), button(""), button("")
        self.ticket.setText(tr("Print bench ticket …"))
        self.ticket.setToolTip(tr("The pair on a small page, to take along ({key})", key=TICKET_KEY))
        self._chance_row, self._pushes = QWidget(), QWidget()
        self._notes = QVBoxLayout()
        self._notes.setSpacing(theme.GRID)
        self._late = QTimer(self)
        self._late.setSingleShot(True)
        self._late.setInterval(SHOWN_LATE_MS)
        self._lay_out()
        self.go.clicked.connect(self._want_reading)
        self.take.clicked.connect(self.take_wanted)
        self.ticket.clicked.connect(self.ticket_wanted)
        self._late.timeout.connect(self._step_back)
        self.show_answer(Shown())

    def _lay_out(self) -> None:
        row = QHBoxLayout(self._chance_row)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(theme.GRID)
        row.addWidget(self.chance)
        row.addWidget(self.of_what, 1)
        flow = FlowLayout(self._pushes)
        for push in (self.go, self.take, self.ticket):
            flow.addWidget(push)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(theme.GRID)
        for widget in (self.title, self.text, self._chance_row, self._pushes, self.refusal):
            column.addWidget(widget)
        plot = QHBoxLayout()
        plot.addWidget(self.plot, 1)
        plot.addStretch(0)
        column.addLayout(plot)
        column.addWidget(self.why)
        column.addLayout(self._notes)
        self._measure()

    def _measure(self) -> None:
        # Under the fields of a narrow page it would else be as wide as the page.
        self.plot.setMaximumWidth(theme.current().px(PLOT_WIDTH))

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.StyleChange and hasattr(self, "plot"):
            self._measure()

    # -- showing -------------------------------------------------------------------------------------------------

    def show_answer(self, shown: Shown) -> None:
        """Show what is advised now."""
        self._late.stop()
        self._tone("")
        self.shown = shown
        advice = shown.advice
        self.setVisible(advice is not None)
        say(self.title, advice.title if advice else "")
        say(self.text, advice.text if advice else "")
        say(self.why, tr("Why: {why}", why=advice.why) if advice and advice.why else "")
        self._show_chance(shown)
        self._show_pushes(shown)
        self._show_notes(advice.notes if advice else ())
        self.plot.setVisible(shown.plot is not None)
        if shown.plot is not None and advice is not None and advice.picture is not None:
            self.plot.show_figure(shown.plot, tr("Plot of what is expected"), " ".join(in_words(advice.picture)))

    def _show_chance(self, shown: Shown) -> None:
        offer = shown.advice.offer if shown.advice else None
        self._chance_row.setVisible(offer is not None)
        if offer is not None:
            self.chance.setText(tr("Chance {chance}", chance=percent(offer.chance)))
            self.of_what.setText(tr("that trial {trial} conforms", trial=shown.trial))

    def _show_pushes(self, shown: Shown) -> None:
        advice = shown.advice
        has_offer = advice is not None and advice.can_be_taken
        before = self.focusables()
        self.go.setVisible(advice is not None and advice.again is not None and not shown.is_read_only)
        self.take.setVisible(has_offer and not shown.is_read_only)
        self.take.setEnabled(not shown.is_taken)
        said = tr("This is trial {trial}", trial=shown.trial)
        if not shown.is_taken:
            said = tr("Make it trial {trial} ({key})", trial=shown.trial, key=TAKE_KEY)
        self.take.setText(said)
        self.ticket.setVisible(has_offer)
        self._pushes.setVisible(has_offer or self.go.isVisibleTo(self._pushes))
        if self.focusables() != before:
            self.rearranged.emit()

    def _show_notes(self, notes: tuple[str, ...]) -> None:
        while (item := self._notes.takeAt(0)) is not None:
            if (widget := item.widget()) is not None:
                widget.hide()
                widget.deleteLater()
        for note in notes:
            self._notes.addWidget(words(note, "body"))

    def await_answer(self) -> None:
        """Step back, if it takes long: what stands here is asked anew."""
        if not self._late.isActive():
            self._late.start()

    def _step_back(self) -> None:
        if self.shown.advice is None:
            say(self.text, tr("Looking for what to try next …"))
            self.show()
        self._tone("quiet")

    def _tone(self, tone: str) -> None:
        for label in (self.title, self.chance, self.text, *self._note_labels()):
            theme.set_mark(label, "tone", tone)

    def _note_labels(self) -> Iterator[QLabel]:
        for at in range(self._notes.count()):
            item = self._notes.itemAt(at)
            widget = item.widget() if item is not None else None
            if isinstance(widget, QLabel):
                yield widget

    @property
    def is_in_sight(self) -> bool:
        """Whether the push that takes the pair can be seen, and so what it takes."""
        return not self.take.visibleRegion().isEmpty()

    def refuse(self, sentence: str) -> None:
        """Say why the pair did not become a trial; "" takes it back."""
        say(self.refusal, sentence)

    # -- moving ---------------------------------------------------------------------------------------------------

    def focusables(self) -> list[QWidget]:
        """Return what takes the focus, in order."""
        return [push for push in (self.go, self.take, self.ticket) if not push.isHidden()]

    def _want_reading(self) -> None:
        again = self.shown.advice.again if self.shown.advice else None
        if isinstance(again, Again):
            self.reading_wanted.emit(again)


def in_words(picture: Picture) -> Iterator[str]:
    """Yield what the plot shows, sentence by sentence, for who cannot see it."""
    low, high = picture.limit
    yield tr(
        "Limits {low} to {high}.",
        low=number(picture.kind, low, picture.unit),
        high=show(picture.kind, high, picture.unit),
    )
    along = tr(ALONG[picture.stage])

    def place(at_mm: float) -> str:
        return show("length", at_mm, picture.size_unit)

    for trial, at_mm, value in picture.readings:
        yield tr(
            "Trial {trial}: {along} {place}, read {value}.",
            trial=trial,
            along=along,
            place=place(at_mm),
            value=show(picture.kind, value, picture.unit),
        )
    for at_mm, chance in picture.offers:
        yield tr("A pair at {along} {place}: chance {chance}.", along=along, place=place(at_mm), chance=percent(chance))
    for point in picture.band[:: max(len(picture.band) - 1, 1)]:
        yield tr(
            "At {along} {place} expected {middle}, nine times in ten between {low} and {high}.",
            along=along,
            place=place(point.x_mm),
            middle=show(picture.kind, point.middle, picture.unit),
            low=number(picture.kind, point.low, picture.unit),
            high=number(picture.kind, point.high, picture.unit),
        )
