"""What if: pinion and ring gear are moved on the screen, and the prints go where they would; Escape goes back.

It stands in the place of the stage. Nothing is written by it, so nothing has to be taken back.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial

from PySide6.QtCore import QEvent, Qt, QTimer
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QBoxLayout, QHBoxLayout, QLabel, QScrollArea, QVBoxLayout, QWidget

from app import theme
from app.bench.instead import InsteadOfStage
from app.bench.what_if_moves import MoveRow
from app.bench.what_if_teeth import Teeth
from app.jobs.form import button
from app.widgets.flow import FlowLayout
from app.widgets.marks import VerdictMark
from app.widgets.sentences import say, words
from core.advice.what_if import After, WhatIf
from core.advice.what_if_words import (
    backlash_words,
    fit_words,
    print_words,
    setting_words,
    shim_words,
    source_words,
)
from core.errors import UserError
from core.language import tr
from core.mechanics.outline import Ring
from core.stages.tooth import Tooth
from core.verdict import Answer

TWO_COLUMNS_FROM = 860
"""Width at 100 % text size from which the words stand beside what is moved; narrower, they stand under it."""


class WhatIfView(InsteadOfStage):
    """Both flanks, what moves the gears, and in words what would come of it."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._what_if: WhatIf | None = None
        self._unit, self._pinion_mm, self._gear_mm = "mm", 0.0, 0.0
        self.back, self.advised, self.stands = (
            button(text)
            for text in (tr("Back to the stage"), tr("Show the advised setting"), tr("Back to how it stands"))
        )
        self.lead = words(tr("Move the gears and see where the prints would go; nothing is written down."), "sentence")
        self.note, self.refusal = words("", "body"), words("", "refusal")
        self.teeth, self.key = Teeth(), words("", "quiet")
        self.pinion = MoveRow(
            tr("Pinion depth"), tr("minus: toward the ring gear's axis · plus: away from it"), is_signed=True
        )
        self.gear = MoveRow(
            tr("Ring-gear position"), tr("minus: toward the pinion · plus: away from it"), is_signed=True
        )
        self.backlash = MoveRow(tr("Backlash"), tr("moves the ring gear until it is reached"), is_signed=False)
        self.setting = words("", "strong")
        self.told = [words("", "body") for _ in range(5)]
        self.mark = VerdictMark()
        self.sources = words("", "quiet")
        self._asked, self._area = QWidget(), QScrollArea()
        self._lay_out()
        self._connect()
        self.setFocusProxy(self.pinion.slider)

    # -- putting together ----------------------------------------------------------------------------------------

    @property
    def moves(self) -> tuple[MoveRow, MoveRow, MoveRow]:
        """What can be moved, in order."""
        return self.pinion, self.gear, self.backlash

    @property
    def is_answered(self) -> bool:
        """Whether there is something that can be moved."""
        return self._what_if is not None

    def focusables(self) -> list[QWidget]:
        """Return what takes the focus, in order."""
        moved = [part for row in self.moves for part in (row.slider, row.field)]
        return [self.back, self.advised, self.stands, *moved]

    def _lay_out(self) -> None:
        pushes = QWidget()
        flow = FlowLayout(pushes)
        for push in (self.back, self.advised, self.stands):
            flow.addWidget(push)
        paper = QWidget()
        inside = QVBoxLayout(paper)
        inside.setContentsMargins(0, 0, theme.GRID, theme.GRID)
        inside.setSpacing(theme.GRID)
        inside.addWidget(self.lead)
        inside.addWidget(self.note)
        inside.addWidget(self._asked)
        inside.addStretch(1)
        self._area.setWidgetResizable(True)
        self._area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._area.setWidget(paper)
        column = QVBoxLayout(self)
        column.setContentsMargins(2 * theme.GRID, 0, 2 * theme.GRID, theme.GRID)
        column.setSpacing(theme.GRID)
        column.addWidget(pushes)
        column.addWidget(self._area, 1)
        self._lay_out_answer()

    def _lay_out_answer(self) -> None:
        left, right = QVBoxLayout(), QVBoxLayout()
        left.setSpacing(theme.GRID)
        right.setSpacing(theme.GRID // 2)
        for row in self.moves:
            left.addWidget(row)
        left.addStretch(1)
        right.addWidget(self.setting)
        for label in self.told:
            if label is self._backlash_label:
                right.addLayout(self._backlash_line())
            else:
                right.addWidget(label)
        right.addWidget(self.refusal)
        right.addWidget(self.sources)
        right.addStretch(1)
        self._halves = QBoxLayout(QBoxLayout.Direction.LeftToRight)
        self._halves.setSpacing(4 * theme.GRID)
        self._halves.addLayout(left, 2)
        self._halves.addLayout(right, 3)
        column = QVBoxLayout(self._asked)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(theme.GRID)
        column.addWidget(self.teeth)
        column.addWidget(self.key)
        column.addLayout(self._halves)

    @property
    def _backlash_label(self) -> QLabel:
        return self.told[2]

    def _backlash_line(self) -> QHBoxLayout:
        line = QHBoxLayout()
        line.setSpacing(theme.GRID // 2)
        line.addWidget(self.mark, 0, Qt.AlignmentFlag.AlignTop)
        line.addWidget(self._backlash_label, 1)
        return line

    def _connect(self) -> None:
        self.back.clicked.connect(self.closed)
        self.advised.clicked.connect(self._show_advised)
        self.stands.clicked.connect(self._show_as_it_stands)
        self.pinion.moved.connect(self._move_pinion)
        self.gear.moved.connect(self._move_gear)
        self.backlash.moved.connect(self._move_to_backlash)
        for row in self.moves:
            row.escaped.connect(self.closed)
            row.refused.connect(partial(QTimer.singleShot, 0, self, self._scroll_to_refusal))

    # -- showing -------------------------------------------------------------------------------------------------

    def await_answer(self) -> None:
        """Begin as the gears stand, and say that it is being worked out; nothing can be moved yet."""
        self._pinion_mm = self._gear_mm = 0.0
        self._let_go()
        self._show_note(tr("Working out how this set prints …"))
        self.lead.show()

    def refuse(self, sentence: str) -> None:
        """Say why nothing can be predicted."""
        self._show_note(sentence)
        self.lead.hide()

    def _show_note(self, sentence: str) -> None:
        self._what_if = None
        say(self.note, sentence)
        self._asked.hide()
        if self.advised.hasFocus() or self.stands.hasFocus() or self._asked.isAncestorOf(self.focusWidget() or self):
            self.back.setFocus(Qt.FocusReason.OtherFocusReason)
        self.advised.setEnabled(False)
        self.stands.setEnabled(False)

    def show_what_if(self, what_if: WhatIf, tooth: Tooth, prints: Mapping[str, tuple[Ring, ...]], unit: str) -> None:
        """Show a job's contact, in the setting that was shown.

        Parameters
        ----------
        what_if : WhatIf
            What is asked for each setting.
        tooth : Tooth
            How the tooth is drawn.
        prints : mapping
            The prints that were read, by side.
        unit : str
            Id of the unit lengths are shown in.
        """
        self._what_if, self._unit = what_if, unit
        say(self.note, "")
        self.lead.show()
        self._asked.show()
        self.advised.setEnabled(what_if.advised is not None)
        self.stands.setEnabled(True)
        self.teeth.show_read(tooth, prints, what_if.centres_read, what_if.boxes)
        solid = tr("solid: the print that was read") if any(prints.values()) else ""
        dot = tr("dot: the centre that was read") if what_if.centres_read else ""
        dashed = tr("dashed: the print to be expected · cross: its centre, as far as it is in doubt")
        box = tr("box: where the centre belongs")
        say(self.key, " · ".join(part for part in (solid, dot, dashed, box, tooth.assumed_words) if part))
        say(self.sources, " ".join(source_words(what_if)))
        self.backlash.show_here(what_if.backlash_mm(0.0, 0.0))
        self._show(self._pinion_mm, self._gear_mm)

    def _show(self, pinion_mm: float, gear_mm: float) -> None:
        """Show what is to be expected of a setting; where it cannot be computed, the one before stays."""
        what_if = self._what_if
        if what_if is None:
            return
        try:
            after = what_if.after(pinion_mm, gear_mm)
        except UserError as error:
            say(self.refusal, str(error))
            pinion_mm, gear_mm = self._pinion_mm, self._gear_mm
        else:
            say(self.refusal, "")
            self._tell(after, what_if)
        self._pinion_mm, self._gear_mm = pinion_mm, gear_mm
        self._show_moves(what_if)

    def _show_moves(self, what_if: WhatIf) -> None:
        reach_mm, pinion_mm, gear_mm = what_if.reach_mm, self._pinion_mm, self._gear_mm
        self.pinion.show_value(pinion_mm, -reach_mm, reach_mm, self._unit)
        self.gear.show_value(gear_mm, -reach_mm, reach_mm, self._unit)
        least, here, most = (what_if.backlash_mm(pinion_mm, at) for at in (-reach_mm, gear_mm, reach_mm))
        self.backlash.show_value(here, max(least, 0.0), most, self._unit)

    def _scroll_to_refusal(self) -> None:
        """Bring into sight why what was typed cannot be taken, once it has its place."""
        for row in self.moves:
            if row.is_refused:
                self._area.ensureWidgetVisible(row.refusal)

    def _tell(self, after: After, what_if: WhatIf) -> None:
        prints = {expected.side: print_words(expected) for expected in after.prints}
        said = (
            *prints.values(),
            backlash_words(after, what_if.limit, self._unit),
            shim_words(after, what_if, self._unit),
            fit_words(after, what_if, self._unit),
        )
        say(self.setting, setting_words(after, self._unit))
        for label, sentence in zip(self.told, said, strict=True):
            say(label, sentence)
        self.mark.setVisible(after.backlash is not Answer.MISSING)
        self.mark.show_answer(after.backlash)
        theme.set_mark(self._backlash_label, "tone", after.backlash.value)
        self.teeth.show_after(after, prints)

    # -- moving --------------------------------------------------------------------------------------------------

    def _move_pinion(self, pinion_mm: float) -> None:
        self._show(pinion_mm, self._gear_mm)

    def _move_gear(self, gear_mm: float) -> None:
        self._show(self._pinion_mm, gear_mm)

    def _move_to_backlash(self, backlash_mm: float) -> None:
        if self._what_if is not None:
            self._show(self._pinion_mm, self._what_if.gear_for(backlash_mm, self._pinion_mm))

    def _show_advised(self) -> None:
        if self._what_if is not None and self._what_if.advised is not None:
            self._let_go()
            self._show(*self._what_if.advised)

    def _show_as_it_stands(self) -> None:
        self._let_go()
        self._show(0.0, 0.0)

    def _let_go(self) -> None:
        for row in self.moves:
            row.let_go()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        is_wide = self.width() >= theme.current().px(TWO_COLUMNS_FROM)
        directions = QBoxLayout.Direction
        self._halves.setDirection(directions.LeftToRight if is_wide else directions.TopToBottom)

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.StyleChange and hasattr(self, "pinion"):
            for row in self.moves:
                row.measure()
