"""The registry: which calculations there are, by subject. A new one is its declaration; its file is named here once."""

from __future__ import annotations

import difflib

from core.calculations import (
    backlash,
    bolts,
    clutch,
    fits,
    gears,
    groove,
    measuring,
    oil,
    pinion,
    preload,
    rings,
    tightening,
)
from core.calculations.declare import Calculation
from core.errors import NotFoundError
from core.language import tr

CALCULATIONS: tuple[Calculation, ...] = (
    *gears.CALCULATIONS,
    *backlash.CALCULATIONS,
    *rings.CALCULATIONS,
    *pinion.CALCULATIONS,
    *preload.CALCULATIONS,
    *tightening.CALCULATIONS,
    *bolts.CALCULATIONS,
    *fits.CALCULATIONS,
    *groove.CALCULATIONS,
    *oil.CALCULATIONS,
    *clutch.CALCULATIONS,
    *measuring.CALCULATIONS,
)


def calculation(key: str) -> Calculation:
    """Return a calculation by its name; NotFoundError, with the nearest names, where there is none."""
    for declared in CALCULATIONS:
        if declared.key == key:
            return declared
    near = difflib.get_close_matches(key, [c.key for c in CALCULATIONS], n=3, cutoff=0.4)
    raise NotFoundError(
        tr("There is no calculation {key}.", key=key[:60]),
        tr("Did you mean {near}?", near=", ".join(near)) if near else tr("List them with 'pinionbook calc'."),
    )
