"""The six stages in a row, each with its mark; Alt and a digit turns to one."""

from __future__ import annotations

from PySide6.QtCore import QSize, Signal
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QButtonGroup, QPushButton, QWidget

from app import theme
from app.widgets.flow import FlowLayout
from app.widgets.marks import ICON_GAP, answer_word, mark_icon
from core.language import tr
from core.stages.state import JobState
from core.verdict import Answer

MARK = 16
MOST_KEYS = 9


class StageBar(QWidget):
    """One button a stage; the one that is shown is pressed in."""

    stage_wanted = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.buttons: dict[str, QPushButton] = {}
        self._answers: dict[str, Answer] = {}
        self._group = QButtonGroup(self)
        self._group.buttonClicked.connect(self._tell)
        self._keys: list[QShortcut] = []
        self._row = FlowLayout(self, gap=theme.GRID // 2)

    def show_job(self, state: JobState, chosen: str) -> None:
        """Show every stage's mark, and which stage is on the page."""
        for at, stage in enumerate(state.stages, start=1):
            key = stage.stage.key
            if key not in self.buttons:
                self._add(key, at)
            button, answer = self.buttons[key], stage.verdict.answer
            self._answers[key] = answer
            label = tr(stage.stage.label)
            button.setText(label)
            button.setAccessibleName(tr("{stage}: {word}", stage=label, word=answer_word(answer)))
            button.setToolTip(tr("{stage}: {reason} Alt+{digit}", stage=label, reason=stage.verdict.reason, digit=at))
            button.setChecked(key == chosen)
        self.draw_marks()

    def draw_marks(self) -> None:
        """Draw the marks in the colours and at the size in force."""
        side = theme.current().px(MARK)
        for key, button in self.buttons.items():
            button.setIconSize(QSize(side + ICON_GAP, side))
            button.setIcon(mark_icon(self._answers[key], side, self.devicePixelRatioF()))

    def _add(self, key: str, at: int) -> None:
        button = QPushButton()
        button.setCheckable(True)
        button.setAutoDefault(False)
        button.setProperty("stage", key)
        theme.give_role(button, "stage")
        self._group.addButton(button)
        self._row.addWidget(button)
        self.buttons[key] = button
        if at <= MOST_KEYS:
            shortcut = QShortcut(QKeySequence(f"Alt+{at}"), self)
            shortcut.activated.connect(button.click)
            self._keys.append(shortcut)

    def _tell(self, button: QPushButton) -> None:
        self.stage_wanted.emit(button.property("stage"))
