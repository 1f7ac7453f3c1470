"""How the board looks: the tooth, the prints on it, the handles and the names of its ends."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen, QPolygonF

from app import theme
from core.language import tr
from core.mechanics.outline import Point, Ring
from core.mechanics.tooth_view import ToothView

ROOM = 26
"""Room [px at 100 %] beside the tooth, so that a stroke may begin there and the words of its ends fit."""
HANDLE = 5
CENTRE = 6
EDGE = 3
WHOLE_TOOTH: Ring = ((0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0))
MIDDLES = (((0.0, 0.5), (1.0, 0.5)), ((0.5, 0.0), (0.5, 1.0)))


def paint_tooth(painter: QPainter, view: ToothView) -> None:
    """Paint the flank with the middles of its length and depth."""
    colours = theme.current().colours
    painter.setPen(QPen(QColor(colours.quiet), 1.4))
    painter.setBrush(QColor(colours.sunk))
    painter.drawPolygon(_polygon(view, WHOLE_TOOTH))
    painter.setPen(QPen(QColor(colours.line), 1))
    for one, other in MIDDLES:
        painter.drawLine(QPointF(*view.at(*one)), QPointF(*view.at(*other)))


def paint_prints(painter: QPainter, view: ToothView, rings: Iterable[Ring], behind: Iterable[Ring]) -> None:
    """Paint a print, and the one found before in dashes over it."""
    colours, px = theme.current().colours, theme.current().px
    fill = QColor(colours.accent)
    fill.setAlphaF(0.45)
    painter.setPen(QPen(QColor(colours.accent), px(2)))
    painter.setBrush(fill)
    for ring in rings:
        painter.drawPolygon(_polygon(view, ring))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(QColor(colours.ink), 1.4, Qt.PenStyle.DashLine))
    for ring in behind:
        painter.drawPolygon(_polygon(view, ring))


def paint_box(painter: QPainter, view: ToothView, box: Ring) -> None:
    """Paint the edge of where the centre of a print belongs."""
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(QColor(theme.current().colours.conforms), 1.4, Qt.PenStyle.DashLine))
    painter.drawPolygon(_polygon(view, box))


def paint_centre(painter: QPainter, view: ToothView, centre: Point) -> None:
    """Mark the centre of a print: ink on the ground's colour, to be seen on the print and between two patches."""
    colours, px = theme.current().colours, theme.current().px
    (x, y), reach = view.at(*centre), px(CENTRE)
    for colour, width in ((colours.ground, 4.0), (colours.ink, 1.6)):
        painter.setPen(QPen(QColor(colour), px(width)))
        painter.drawLine(QPointF(x - reach, y), QPointF(x + reach, y))
        painter.drawLine(QPointF(x, y - reach), QPointF(x, y + reach))


def paint_handles(painter: QPainter, handles: Mapping[str, Point]) -> None:
    """Paint the handles: squares to pull, a disc to tilt by."""
    colours, size = theme.current().colours, theme.current().px(HANDLE)
    painter.setPen(QPen(QColor(colours.ink), 1.4))
    painter.setBrush(QColor(colours.raised))
    for name, (x, y) in handles.items():
        box = QRectF(x - size, y - size, 2 * size, 2 * size)
        if name == "tilt":
            painter.drawEllipse(box)
        else:
            painter.drawRect(box)


def paint_stroke(painter: QPainter, view: ToothView, stroke: Ring) -> None:
    """Paint what the hand has drawn so far."""
    painter.setPen(QPen(QColor(theme.current().colours.accent), theme.current().px(2)))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawPolyline(_polygon(view, stroke))


def paint_focus(painter: QPainter, around: QRectF) -> None:
    """Paint the edge of what has the focus."""
    painter.setPen(QPen(QColor(theme.current().colours.accent), EDGE))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRect(around.adjusted(2, 2, -2, -2))


def paint_words(painter: QPainter, view: ToothView, height: float) -> None:
    """Name the ends and the upper and lower half of the tooth."""
    px = theme.current().px
    font = painter.font()
    font.setPixelSize(px(theme.STEPS[0]))
    painter.setFont(font)
    painter.setPen(QColor(theme.current().colours.quiet))
    room = px(ROOM)
    left, right = sorted((view.toe, view.heel))
    ends = (tr("heel"), tr("toe")) if view.toe > view.heel else (tr("toe"), tr("heel"))
    align = Qt.AlignmentFlag
    above, below = QRectF(left, 0, right - left, room), QRectF(left, height - room, right - left, room)
    for box, side, word in (
        (above, align.AlignHCenter, tr("face")),
        (below, align.AlignHCenter, tr("flank")),
        (below, align.AlignLeft, ends[0]),
        (below, align.AlignRight, ends[1]),
    ):
        painter.drawText(box, side | align.AlignVCenter, word)


def _polygon(view: ToothView, points: Iterable[Point]) -> QPolygonF:
    return QPolygonF([QPointF(*view.at(along, depth)) for along, depth in points])
