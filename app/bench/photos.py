"""The photos of a stage beside it: thumbnails, and where a further one is added."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from PySide6.QtCore import QRect, QSize, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QPainter, QPaintEvent, QPen, QPixmap
from PySide6.QtWidgets import QAbstractButton, QCheckBox, QPushButton, QSizePolicy, QVBoxLayout, QWidget

from app import theme
from app.widgets.editors import ENTER_KEYS, LineEditor
from app.widgets.entry_field import EntryField
from app.widgets.flow import FlowLayout
from app.widgets.sentences import say, words
from core.facts import Photo
from core.language import tr

THUMBNAIL = (192, 144)
"""Room of a thumbnail's picture at 100 % text size [px]; the words stand under it."""
_STEPS = {Qt.Key.Key_Left: -1, Qt.Key.Key_Up: -1, Qt.Key.Key_Right: 1, Qt.Key.Key_Down: 1}


def photo_name(photo: Photo, number: int, stage: str) -> str:
    """Return what a photo is called for who listens: its caption, or its stage and time."""
    time = photo.at.astimezone().strftime("%H:%M")
    if photo.caption:
        name = tr("Photo {number}: {caption}", number=number, caption=photo.caption)
    else:
        name = tr("Photo {number} of {stage}, {time}", number=number, stage=stage, time=time)
    return tr("{photo}, struck", photo=name) if photo.struck_at else name


class Thumbnail(QAbstractButton):
    """One small photo with a line under it; Space or Enter shows it large, the arrow keys go to its neighbours.

    Signals
    -------
    step_wanted(thumbnail, step)
        The neighbour so many places on is to get the focus.
    """

    step_wanted = Signal(object, int)

    def __init__(self, photo: Photo, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.photo = photo
        self._picture = QPixmap()
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)

    def show_photo(self, photo: Photo, picture: QPixmap, name: str) -> None:
        """Show a photo; a struck one is crossed out and says so."""
        self.photo, self._picture = photo, picture
        self.setAccessibleName(name)
        self.setToolTip(name)
        self.update()

    def sizeHint(self) -> QSize:
        width, height = (theme.current().px(side) for side in THUMBNAIL)
        return QSize(width, height + theme.GRID // 2 + self.fontMetrics().height() + 2)

    def minimumSizeHint(self) -> QSize:
        return self.sizeHint()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key = Qt.Key(event.key())
        if key in ENTER_KEYS:
            self.click()
        elif key in _STEPS:
            self.step_wanted.emit(self, _STEPS[key])
        else:
            super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        colours = theme.current().colours
        painter = QPainter(self)
        painter.setRenderHints(QPainter.RenderHint.SmoothPixmapTransform | QPainter.RenderHint.Antialiasing)
        room = QRect(0, 0, self.width(), theme.current().px(THUMBNAIL[1]))
        painter.fillRect(room, QColor(colours.sunk))
        # No larger than its pixels: a small picture blown up says less.
        size = self._picture.size().scaled(room.size(), Qt.AspectRatioMode.KeepAspectRatio)
        size = size.boundedTo(self._picture.size().expandedTo(QSize(1, 1)))
        place = QRect(room.center() - QRect(0, 0, size.width(), size.height()).center(), size)
        painter.drawPixmap(place, self._picture)
        if self.photo.struck_at:
            painter.setPen(QPen(QColor(colours.ground), 5))
            painter.drawLine(room.bottomLeft(), room.topRight())
            painter.setPen(QPen(QColor(colours.ink), 2))
            painter.drawLine(room.bottomLeft(), room.topRight())
        line = QRect(0, room.bottom() + 1, self.width(), self.height() - room.height())
        painter.setPen(QColor(colours.ink if self.photo.caption else colours.quiet))
        text = self.fontMetrics().elidedText(self._line(), Qt.TextElideMode.ElideRight, self.width())
        painter.drawText(line, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, text)
        if self.hasFocus():
            painter.setPen(QPen(QColor(colours.accent), 3))
            painter.drawRect(room.adjusted(1, 1, -2, -2))
        painter.end()

    def _line(self) -> str:
        words = self.photo.caption or self.photo.at.astimezone().strftime("%H:%M")
        return tr("Struck: {photo}", photo=words) if self.photo.struck_at else words


class PhotoPane(QWidget):
    """The photos of one stage, and the line that says what the next one shows.

    Signals
    -------
    add_wanted()
        Files are to be chosen.
    photo_wanted(photo_id)
        A photo is to be seen large.
    rearranged()
        There are other thumbnails than before; the order of the Tab key must be set anew.
    """

    add_wanted = Signal()
    photo_wanted = Signal(int)
    rearranged = Signal()

    def __init__(self, stage: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.stage = stage
        self.thumbnails: list[Thumbnail] = []
        self.field: EntryField | None = None
        self.heading = words(tr("Photos"), "heading")
        self._strip = QWidget()
        self._row = FlowLayout(self._strip)
        policy = QSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Preferred)
        policy.setHeightForWidth(True)
        self._strip.setSizePolicy(policy)
        self.caption = LineEditor()
        self.caption.setAlignment(Qt.AlignmentFlag.AlignLeft)
        self.caption.set_name(tr("Caption of the next photo"))
        self.of_field = QCheckBox(tr("It shows the armed field"))
        self.add = QPushButton(tr("Add photo …"))
        self.add.setAutoDefault(False)
        self._field_words, self.progress = words("", "quiet"), words("", "body")
        # Under the words of the box it belongs to.
        self._field_words.setIndent(4 * theme.GRID)
        self.refusal = words("", "refusal")
        self._adding = (
            words(tr("Caption of the next photo"), "quiet"),
            self.caption,
            self.of_field,
            self._field_words,
            self.add,
            words(tr("Or drop pictures anywhere on the page, or paste them with Ctrl+V."), "quiet"),
        )
        self._lay_out()
        self.caption.entered.connect(self.add.setFocus)
        self.caption.escaped.connect(self.caption.clear)
        self.add.clicked.connect(self.add_wanted)
        self.arm(None)

    def _lay_out(self) -> None:
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 2 * theme.GRID, 0, 0)
        column.setSpacing(theme.GRID)
        column.addWidget(self.heading)
        column.addWidget(self._strip)
        for widget in self._adding:
            side = Qt.AlignmentFlag.AlignLeft if widget is self.add else Qt.AlignmentFlag(0)
            column.addWidget(widget, 0, side)
        for label in (self.progress, self.refusal):
            label.hide()
            column.addWidget(label)

    # -- showing -------------------------------------------------------------------------------------------------

    def show_photos(self, photos: Sequence[Photo], pictures: Mapping[int, QPixmap], *, is_read_only: bool) -> None:
        """Show the photos of the stage, in the order they were added; thumbnails already there stay."""
        before = {thumbnail.photo.id: thumbnail for thumbnail in self.thumbnails}
        self.thumbnails = [before.pop(p.id) if p.id in before else self._make(p) for p in photos]
        for gone in before.values():
            self._row.removeWidget(gone)
            gone.hide()
            gone.deleteLater()
        for number, (thumbnail, photo) in enumerate(zip(self.thumbnails, photos, strict=True), start=1):
            thumbnail.show_photo(photo, pictures[photo.id], photo_name(photo, number, self.stage))
        self._strip.setVisible(bool(photos))
        for widget in self._adding:
            widget.setVisible(not is_read_only)
        self._field_words.setVisible(not is_read_only and bool(self._field_words.text()))
        self.heading.setVisible(bool(photos) or not is_read_only)
        self._one_stop(self._stop())
        self.rearranged.emit()

    def _make(self, photo: Photo) -> Thumbnail:
        thumbnail = Thumbnail(photo, self._strip)
        thumbnail.clicked.connect(self._show_large)
        thumbnail.step_wanted.connect(self._step)
        self._row.addWidget(thumbnail)
        thumbnail.show()
        return thumbnail

    def arm(self, field: EntryField | None) -> None:
        """Say which field is armed: the next photo may be bound to it."""
        self.field = field
        self.of_field.setEnabled(field is not None)
        name = "" if field is None else field.name
        self.of_field.setAccessibleName(tr("It shows {entry}", entry=name) if name else tr("It shows the armed field"))
        self._field_words.setText(name)
        self._field_words.setVisible(bool(name) and not self.add.isHidden())

    def say_progress(self, sentence: str) -> None:
        """Say what is being added; "" once nothing is."""
        say(self.progress, sentence)

    def refuse(self, sentences: Sequence[str]) -> None:
        """Say which files were not taken, and why."""
        say(self.refusal, "\n".join(sentences))

    # -- moving --------------------------------------------------------------------------------------------------

    def thumbnail(self, photo_id: int) -> Thumbnail | None:
        """Return the thumbnail of a photo, or None where it is not of this stage."""
        return next((thumbnail for thumbnail in self.thumbnails if thumbnail.photo.id == photo_id), None)

    def focusables(self) -> list[QWidget]:
        """Return what takes the focus, in order."""
        return [*self.thumbnails, self.caption, self.of_field, self.add]

    def _show_large(self) -> None:
        thumbnail = self.sender()
        if isinstance(thumbnail, Thumbnail):
            self._one_stop(thumbnail)
            self.photo_wanted.emit(thumbnail.photo.id)

    def _step(self, at: Thumbnail, step: int) -> None:
        place = min(max(self.thumbnails.index(at) + step, 0), len(self.thumbnails) - 1)
        self._one_stop(self.thumbnails[place])
        self.thumbnails[place].setFocus(Qt.FocusReason.TabFocusReason)

    def _stop(self) -> Thumbnail | None:
        stops = (t for t in self.thumbnails if t.focusPolicy() == Qt.FocusPolicy.StrongFocus)
        return next(stops, self.thumbnails[0] if self.thumbnails else None)

    def _one_stop(self, stop: Thumbnail | None) -> None:
        """Make one thumbnail the strip's one stop of the Tab key."""
        for thumbnail in self.thumbnails:
            is_stop = thumbnail is stop
            thumbnail.setFocusPolicy(Qt.FocusPolicy.StrongFocus if is_stop else Qt.FocusPolicy.ClickFocus)
