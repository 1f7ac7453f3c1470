"""One photo of a painted tooth in the place of the stage: corners, flank, what was read, and whether to keep it."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QPixmap
from PySide6.QtWidgets import QButtonGroup, QRadioButton, QVBoxLayout, QWidget

from app import theme
from app.bench.corner_picture import CORNERS, CornerPicture, next_words
from app.bench.instead import InsteadOfStage
from app.jobs.form import button
from app.widgets.flow import FlowLayout
from app.widgets.sentences import say, words
from core.language import mark, tr
from core.stages.tooth import COAST, DRIVE, Tooth
from core.tooth_photo import ToothReading
from core.workshop.photo_prints import PhotoPrint

_TRUST = ((0.9, mark("plain to see")), (0.75, mark("well to be seen")), (0.0, mark("hard to tell")))
"""What a confidence of at least so much is called."""


class PrintView(InsteadOfStage):
    """Where a print is read from a photo; Escape goes back to the photo.

    Signals
    -------
    read_wanted()
        The flank between the corners is to be read.
    keep_wanted()
        What was read is the print of the flank that is chosen.
    """

    read_wanted = Signal()
    keep_wanted = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.found: PhotoPrint | None = None
        self.picture = CornerPicture()
        self.back, self.read, self.keep, self.again = (
            button(text) for text in (tr("Back to the photo"), tr("Read it"), "", tr("Read again"))
        )
        self.lead, self.told, self.assumed = words("", "sentence"), words("", "body"), words("", "quiet")
        self.help = words(
            tr(
                "Arrow keys move the marked corner, with Shift ten pixels. Enter places the next one in the middle, "
                "1 to 4 mark one, Backspace takes the last back."
            ),
            "quiet",
        )
        self.refusal = words("", "refusal")
        self.sides = {side: QRadioButton() for side in (DRIVE, COAST)}
        self._group = QButtonGroup(self)
        for radio in self.sides.values():
            self._group.addButton(radio)
        self._lay_out()
        self.back.clicked.connect(self.closed)
        self.read.clicked.connect(self.read_wanted)
        self.keep.clicked.connect(self.keep_wanted)
        self.again.clicked.connect(self.mark_again)
        self.picture.changed.connect(self._follow)
        self.picture.read_wanted.connect(self.read_wanted)
        self.setFocusProxy(self.picture)

    def _lay_out(self) -> None:
        column = QVBoxLayout(self)
        column.setContentsMargins(2 * theme.GRID, 0, 2 * theme.GRID, theme.GRID)
        column.setSpacing(theme.GRID)
        column.addWidget(self.back, 0, Qt.AlignmentFlag.AlignLeft)
        column.addWidget(self.lead)
        column.addWidget(self.picture, 1)
        for label in (self.told, self.help, self.assumed):
            column.addWidget(label)
        pushes = QWidget()
        row = FlowLayout(pushes)
        for widget in (*self.sides.values(), self.read, self.keep, self.again):
            row.addWidget(widget)
        column.addWidget(pushes)
        column.addWidget(self.refusal)

    def focusables(self) -> list[QWidget]:
        """Return what takes the focus, in order."""
        return [self.back, self.picture, *self.sides.values(), self.read, self.keep, self.again]

    @property
    def side(self) -> str:
        """The flank that is chosen, drive or coast; "" while none is."""
        return next((side for side, radio in self.sides.items() if radio.isChecked()), "")

    # -- showing -------------------------------------------------------------------------------------------------

    def show_photo(self, picture: QPixmap, name: str, tooth: Tooth, side: str, trial: int) -> None:
        """Show a photo without any corner; `side` is the flank it is known to show, or ""."""
        self.picture.show_picture(picture, tr("{photo}, corners to be placed", photo=name))
        self._group.setExclusive(False)
        for each, radio in self.sides.items():
            radio.setText(tooth.words(each))
            radio.setChecked(each == side)
        self._group.setExclusive(True)
        self.keep.setText(tr("Keep it as trial {trial}", trial=trial))
        say(self.assumed, tooth.assumed_words)
        self.mark_again()

    def mark_again(self) -> None:
        """Let the corners be placed or moved; those that are there stay."""
        self.found = None
        self.picture.lay(())
        self.picture.may_mark = True
        say(self.told, "")
        self._follow()
        self._show_pushes()
        self.picture.setFocus(Qt.FocusReason.OtherFocusReason)

    def _follow(self) -> None:
        count = len(self.picture.corners)
        say(self.lead, next_words(count))
        say(self.refusal, "")
        self.picture.setAccessibleDescription(self.lead.text())
        self.read.setEnabled(count == len(CORNERS))

    def await_answer(self) -> None:
        """Say that the photo is being read; nothing is moved meanwhile."""
        self.picture.may_mark = False
        # A push that is switched off would drop the hand on whatever comes next.
        self.picture.setFocus(Qt.FocusReason.OtherFocusReason)
        self.read.setEnabled(False)
        say(self.refusal, "")
        say(self.lead, tr("Reading the photo …"))

    def show_found(self, found: PhotoPrint) -> None:
        """Lay what was read over the photo, and say how far it can be trusted."""
        self.found = found
        self.picture.lay(found.in_photo)
        say(self.lead, tr("Does the line run around the print? Keep it, or read it again with other corners."))
        say(self.told, trust_words(found.reading))
        self._show_pushes()
        self.keep.setFocus(Qt.FocusReason.OtherFocusReason)

    def _show_pushes(self) -> None:
        is_found = self.found is not None
        # First what appears: the hand must not fall to another push while its own goes away.
        shown = {self.keep: is_found, self.again: is_found, self.read: not is_found, self.help: not is_found}
        for widget, is_there in sorted(shown.items(), key=lambda one: not one[1]):
            widget.setVisible(is_there)

    def refuse(self, sentence: str) -> None:
        """Say why the photo cannot be read or kept."""
        say(self.refusal, sentence)


def trust_words(reading: ToothReading) -> str:
    """Say what was read and how far it can be trusted."""
    name = next(name for least, name in _TRUST if reading.confidence >= least)
    return tr(
        "The print is {trust}: its centre is right within 3 % along and 4 % in depth with a chance of {chance} %, as "
        "tried on drawn photos. Compare it with the tooth.",
        trust=tr(name),
        chance=f"{100 * reading.confidence:.0f}",
    )
