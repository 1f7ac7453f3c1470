"""A zero check at the bench: a push that turns into a line to type into, beside the gauge in use."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QWidget

from app import theme
from app.widgets.editors import LineEditor
from app.widgets.sentences import words
from core.facts import Gauge
from core.gauges import ZEROED
from core.language import tr
from core.quantities import KINDS, width_of

SHORTCUT = "Ctrl+0"
WIDTH = 110


class ZeroLine(QWidget):
    """Offers to check the zero of a gauge; Ctrl+0 comes here, Enter stores, Escape gives it up.

    Signals
    -------
    opened()
        Somebody is about to type.
    typed(text)
        What the gauge shows was typed.
    done()
        The person goes back to the field.
    """

    opened = Signal()
    typed = Signal(str)
    done = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.button = QPushButton(tr("Check zero, {keys}", keys=SHORTCUT))
        self.button.setAutoDefault(False)
        theme.give_role(self.button, "plain")
        self.editor, self.unit = LineEditor(), words("", "quiet", wraps=False)
        for widget in (self.button, self.editor):
            # Looking at the gauge must not store what is half typed in a field.
            widget.setProperty("keeps_draft", True)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(theme.GRID)
        row.addWidget(self.button)
        row.addWidget(self.editor)
        row.addWidget(self.unit)
        self.close_line()
        self._key = QShortcut(QKeySequence(SHORTCUT), self)
        self._key.activated.connect(self._open)
        self.button.clicked.connect(self._open)
        self.editor.entered.connect(self._tell)
        self.editor.escaped.connect(self._give_up)

    def show_gauge(self, gauge: Gauge | None) -> None:
        """Offer the check for a gauge that has a zero; what was typed for another gauge is dropped."""
        has_zero = gauge is not None and gauge.use in ZEROED
        self.setVisible(has_zero)
        self._key.setEnabled(has_zero)
        name = "" if gauge is None else tr("What {gauge} shows at its zero", gauge=gauge.name)
        if name != self.editor.accessibleName() or not has_zero:
            self.close_line()
        self.editor.set_name(name)
        if gauge is not None and has_zero:
            kind, unit = width_of(gauge.kind, KINDS[gauge.kind].canonical.id)
            self.unit.setText(KINDS[kind].unit(unit).label)
            self.button.setAccessibleName(tr("Check the zero of {gauge}", gauge=gauge.name))

    @property
    def is_open(self) -> bool:
        """Whether there is a line to type into."""
        return not self.editor.isHidden()

    def _open(self) -> None:
        self.editor.setFixedWidth(theme.current().px(WIDTH))
        self._show(is_open=True)
        self.editor.setFocus(Qt.FocusReason.OtherFocusReason)
        self.opened.emit()

    def close_line(self) -> None:
        """Go back to the push; what was typed is dropped."""
        self.editor.set_text("")
        self._show(is_open=False)

    def _show(self, *, is_open: bool) -> None:
        self.button.setVisible(not is_open)
        self.editor.setVisible(is_open)
        self.unit.setVisible(is_open)

    def _tell(self) -> None:
        self.typed.emit(self.editor.text())

    def _give_up(self) -> None:
        # The focus goes first: hiding what has it would arm whatever comes next.
        self.done.emit()
        self.close_line()

    def focusables(self) -> list[QWidget]:
        """Return what takes the focus, in order."""
        return [self.button, self.editor]
