"""Axes of the figures that plot one thing against another."""

from __future__ import annotations

from dataclasses import dataclass
from math import floor, log10

from core.quantities import Unit, from_unit, to_unit
from core.sheet.figures.draw import Sheet


@dataclass(frozen=True)
class Axis:
    """From a value to a place on the paper [pt]."""

    low: float
    high: float
    start_pt: float
    end_pt: float

    def at(self, value: float) -> float:
        """Return where a value stands [pt]."""
        share = (value - self.low) / (self.high - self.low)
        return self.start_pt + share * (self.end_pt - self.start_pt)


def round_step(span: float, least: int = 4) -> float:
    """Return a step of 1, 2 or 5 times a power of ten that gives `least` marks or a few more."""
    power = 10.0 ** floor(log10(span / least))
    return power * next(f for f in (5.0, 2.0, 1.0) if span / (power * f) >= least)


def scale_up(sheet: Sheet, up: Axis, x_pt: float, kind: str, unit: Unit, least: int = 4) -> None:
    """Write round values of a kind up an upright axis at `x_pt`, in one of its units."""
    low, high = to_unit(kind, up.low, unit.id), to_unit(kind, up.high, unit.id)
    step = round_step(high - low, least)
    decimals = max(0, -floor(log10(step)))
    mark = floor(low / step) * step
    while mark <= high:
        value = from_unit(kind, mark, unit.id)
        if value >= up.low - 1e-12:
            y = up.at(value)
            sheet.line((x_pt - sheet.type_pt * 0.3, y), (x_pt, y), colour=sheet.palette.quiet)
            at = x_pt - sheet.type_pt * 0.6, y - sheet.type_pt * 0.35
            sheet.text(at, f"{mark:z.{decimals}f}", anchor="end", colour=sheet.palette.quiet)
        mark = round((mark + step) / step) * step
    sheet.line((x_pt, up.start_pt), (x_pt, up.end_pt), colour=sheet.palette.quiet)
