"""The gauge line: what the armed field is read with, remembered for each use, and its zero."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from itertools import pairwise
from typing import Protocol

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QKeySequence, QResizeEvent, QShortcut
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from app import theme
from app.bench.zero import ZeroLine
from app.widgets.editors import ChoiceEditor
from app.widgets.sentences import say, words
from core.errors import UserError
from core.facts import Gauge
from core.gauges import ZEROED, State, day_of, last_zero, standing, standing_words, width_words, zero_words
from core.language import mark, tr
from core.stages.entry import GAUGE_USES, Choice
from core.workshop import Workshop

NONE = "none"
SHORTCUT = "Ctrl+G"
HEIGHT = 52
ONE_LINE_FROM = 1080
"""Width at 100 % text size from which all of it stands in one line."""
LAPSED_NAMES = {
    State.OVERDUE: mark("{gauge}, overdue"),
    State.NEVER: mark("{gauge}, never calibrated"),
    State.FOUND_BAD: mark("{gauge}, found not good"),
}
"""How a gauge is offered that nothing vouches for."""


class BenchSettings(Protocol):
    """What the bench wants remembered from one day to the next."""

    person: str

    def gauge_for(self, use: str) -> int | None:
        """Return the gauge last used for something, or None."""

    def remember_gauge(self, use: str, gauge_id: int | None) -> None:
        """Keep which gauge is used for something."""


def offered_name(gauge: Gauge, today: date) -> str:
    """Return how a gauge is offered: by its name, and that nothing vouches for it where that is so."""
    lapsed = LAPSED_NAMES.get(standing(gauge, today).state)
    return tr(lapsed, gauge=gauge.name) if lapsed else gauge.name


def gauge_words(gauge: Gauge, today: date, units: str = "metric") -> str:
    """Return what is known of a gauge: its stated error, its calibration, and its last zero check."""
    told = [
        tr("± {error}", error=width_words(gauge, gauge.stated_error, units)),
        tr("calibration: {standing}", standing=standing_words(standing(gauge, today))),
    ]
    check = last_zero(gauge, today)
    if gauge.use in ZEROED and (check is None or day_of(check.at) != today):
        told.append(tr("zero not checked today"))
    elif check is not None:
        found = zero_words(gauge, check, units)
        told.append(tr("{zero} at {time}", zero=found, time=f"{check.at.astimezone():%H:%M}"))
    return "; ".join(told)


class GaugeLine(QWidget):
    """Offers the gauges that suit the armed field; Ctrl+G comes here, Enter goes back to the field.

    Signals
    -------
    done()
        The person goes back to the field.
    checked()
        A zero check was stored; readings may be marked by it.
    """

    done = Signal()
    checked = Signal()

    def __init__(self, settings: BenchSettings, workshop: Workshop, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._settings, self._workshop = settings, workshop
        self._gauges: dict[int, Gauge] = {}
        self._rows: dict[str, ChoiceEditor] = {}
        self._use = ""
        self._today, self._units = workshop.today(), workshop.shop().units
        self.label, self.facts = words("", "quiet", wraps=False), words("", "quiet")
        self.zero = ZeroLine()
        self._lay_out()
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        theme.give_role(self, "band")
        self._key = QShortcut(QKeySequence(SHORTCUT), self)
        self._key.activated.connect(self._come_here)
        self.zero.typed.connect(self._check_zero)
        self.zero.opened.connect(self._say_how)
        self.zero.done.connect(self.done)
        self.zero.done.connect(self._show_facts)

    def _lay_out(self) -> None:
        lines = QVBoxLayout(self)
        lines.setContentsMargins(2 * theme.GRID, theme.GRID, 2 * theme.GRID, theme.GRID)
        lines.setSpacing(0)
        self._line, self._below = QHBoxLayout(), QHBoxLayout()
        self._line.setSpacing(2 * theme.GRID)
        lines.addLayout(self._line)
        lines.addLayout(self._below)
        self._line.addWidget(self.label)
        self._line.addWidget(self.facts, 1)
        self._line.addWidget(self.zero)
        for widget in (self.label, self.zero):
            # What room is left over belongs to the choice and to what is said of it.
            widget.setSizePolicy(QSizePolicy.Policy.Maximum, QSizePolicy.Policy.Preferred)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._place_facts()

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.StyleChange and hasattr(self, "zero"):
            self._place_facts()

    def _place_facts(self) -> None:
        """Let what is known of the gauge stand beside the choice where there is room for it, else below."""
        is_wide = self.width() >= theme.current().px(ONE_LINE_FROM)
        if is_wide and self._below.count():
            self._below.removeWidget(self.facts)
            self._line.insertWidget(self._line.count() - 1, self.facts, 1)
        elif not is_wide and not self._below.count():
            self._line.removeWidget(self.facts)
            self._below.addWidget(self.facts)

    def show_gauges(self, gauges: Iterable[Gauge]) -> None:
        """Offer these gauges from now on; retired ones are left out."""
        self._gauges = {gauge.id: gauge for gauge in gauges if not gauge.is_retired}
        self._today, self._units = self._workshop.today(), self._workshop.shop().units
        for row in self._rows.values():
            row.hide()
            row.deleteLater()
        self._rows = {}
        self.show_use(self._use)

    def show_use(self, use: str) -> None:
        """Offer the gauges for one use (``dial``, ``torque`` …); "" where the field is read with none."""
        self._use = use
        if use and use not in self._rows and self._of_use(use):
            self._rows[use] = self._make_row(use)
        for of_use, row in self._rows.items():
            row.setVisible(of_use == use)
        say(self.label, tr("{use}, {keys}", use=tr(GAUGE_USES[use]), keys=SHORTCUT) if use else "")
        # The page must not jump between fields with a gauge and fields without.
        self.setMinimumHeight(theme.current().px(HEIGHT))
        self._show_facts()

    def gauge_for(self, use: str) -> int | None:
        """Return the gauge a reading of this use is taken with, or None."""
        if not use:
            return None
        row = self._rows.get(use)
        if row is not None:
            return int(row.text()) if row.text().isdigit() else None
        return self._remembered(use)

    def _of_use(self, use: str) -> list[Gauge]:
        return [gauge for gauge in self._gauges.values() if gauge.use == use]

    def _remembered(self, use: str) -> int | None:
        """Return what this bench used last; where the shop owns only one such gauge there is no question."""
        kept, there = self._settings.gauge_for(use), self._of_use(use)
        if kept is not None and any(gauge.id == kept for gauge in there):
            return kept
        return there[0].id if len(there) == 1 else None

    def _make_row(self, use: str) -> ChoiceEditor:
        offered = [Choice(str(gauge.id), offered_name(gauge, self._today)) for gauge in self._of_use(use)]
        row = ChoiceEditor([*offered, Choice(NONE, mark("none named"))], self)
        row.set_name(tr("Gauge, {use}", use=tr(GAUGE_USES[use])))
        for button in row.buttons:
            # Coming here from a field must not store what is half typed there.
            button.setProperty("keeps_draft", True)
        remembered = self._remembered(use)
        row.set_text(NONE if remembered is None else str(remembered))
        row.edited.connect(self._keep)
        row.entered.connect(self.done)
        row.escaped.connect(self.done)
        self._line.insertWidget(1, row)
        # Made late, the row would otherwise come after everything the Tab key goes through.
        for one, following in pairwise([*row.focusables(), *self.zero.focusables()]):
            QWidget.setTabOrder(one, following)
        return row

    def _keep(self) -> None:
        self._settings.remember_gauge(self._use, self.gauge_for(self._use))
        self._show_facts()

    @property
    def _gauge(self) -> Gauge | None:
        """The gauge in use, or None."""
        return self._gauges.get(self.gauge_for(self._use) or 0)

    def _show_facts(self) -> None:
        gauge = self._gauge
        self.zero.show_gauge(gauge)
        if gauge is not None:
            self._say(gauge_words(gauge, self._today, self._units))
        elif self._use and not self._of_use(self._use):
            self._say(tr("The shop's list has none; verdicts then count no uncertainty."))
        elif self._use:
            self._say(tr("Verdicts then count no uncertainty."))
        else:
            self._say(tr("No gauge is asked for here."))

    def _say_how(self) -> None:
        how = tr("Type what it shows at zero, or on the master less what the master should show; Enter keeps it.")
        self.zero.editor.set_description(how)
        self._say(how)

    def _check_zero(self, text: str) -> None:
        """Store a zero check; what cannot be read stays typed."""
        gauge = self._gauge
        if gauge is None:
            return
        try:
            outcome = self._workshop.zero_check(gauge.id, text, self._settings.person)
        except UserError as error:
            self._say(str(error), is_warning=True)
            return
        self.done.emit()
        self.zero.close_line()
        self.checked.emit()
        self._say(outcome.words(self._units), is_warning=not outcome.check.is_good)

    def _say(self, sentence: str, *, is_warning: bool = False) -> None:
        theme.give_role(self.facts, "refusal" if is_warning else "quiet")
        say(self.facts, sentence)

    def _come_here(self) -> None:
        row = self._rows.get(self._use)
        if row is not None:
            row.setFocus()

    def focusables(self) -> list[QWidget]:
        """Return what takes the focus, in order."""
        return [*(widget for row in self._rows.values() for widget in row.focusables()), *self.zero.focusables()]
