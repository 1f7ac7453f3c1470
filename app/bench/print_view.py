"""A photo of a painted tooth in the place of the stage: corners, flank, what was read, further teeth, and keeping."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QPixmap
from PySide6.QtWidgets import QButtonGroup, QPushButton, QRadioButton, QVBoxLayout, QWidget

from app import theme
from app.bench.corner_picture import CORNERS, CornerPicture, next_words
from app.bench.instead import InsteadOfStage
from app.jobs.form import button
from app.widgets.flow import FlowLayout
from app.widgets.sentences import say, words
from core.language import mark, tr
from core.stages.tooth import COAST, DRIVE, Tooth
from core.tooth_photo import ToothReading
from core.workshop.photo_prints import TeethRead, scatter_words

_TRUST = ((0.9, mark("plain to see")), (0.75, mark("well to be seen")), (0.0, mark("hard to tell")))
"""What a confidence of at least so much is called."""


class PrintView(InsteadOfStage):
    """Where a print is read from a photo; Escape goes back to the photo.

    `so_far` are the teeth that were read before the one that is marked, `found` the same with this one, once it is
    read.

    Signals
    -------
    read_wanted()
        The flank between the corners is to be read.
    keep_wanted()
        What was read is the print of the flank that is chosen.
    further_wanted()
        The same flank of a further tooth is to be read.
    other_wanted()
        The tooth is on another photo.
    """

    read_wanted = Signal()
    keep_wanted = Signal()
    further_wanted = Signal()
    other_wanted = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.so_far: TeethRead | None = None
        self.found: TeethRead | None = None
        self._trial, self._has_others, self._is_warned = 0, False, False
        self.picture = CornerPicture()
        self.back, self.read, self.keep, self.further, self.again, self.other = (
            button(text)
            for text in (
                tr("Back to the photo"),
                tr("Read it"),
                "",
                tr("Read a further tooth"),
                tr("Read again"),
                tr("Next photo"),
            )
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
        self.back.clicked.connect(self.leave)
        self.read.clicked.connect(self.read_wanted)
        self.keep.clicked.connect(self.keep_wanted)
        self.further.clicked.connect(self.further_wanted)
        self.again.clicked.connect(self.mark_again)
        self.other.clicked.connect(self.other_wanted)
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
        for widget in (*self.sides.values(), *self._pushes):
            row.addWidget(widget)
        column.addWidget(pushes)
        column.addWidget(self.refusal)

    def focusables(self) -> list[QWidget]:
        """Return what takes the focus, in order."""
        return [self.back, self.picture, *self.sides.values(), *self._pushes]

    @property
    def _pushes(self) -> tuple[QPushButton, ...]:
        return self.read, self.keep, self.further, self.again, self.other

    @property
    def side(self) -> str:
        """The flank that is chosen, drive or coast; "" while none is."""
        return next((side for side, radio in self.sides.items() if radio.isChecked()), "")

    # -- showing -------------------------------------------------------------------------------------------------

    def show_tooth(self, tooth: Tooth, side: str, trial: int) -> None:
        """Begin anew; `side` is the flank that is known to be shown, or "", `trial` 0 for the unit as found."""
        self.so_far, self._trial = None, trial
        self._group.setExclusive(False)
        for each, radio in self.sides.items():
            radio.setText(tooth.words(each))
            radio.setChecked(each == side)
        self._group.setExclusive(True)
        say(self.assumed, tooth.assumed_words)

    def show_photo(self, picture: QPixmap, name: str, *, has_others: bool) -> None:
        """Show a photo without any corner; `has_others` says whether there is another to turn to."""
        self.picture.show_picture(picture, tr("{photo}, corners to be placed", photo=name))
        self._has_others = has_others
        self.mark_again()

    def go_further(self) -> None:
        """Count what was read among the teeth, and let another one be marked."""
        if self.found is not None:
            self.so_far = self.found

    def mark_again(self) -> None:
        """Let the corners be placed or moved; those that are there stay, and so do the teeth read before."""
        self.found = None
        self.picture.lay(())
        self.picture.may_mark = True
        say(self.told, teeth_words(self.so_far))
        self._follow()
        self._show_pushes()
        self.picture.setFocus(Qt.FocusReason.OtherFocusReason)

    def _follow(self) -> None:
        count = len(self.picture.corners)
        say(self.lead, next_words(count))
        self._is_warned = False
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

    def show_found(self, found: TeethRead) -> None:
        """Lay what was read over the photo, and say how far it can be trusted and how far the teeth scatter."""
        self.found, self._is_warned = found, False
        self.picture.lay(found.teeth[-1].in_photo)
        say(self.lead, tr("Does the line run around the print? Keep it, or read it again with other corners."))
        told = (teeth_words(found) if self.so_far else "", trust_words(found.teeth[-1].reading))
        say(self.told, " ".join(part for part in told if part))
        self._show_pushes()
        self.keep.setFocus(Qt.FocusReason.OtherFocusReason)

    def _show_pushes(self) -> None:
        is_found, to_keep = self.found is not None, self.found or self.so_far
        if to_keep is not None:
            self.keep.setText(_keep_words(len(to_keep.teeth), self._trial))
        # First what appears: the hand must not fall to another push while its own goes away.
        shown = {
            self.keep: to_keep is not None,
            self.further: is_found,
            self.again: is_found,
            self.read: not is_found,
            self.other: not is_found and self._has_others,
            self.help: not is_found,
        }
        for widget, is_there in sorted(shown.items(), key=lambda one: not one[1]):
            widget.setVisible(is_there)

    def leave(self) -> None:
        """Go back; where teeth were read before, only once the person knows that they are not kept."""
        if self.so_far is None or self._is_warned:
            self.closed.emit()
            return
        self._is_warned = True
        self.refuse(tr("What was read before is not kept yet. Keep it, or go back once more to drop it."))

    def refuse(self, sentence: str) -> None:
        """Say why the photo cannot be read or kept."""
        say(self.refusal, sentence)


def teeth_words(read: TeethRead | None) -> str:
    """Say where the mean of the teeth lies, and how far they scatter."""
    if read is None:
        return ""
    centre, scatter = read.mean.patch.centre, read.mean.scatter
    lies = {"along": f"{100 * centre.along_ratio:.0f}", "depth": f"{100 * centre.depth_ratio:.0f}"}
    if scatter is None:
        return tr("One tooth is read: centre {along} % along, {depth} % up. Mark the same flank of another.", **lies)
    return tr(
        "Mean of {count} teeth: centre {along} % along, {depth} % up; from tooth to tooth {scatter} "
        "(standard deviation).",
        count=read.mean.teeth,
        scatter=scatter_words(scatter),
        **lies,
    )


def _keep_words(teeth: int, trial: int) -> str:
    if teeth > 1:
        if trial:
            return tr("Keep the mean of {count} teeth as trial {trial}", count=teeth, trial=trial)
        return tr("Keep the mean of {count} teeth as found", count=teeth)
    return tr("Keep it as trial {trial}", trial=trial) if trial else tr("Keep it as found")


def trust_words(reading: ToothReading) -> str:
    """Say what was read and how far it can be trusted."""
    name = next(name for least, name in _TRUST if reading.confidence >= least)
    return tr(
        "The print is {trust}: its centre is right within 3 % along and 4 % in depth with a chance of {chance} %, as "
        "tried on drawn photos. Compare it with the tooth.",
        trust=tr(name),
        chance=f"{100 * reading.confidence:.0f}",
    )
