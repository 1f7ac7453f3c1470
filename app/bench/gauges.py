"""The gauge line: what the armed field is read with, remembered for each use."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import Protocol

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QHBoxLayout, QWidget

from app import theme
from app.widgets.editors import ChoiceEditor
from app.widgets.sentences import say, words
from core.facts import Gauge
from core.language import mark, tr
from core.quantities import show
from core.stages.entry import GAUGE_USES, Choice

NONE = "none"
SHORTCUT = "Ctrl+G"
HEIGHT = 52


class BenchSettings(Protocol):
    """What the bench wants remembered from one day to the next."""

    person: str

    def gauge_for(self, use: str) -> int | None:
        """Return the gauge last used for something, or None."""

    def remember_gauge(self, use: str, gauge_id: int | None) -> None:
        """Keep which gauge is used for something."""


def calibrated_until(gauge: Gauge) -> date | None:
    """Return the day a gauge's calibration runs out, or None where that is not known."""
    if gauge.calibrated_on is None or gauge.interval_months is None:
        return None
    months = gauge.calibrated_on.month - 1 + gauge.interval_months
    first = date(gauge.calibrated_on.year + months // 12, months % 12 + 1, 1)
    following = date(first.year + first.month // 12, first.month % 12 + 1, 1)
    return first.replace(day=min(gauge.calibrated_on.day, (following - first).days))


def gauge_words(gauge: Gauge, today: date) -> str:
    """Return what is known of a gauge: its stated error, and how its calibration stands."""
    until = calibrated_until(gauge)
    error = tr("±{error}", error=show(gauge.kind, gauge.stated_error))
    if until is None:
        return tr("{error}, calibration not noted", error=error)
    if until < today:
        return tr("{error}, calibration ran out on {day}", error=error, day=until.isoformat())
    return tr("{error}, calibration good until {day}", error=error, day=until.isoformat())


class GaugeLine(QWidget):
    """Offers the gauges that suit the armed field; Ctrl+G comes here, Enter goes back to the field."""

    done = Signal()

    def __init__(self, settings: BenchSettings, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._settings = settings
        self._gauges: dict[int, Gauge] = {}
        self._rows: dict[str, ChoiceEditor] = {}
        self._use = ""
        self.label, self.facts = words("", "quiet", wraps=False), words("", "quiet")
        self._line = QHBoxLayout(self)
        self._line.setContentsMargins(2 * theme.GRID, theme.GRID, 2 * theme.GRID, theme.GRID)
        self._line.setSpacing(2 * theme.GRID)
        self._line.addWidget(self.label)
        self._line.addWidget(self.facts, 1)
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        theme.give_role(self, "band")
        self._key = QShortcut(QKeySequence(SHORTCUT), self)
        self._key.activated.connect(self._come_here)

    def show_gauges(self, gauges: Iterable[Gauge]) -> None:
        """Offer these gauges from now on."""
        self._gauges = {gauge.id: gauge for gauge in gauges}
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
        gauges = self._of_use(use)
        row = ChoiceEditor([*(Choice(str(g.id), g.name) for g in gauges), Choice(NONE, mark("none named"))], self)
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
        return row

    def _keep(self) -> None:
        self._settings.remember_gauge(self._use, self.gauge_for(self._use))
        self._show_facts()

    def _show_facts(self) -> None:
        gauge = self._gauges.get(self.gauge_for(self._use) or 0)
        if gauge is not None:
            say(self.facts, gauge_words(gauge, date.today()))
        elif self._use and not self._of_use(self._use):
            say(self.facts, tr("The shop's list has none; verdicts then count no uncertainty."))
        elif self._use:
            say(self.facts, tr("Verdicts then count no uncertainty."))
        else:
            say(self.facts, tr("No gauge is asked for here."))

    def _come_here(self) -> None:
        row = self._rows.get(self._use)
        if row is not None:
            row.setFocus()

    def focusables(self) -> list[QWidget]:
        """Return what takes the focus, in order."""
        return [widget for row in self._rows.values() for widget in row.focusables()]
