"""A print in the making: what stands on the board, each step of it taken back until it is kept."""

from __future__ import annotations

from core.errors import InputError
from core.language import tr
from core.mechanics.outline import Point, Ring, extents, measure, moved, resized, tilted
from core.mechanics.print_shapes import SHAPES, tidied
from core.outlines import measured_words, read_outline, write_outline

LEAST_REACH = 0.02
MOST_STEPS = 100


class Draft:
    """The rings on one flank and the steps that led to them.

    `said` is the last thing to tell the person, "" for nothing; a step that cannot be done leaves the print as it was.
    """

    def __init__(self) -> None:
        self.rings: tuple[Ring, ...] = ()
        self.proportion = 1.0
        self.said = ""
        self._unread = ""
        self._steps: list[tuple[Ring, ...]] = []

    # -- what stands -----------------------------------------------------------------------------------------------

    def text(self) -> str:
        """Return the print as it is kept; what could not be read stays as it came."""
        return write_outline(self.rings) if self.rings else self._unread

    def put(self, text: str) -> None:
        """Put a print there as it is kept, with no step to take back."""
        self._steps, self.said, self._unread = [], "", ""
        try:
            self.rings = read_outline(text) if text else ()
        except InputError as error:
            self.rings, self._unread, self.said = (), text, f"{error.message} {error.remedy}"

    @property
    def can_undo(self) -> bool:
        """Whether a step can be taken back."""
        return bool(self._steps)

    def in_words(self) -> str:
        """Say where the print lies, how large it is and how tilted."""
        if not self.rings:
            return tr("nothing drawn")
        return measured_words(measure(self.rings, self.proportion), len(self.rings))

    # -- steps -----------------------------------------------------------------------------------------------------

    def undo(self) -> bool:
        """Take the last step back; False where there is none."""
        self.said = "" if self._steps else tr("There is no stroke to take back.")
        if self._steps:
            self.rings = self._steps.pop()
            return True
        return False

    def clear(self) -> bool:
        """Take the print off the tooth."""
        if not self.rings:
            return False
        self._step(())
        return True

    def put_shape(self, number: int) -> bool:
        """Put down one of the common shapes, counted from 1."""
        self._step(SHAPES[number - 1].rings)
        return True

    def move(self, along: float, depth: float) -> bool:
        """Move the print by shares of the tooth."""
        if not self._has_print():
            return False
        made = moved(self.rings, along, depth)
        return self.take(made, tr("The print has reached the edge of the tooth."))

    def stretch(self, length: float, height: float) -> bool:
        """Make the print longer and higher by shares of the tooth."""
        if not self._has_print():
            return False
        low, high = extents(self.rings)
        wanted = (high[0] - low[0] + length, high[1] - low[1] + height)
        made = resized(self.rings, *(min(max(reach, LEAST_REACH), 1.0) for reach in wanted))
        return self.take(made, tr("The tooth has no room for more, or the print cannot be smaller."))

    def tilt(self, tilt_deg: float) -> bool:
        """Tilt the print; its heel end rises for a positive angle."""
        if not self._has_print():
            return False
        made = tilted(self.rings, tilt_deg, self.proportion)
        return self.take(made or self.rings, tr("The tooth has no room to tilt the print further."))

    def draw(self, stroke: list[Point], *, is_added: bool) -> bool:
        """Put down what a stroke encloses: instead of the print, or beside it."""
        ring = tidied(stroke)
        if ring is None:
            self.said = tr("The stroke encloses nothing on the tooth: draw once around the print.")
            return False
        wanted = (*self.rings, ring) if is_added else (ring,)
        return self.take(wanted, "")

    def _has_print(self) -> bool:
        self.said = (
            "" if self.rings else tr("Nothing is drawn yet: draw around the print, or press 1 to 8 for a shape.")
        )
        return bool(self.rings)

    def take(self, wanted: tuple[Ring, ...], where_unchanged: str = "") -> bool:
        """Take a print that can be kept; one that cannot leaves all as it was and says why."""
        if wanted == self.rings:
            self.said = where_unchanged
            return False
        try:
            read_outline(write_outline(wanted))
        except InputError as error:
            self.said = f"{error.message} {error.remedy}"
            return False
        self._step(wanted)
        return True

    def _step(self, rings: tuple[Ring, ...]) -> None:
        self.said, self._unread = "", ""
        self._steps = [*self._steps[1 - MOST_STEPS :], self.rings]
        self.rings = rings
