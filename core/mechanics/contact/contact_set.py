"""All of the contact of one set: made once, then asked for any move."""

from __future__ import annotations

from dataclasses import dataclass

from core.mechanics.contact.ease_off import Crown, EaseOff, Misalignment, ease_off
from core.mechanics.contact.geometry import Flank, Floats, GearSet, PitchCones, pitch_cones
from core.mechanics.contact.outline import outline
from core.mechanics.contact.patch import FILM_MM, Patch, patch

IN_PLACE = Misalignment()
USUAL_CROWN = Crown()


@dataclass(frozen=True, eq=False)
class ContactSet:
    """Both flanks of a set, ready for any move; made by `contact_set`, kept by whoever asks more than once."""

    cones: PitchCones
    flanks: dict[Flank, EaseOff]

    @property
    def gear_set(self) -> GearSet:
        """The set as drawn."""
        return self.cones.gear_set

    def gap_mm(self, flank: Flank, misalignment: Misalignment = IN_PLACE, crown: Crown = USUAL_CROWN) -> Floats:
        """Return the smallest gap of each place while the pair turns [mm], (n, m) from toe and root side."""
        return self.flanks[flank].gap_mm(misalignment, crown)

    def patch(
        self,
        flank: Flank,
        misalignment: Misalignment = IN_PLACE,
        crown: Crown = USUAL_CROWN,
        film_mm: float = FILM_MM,
    ) -> Patch:
        """Return the print on a flank.

        Parameters
        ----------
        flank : Flank
            Which flank of the ring gear.
        misalignment : Misalignment
            Where the gears sit [mm].
        crown : Crown
            Relief of the pinion's flank at its ends [mm].
        film_mm : float
            Gap up to which the compound is displaced [mm].

        Returns
        -------
        Patch
            Centre, ends, area and tilt.

        Raises
        ------
        RangeError
            For a film not above 0, or so thin that it lies between the places of the grid.

        Examples
        --------
        >>> pair = contact_set(GearSet(pinion_teeth=9, ring_gear_teeth=41, outer_diameter_mm=205.0, face_width_mm=31.0,
        ...                            spiral_angle_deg=35.0, pressure_angle_deg=20.0, cutter_radius_mm=82.55))
        >>> centre = pair.patch(Flank.DRIVE, Misalignment(pinion_mm=0.1)).centre
        >>> round(100.0 * centre.along_ratio), round(100.0 * centre.depth_ratio)
        (49, 62)
        """
        gap = self.gap_mm(flank, misalignment, crown)
        return patch(gap, film_mm, self.gear_set.face_width_mm, self.cones.working_depth_mm)

    def outline(
        self,
        flank: Flank,
        misalignment: Misalignment = IN_PLACE,
        crown: Crown = USUAL_CROWN,
        film_mm: float = FILM_MM,
    ) -> list[Floats]:
        """Return the edges of the print on a flank, the largest first; arguments as for `patch`.

        Returns
        -------
        list of ndarray
            Closed polygons (p, 2) of ratios along (0 toe, 1 heel) and in depth (0 root side, 1 tip); the last point is
            not the first one again. The edge of a hole is among them, going round the other way.
        """
        return outline(self.gap_mm(flank, misalignment, crown), film_mm)


def contact_set(gear_set: GearSet, places: tuple[int, int] = (40, 20)) -> ContactSet:
    """Return the contact of a set, ready for any move.

    Parameters
    ----------
    gear_set : GearSet
        The set as drawn.
    places : tuple of int
        Places of the grid along the tooth and in its depth.

    Returns
    -------
    ContactSet
        Both flanks. Making it takes some hundredths of a second, a print then less than a thousandth.

    Raises
    ------
    RangeError
        For a set that cannot be: see `GearSet`, `pitch_cones`, `gear_flank`, `mesh` and `ease_off`.
    """
    cones = pitch_cones(gear_set)
    return ContactSet(cones, {flank: ease_off(cones, flank, places) for flank in Flank})
