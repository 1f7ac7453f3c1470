"""Where a share of the tooth lies on a drawing of it, and which share lies at a place of the drawing."""

from __future__ import annotations

from dataclasses import dataclass

from core.mechanics.outline import Point


@dataclass(frozen=True)
class ToothView:
    """One flank as it is drawn, tip to the far side of `rise`.

    Parameters
    ----------
    toe, heel : float
        Where the two ends of the tooth lie across the drawing.
    middle : float
        Where the middle of its depth lies.
    rise : float
        How far the tip lies from the root side, half way along; negative where a drawing counts downward.
    toe_share : float
        Depth at the toe over depth half way along; at the heel it is as much deeper.
    """

    toe: float
    heel: float
    middle: float
    rise: float
    toe_share: float

    def depth_at(self, along: float) -> float:
        """Return the depth of the tooth at a share along it, with the sign of `rise`."""
        return self.rise * (self.toe_share + 2 * (1 - self.toe_share) * along)

    def at(self, along: float, depth: float) -> Point:
        """Return where a share along and in depth lies; what lies beside the tooth is drawn at its edge."""
        along, depth = min(max(along, 0.0), 1.0), min(max(depth, 0.0), 1.0)
        return self.toe + (self.heel - self.toe) * along, self.middle + self.depth_at(along) * (depth - 0.5)

    def shares(self, x: float, y: float) -> Point:
        """Return which shares lie at a place of the drawing; beside the tooth they are less than 0 or more than 1."""
        along = (x - self.toe) / (self.heel - self.toe)
        # Far beyond the toe a tapered tooth would have no depth at all.
        return along, 0.5 + (y - self.middle) / self.depth_at(min(max(along, 0.0), 1.0))
