"""Both flanks with the print that was read, solid, and the one that is to be expected, dashed."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen, QResizeEvent
from PySide6.QtWidgets import QBoxLayout, QVBoxLayout, QWidget

from app import theme
from app.board.canvas import Canvas
from app.board.draft import Draft
from app.widgets.sentences import say, words
from core.advice.what_if import After, Expected
from core.mechanics.outline import Point, Ring
from core.stages.tooth import COAST, DRIVE, Tooth

DOT = 5
"""Half the width of the dot where a centre was read [px at 100 %]."""

LEAST_WIDTH = 280
"""Width at 100 % text size that one flank needs beside the other."""


class ShownFlank(Canvas):
    """One flank that is only looked at; a cross at the expected centre reaches as far as it is in doubt.

    A dot is where the centre was read.
    """

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(Draft(), parent)
        self.is_read_only = True
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.unsetCursor()
        self._expected: Expected | None = None
        self.centre_read: Point | None = None

    def show_read(self, rings: tuple[Ring, ...], centre: Point | None) -> None:
        """Show the print that was read, and its centre, as far as either was."""
        self.draft.rings, self.centre_read = rings, centre
        self.update()

    def show_expected(self, tooth: Tooth, expected: Expected) -> None:
        """Show the print that is to be expected."""
        self._expected = expected
        self.show_tooth(tooth, expected.side, expected.rings)
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if self._expected is not None:
            self._paint_cross(painter, self._expected)
        # Over the cross: as the gears stand, one lies nearly on the other.
        self._paint_read(painter)
        painter.end()

    def _paint_read(self, painter: QPainter) -> None:
        if self.centre_read is None:
            return
        colours, px = theme.current().colours, theme.current().px
        painter.setPen(QPen(QColor(colours.ground), px(2)))
        painter.setBrush(QColor(colours.accent))
        painter.drawEllipse(QPointF(*self.view().at(*self.centre_read)), px(DOT), px(DOT))

    def _paint_cross(self, painter: QPainter, expected: Expected) -> None:
        view, along, depth = self.view(), expected.along, expected.depth
        across, up = expected.along_doubt, expected.depth_doubt
        arms = (((along - across, depth), (along + across, depth)), ((along, depth - up), (along, depth + up)))
        colours, px = theme.current().colours, theme.current().px
        # Light under dark, so that it is seen on the print and beside it.
        for colour, width in ((colours.ground, 4), (colours.ink, 2)):
            painter.setPen(QPen(QColor(colour), px(width)))
            for one, other in arms:
                painter.drawLine(QPointF(*view.at(*one)), QPointF(*view.at(*other)))


class Teeth(QWidget):
    """Drive and coast flank, toes to the inside, or one below the other where the page is narrow."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.flanks = {DRIVE: ShownFlank(), COAST: ShownFlank()}
        self._titles = {side: words("", "quiet") for side in self.flanks}
        self._columns: dict[str, QWidget] = {}
        self._tooth = Tooth()
        self._row = QBoxLayout(QBoxLayout.Direction.LeftToRight, self)
        self._row.setContentsMargins(0, 0, 0, 0)
        self._row.setSpacing(2 * theme.GRID)
        for side, flank in self.flanks.items():
            self._columns[side] = QWidget()
            column = QVBoxLayout(self._columns[side])
            column.setContentsMargins(0, 0, 0, 0)
            column.setSpacing(0)
            column.addWidget(self._titles[side])
            column.addWidget(flank)
            self._row.addWidget(self._columns[side], 1, Qt.AlignmentFlag.AlignTop)

    def show_read(
        self,
        tooth: Tooth,
        prints: Mapping[str, tuple[Ring, ...]],
        centres: Mapping[str, Point],
        boxes: Mapping[str, Ring],
    ) -> None:
        """Show the tooth of a job with the prints that were read, their centres and where these belong, by side."""
        self._tooth = tooth
        for side in tooth.sides:
            self._row.removeWidget(self._columns[side])
            self._row.addWidget(self._columns[side], 1, Qt.AlignmentFlag.AlignTop)
            say(self._titles[side], tooth.words(side))
            self.flanks[side].show_tooth(tooth, side)
            self.flanks[side].show_read(prints[side], centres.get(side))
            self.flanks[side].show_box(boxes[side])

    def show_after(self, after: After, told: dict[str, str]) -> None:
        """Show what is to be expected; `told` says it of each side in words."""
        for expected in after.prints:
            flank = self.flanks[expected.side]
            flank.show_expected(self._tooth, expected)
            flank.setAccessibleName(self._titles[expected.side].text())
            flank.setAccessibleDescription(told[expected.side])

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        is_wide = self.width() >= 2 * theme.current().px(LEAST_WIDTH)
        directions = QBoxLayout.Direction
        self._row.setDirection(directions.LeftToRight if is_wide else directions.TopToBottom)
