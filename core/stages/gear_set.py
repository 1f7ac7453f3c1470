"""The set of a job as its card gives it, and what of it is known only as a band or had to be taken as usual."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace

from core.errors import RangeError
from core.language import mark, tr
from core.mechanics.contact import Cut, GearSet, Hand
from core.stages.context import Context
from core.stages.size_bands import SIZES, SizeBand, bands_of

_TEETH = {"pinion_teeth": mark("pinion teeth"), "ring_gear_teeth": mark("ring-gear teeth")}
_WORDS = {size.argument: size.label for size in SIZES} | _TEETH
"""What the sizes of a set are called where one of them is refused."""


@dataclass(frozen=True)
class DrawnSet:
    """A set and how surely it is known.

    `usual` names what was not on the card, in words not translated yet. `bands` are the sizes that are known only as a
    band, typed so or usual, by their fact's key. How it was cut has no band: `is_cut_usual` where it was not on the
    card.
    """

    gear_set: GearSet
    usual: tuple[str, ...]
    bands: Mapping[str, SizeBand]
    is_cut_usual: bool

    def with_size(self, key: str, value: float) -> GearSet:
        """Return the set with another value for one of its banded sizes, so that its doubt can be carried through.

        Raises
        ------
        RangeError
            No set has such a size.
        """
        return replace(self.gear_set, **{self.bands[key].size.argument: value})  # type: ignore[arg-type]


def drawn_set(context: Context) -> DrawnSet:
    """Return the set of a job; what its card does not give is taken as usual and named.

    Parameters
    ----------
    context : Context
        The job.

    Raises
    ------
    RangeError
        The card gives sizes that no set can have.
    """
    card, job = context.card, context.job
    found = bands_of(card, job.ring_gear_teeth / max(job.pinion_teeth, 1))
    taken = {key: band.value for key, band in found.items()}

    def size(key: str) -> float:
        value = card.number(key)
        return taken[key] if value is None else value

    cut, offset_mm = card.text("gear_cut"), size("pinion_offset")
    usual = [band.size.label for band in found.values() if band.is_usual]
    with sizes_named():
        gear_set = GearSet(
            pinion_teeth=job.pinion_teeth,
            ring_gear_teeth=job.ring_gear_teeth,
            outer_diameter_mm=size("gear_outer_diameter"),
            face_width_mm=size("face_width"),
            spiral_angle_deg=size("spiral_angle"),
            pressure_angle_deg=size("pressure_angle"),
            offset_mm=offset_mm,
            # The hand is not named where it is not known: it changes nothing that shims and rings do.
            hand=Hand.LEFT if card.text("gear_hand") == "left" else Hand.RIGHT,
            # None has a typical one taken that follows the offset too.
            cutter_radius_mm=card.number("cutter_radius"),
            # Large hypoid ring gears are mostly formed, sets without offset mostly generated.
            cut=Cut(cut) if cut else Cut.FORMED if offset_mm else Cut.GENERATED,
        )
    return DrawnSet(gear_set, (*usual, *(() if cut else (mark("how it was cut"),))), found, not cut)


@contextmanager
def sizes_named() -> Iterator[None]:
    """Have a size that is refused called what it is called on the card, for who reads the sentence."""
    try:
        yield
    except RangeError as error:
        words = _WORDS.get(error.argument)
        if words is None:
            raise
        raise RangeError(tr(words), error.value, error.valid) from error
