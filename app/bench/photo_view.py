"""One photo, large, in the place of the stage; Escape goes back."""

from __future__ import annotations

from PySide6.QtCore import QRect, QSize, Qt, Signal
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPixmap
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from app import theme
from app.bench.instead import InsteadOfStage
from app.jobs.form import button
from app.widgets.editors import LineEditor
from app.widgets.flow import FlowLayout
from app.widgets.sentences import say, words
from core.facts import Photo
from core.language import tr


class Picture(QWidget):
    """A picture as large as its room allows, in its own proportions, and no larger than its pixels."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._picture = QPixmap()
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)

    def show_picture(self, picture: QPixmap, name: str) -> None:
        """Show a picture, called so for who listens."""
        self._picture = picture
        self.setAccessibleName(name)
        self.update()

    def minimumSizeHint(self) -> QSize:
        return QSize(16 * theme.GRID, 16 * theme.GRID)

    def paintEvent(self, event: QPaintEvent) -> None:
        if self._picture.isNull():
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        painter.fillRect(self.rect(), QColor(theme.current().colours.sunk))
        natural = self._picture.size() / self.devicePixelRatioF()
        size = natural.scaled(self.size(), Qt.AspectRatioMode.KeepAspectRatio).boundedTo(natural)
        left, top = (self.width() - size.width()) // 2, (self.height() - size.height()) // 2
        painter.drawPixmap(QRect(left, top, size.width(), size.height()), self._picture)
        painter.end()


class PhotoView(InsteadOfStage):
    """One photo with what is known of it, and where it is struck.

    Signals
    -------
    step_wanted(step)
        The photo so many places on is wanted.
    strike_wanted(reason)
        The photo does not count.
    print_wanted()
        The print on the painted tooth it shows is to be read.
    """

    step_wanted = Signal(int)
    strike_wanted = Signal(str)
    print_wanted = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.picture = Picture()
        self.back, self.earlier, self.later, self.read, self.strike = (
            button(text)
            for text in (
                tr("Back to the stage"),
                tr("Earlier photo"),
                tr("Later photo"),
                tr("Read the print …"),
                tr("Strike the photo"),
            )
        )
        self.caption, self.facts, self.struck = words("", "heading"), words("", "quiet"), words("", "body")
        self._why = words(tr("If it does not count, write down why:"), "quiet")
        self.refusal = words("", "refusal")
        self.reason = LineEditor()
        self.reason.setAlignment(Qt.AlignmentFlag.AlignLeft)
        self.reason.set_name(tr("Reason for striking the photo"))
        self._lay_out()
        self.back.clicked.connect(self.closed)
        self.earlier.clicked.connect(self._want_earlier)
        self.later.clicked.connect(self._want_later)
        self.read.clicked.connect(self.print_wanted)
        self.strike.clicked.connect(self._want_strike)
        self.reason.entered.connect(self.strike.setFocus)
        self.reason.escaped.connect(self._give_up_reason)
        self.setFocusProxy(self.back)

    def _lay_out(self) -> None:
        pushes = QWidget()
        row = FlowLayout(pushes)
        for push in (self.back, self.earlier, self.later, self.read):
            row.addWidget(push)
        column = QVBoxLayout(self)
        column.setContentsMargins(2 * theme.GRID, 0, 2 * theme.GRID, theme.GRID)
        column.setSpacing(theme.GRID)
        column.addWidget(pushes)
        column.addWidget(self.picture, 1)
        for widget in (self.caption, self.facts, self.struck):
            column.addWidget(widget)
        # In one row, so that the picture has the height.
        last = QHBoxLayout()
        last.setSpacing(theme.GRID)
        last.addWidget(self._why, 2)
        last.addWidget(self.reason, 3)
        last.addWidget(self.strike)
        column.addLayout(last)
        column.addWidget(self.refusal)

    def show_photo(self, photo: Photo, picture: QPixmap, name: str, facts: str) -> None:
        """Show a photo; `facts` is the line that says whose it is, when, and what it belongs to."""
        self.picture.show_picture(picture, name)
        say(self.caption, photo.caption)
        say(self.facts, facts)
        say(self.refusal, "")

    def show_read(self, *, may_read: bool) -> None:
        """Let the print be read from it, where it shows one."""
        if self.read.hasFocus() and not may_read:
            self.back.setFocus(Qt.FocusReason.OtherFocusReason)
        self.read.setVisible(may_read)

    def show_strike(self, sentence: str, *, may_strike: bool) -> None:
        """Say why the photo was struck, or let it be struck."""
        say(self.struck, sentence)
        self.reason.clear()
        for widget in (self._why, self.reason, self.strike):
            widget.setVisible(may_strike)

    def show_place(self, at: int, count: int) -> None:
        """Let the person go to the photos before and after this one of so many."""
        may_go = {self.earlier: at > 0, self.later: at < count - 1}
        for push, is_there in may_go.items():
            if push.hasFocus() and not is_there:
                # A button that is pressed to the last photo must not drop the hand into the line of the reason.
                self.back.setFocus(Qt.FocusReason.OtherFocusReason)
            push.setEnabled(is_there)

    def refuse(self, sentence: str) -> None:
        """Say why it cannot be struck."""
        say(self.refusal, sentence)

    def _want_earlier(self) -> None:
        self.step_wanted.emit(-1)

    def _want_later(self) -> None:
        self.step_wanted.emit(1)

    def _want_strike(self) -> None:
        self.strike_wanted.emit(self.reason.text())

    def _give_up_reason(self) -> None:
        """Escape takes back what was typed first, and goes back only from an empty line."""
        if self.reason.text():
            self.reason.clear()
        else:
            self.closed.emit()
