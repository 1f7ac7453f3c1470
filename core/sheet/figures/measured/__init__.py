"""Drawings of what is measured where, for the calculations: named in their declarations, drawn here."""

from __future__ import annotations

from collections.abc import Callable

from reportlab.graphics.shapes import Drawing

from core.sheet.figures.measured import bolts, carrier, fits, gears, inside
from core.sheet.figures.palette import Palette

MEASURED: dict[str, Callable[[Palette], Drawing]] = {
    "bevel": gears.bevel,
    "backlash_move": gears.backlash_move,
    "gauge_correction": gears.gauge_correction,
    "wheel": gears.wheel,
    "ring_stack": carrier.ring_stack,
    "spacer": carrier.spacer,
    "pinion_depth": inside.pinion_depth,
    "preload": carrier.preload,
    "pull_torque": carrier.pull_torque,
    "warm_casing": carrier.warm_casing,
    "adapter": bolts.adapter,
    "bolt": bolts.bolt,
    "bolt_length": bolts.bolt_length,
    "engagement": bolts.engagement,
    "bolt_circle": bolts.bolt_circle,
    "fit": fits.fit,
    "heat_to_fit": fits.heat_to_fit,
    "press_fit": fits.press_fit,
    "groove": fits.groove,
    "oil_level": inside.oil_level,
    "clutch_pack": inside.clutch_pack,
    "plate_pack": inside.plate_pack,
    "ramp": inside.ramp,
}


def measured_figure(name: str, palette: Palette) -> Drawing | None:
    """Return the drawing of a name, or None where there is none."""
    draw = MEASURED.get(name)
    return draw(palette) if draw else None
