"""The colours a figure is drawn in: the window hands in light, dark or high contrast, the sheet prints on white."""

from __future__ import annotations

from dataclasses import dataclass

from reportlab.lib.colors import Color, HexColor

from core.verdict import Answer


@dataclass(frozen=True)
class Palette:
    """Colours as ``#RRGGBB``; `compound` is the colour of the marking compound, "" draws prints in the accent."""

    ground: str = "#FBFAF7"
    raised: str = "#FFFFFF"
    sunk: str = "#F0EEE8"
    ink: str = "#1D2428"
    quiet: str = "#566268"
    accent: str = "#0B5C6B"
    conforms: str = "#1E6B3C"
    does_not_conform: str = "#A3261B"
    uncertain: str = "#7A5200"
    compound: str = ""

    def of(self, answer: Answer | None) -> str:
        """Return the colour of a verdict; what has no limit is ink."""
        return (
            {
                Answer.CONFORMS: self.conforms,
                Answer.DOES_NOT_CONFORM: self.does_not_conform,
                Answer.UNCERTAIN: self.uncertain,
                Answer.MISSING: self.quiet,
            }.get(answer, self.ink)
            if answer
            else self.ink
        )


PRINT_PALETTE = Palette(ground="#FFFFFF", compound="#2F62A8")
"""The light colours on white paper."""


def mix(colour: str, ground: str, share: float) -> str:
    """Return `share` of a colour mixed into the ground: what opacity would show, without needing it."""
    one, other = HexColor(colour), HexColor(ground)
    return "#" + "".join(
        f"{round(255 * (a * share + b * (1 - share))):02X}" for a, b in zip(one.rgb(), other.rgb(), strict=True)
    )


def paint(colour: str) -> Color:
    """Return a colour as reportlab wants it."""
    return HexColor(colour)
