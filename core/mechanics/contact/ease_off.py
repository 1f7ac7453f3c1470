"""The gap that is left between the flanks when the misaligned pair has been turned through once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from core.mechanics.checks import above, at_least, finite
from core.mechanics.contact.flank import gear_flank
from core.mechanics.contact.geometry import Flank, Floats, Indices, PitchCones
from core.mechanics.contact.mesh import Mesh, mesh

PHASES = 60
"""Contact lines looked at in one pitch."""


@dataclass(frozen=True)
class Misalignment:
    """How far the gears sit from where the teeth are conjugate [mm].

    `pinion_mm` > 0: pinion withdrawn along its axis. `gear_mm` > 0: ring gear withdrawn, backlash grows. `offset_mm` >
    0: pinion's axis displaced along y = z × x, which makes the offset of a right-hand set larger and of a left-hand one
    smaller.

    Raises
    ------
    RangeError
        For a value that is not a number.
    """

    pinion_mm: float = 0.0
    gear_mm: float = 0.0
    offset_mm: float = 0.0

    def __post_init__(self) -> None:
        finite("pinion_mm", self.pinion_mm)
        finite("gear_mm", self.gear_mm)
        finite("offset_mm", self.offset_mm)


@dataclass(frozen=True)
class Crown:
    """What the pinion's flank is relieved by [mm]: at toe and heel, and at tip and root of the working depth.

    Two parabolas about the middle of the flank. Common practice, not a drawing's: 0.030 and 0.015 mm.

    Raises
    ------
    RangeError
        For a negative crown.
    """

    length_mm: float = 0.030
    profile_mm: float = 0.015

    def __post_init__(self) -> None:
        at_least("length_mm", self.length_mm, 0.0, "mm")
        at_least("profile_mm", self.profile_mm, 0.0, "mm")


@dataclass(frozen=True, eq=False)
class EaseOff:
    """One flank, ready for any move: a grid of places, its mesh, and where contact lines cross it.

    `along` (n, 1) and `depth` (1, m) are the places u and v of the grid. A contact line joins the places that meet the
    pinion at one roll; it is followed through the points where it crosses the grid's edges, `before` and `after` (c,)
    being the places at the ends of those edges and `share` (c,) how far from the first to the second it crosses. Lines
    one pitch apart are the same instant on neighbouring teeth: they share a phase. Crossings are in order of phase,
    each phase from `starts` (PHASES,) on. Each place (n·m,) lies `phase_share` of the way from the phase `phase_below`
    to `phase_above`.
    """

    cones: PitchCones
    flank: Flank
    along: Floats
    depth: Floats
    mesh: Mesh
    before: Indices
    after: Indices
    share: Floats
    starts: Indices
    phase_below: Indices
    phase_above: Indices
    phase_share: Floats

    def opening_rad(self, misalignment: Misalignment, crown: Crown) -> Floats:
        """Return by what angle of the gear each place is open at its own instant of contact.

        e = crown + n·(dP x̂ + dE ŷ − dG ẑ), to first order in the move, over the lever |a|. The crown's crest is the
        pinion's and moves with it, while places are the gear's.

        Parameters
        ----------
        misalignment : Misalignment
            Where the gears sit [mm].
        crown : Crown
            Relief of the pinion's flank [mm].

        Returns
        -------
        ndarray
            ε [rad], (n, m); negative where the flanks would bite.
        """
        offset_mm = self.cones.gear_set.hand.sign * misalignment.offset_mm
        shift = np.array([misalignment.pinion_mm, offset_mm, -misalignment.gear_mm])
        along = 2.0 * float(self.cones.along @ shift) / self.cones.gear_set.face_width_mm
        depth = 2.0 * float(self.cones.outward @ shift) / self.cones.working_depth_mm
        relief = crown.length_mm * (self.along - along) ** 2 + crown.profile_mm * (self.depth - depth) ** 2
        moves = np.array([misalignment.pinion_mm, misalignment.gear_mm, offset_mm])
        return np.asarray(relief / self.mesh.lever_mm + np.tensordot(moves, self.mesh.rates, 1))

    def transmission_error_rad(self, opening_rad: Floats) -> Floats:
        """Return how far the gear is behind the pinion at each phase of the pitch.

        The least opening along all contact lines of that instant, on this tooth and its neighbours. A line is followed
        as far as the face reaches: short lines at the corners have few crossings and nothing stands for what lies
        beyond.

        Parameters
        ----------
        opening_rad : ndarray
            Opening of each place [rad], (n, m).

        Returns
        -------
        ndarray
            TE [rad], (PHASES,).
        """
        flat = opening_rad.ravel()
        crossed = flat[self.before]
        crossed = crossed + self.share * (flat[self.after] - crossed)
        return np.asarray(np.minimum.reduceat(crossed, self.starts))

    def gap_mm(self, misalignment: Misalignment, crown: Crown) -> Floats:
        """Return the smallest gap of each place while the pair is turned through.

        Parameters
        ----------
        misalignment : Misalignment
            Where the gears sit [mm].
        crown : Crown
            Relief of the pinion's flank [mm].

        Returns
        -------
        ndarray
            (ε − TE)|a| [mm], (n, m); 0 where the flanks touch.
        """
        opening = self.opening_rad(misalignment, crown)
        error = self.transmission_error_rad(opening)
        below = error[self.phase_below]
        touched = below + self.phase_share * (error[self.phase_above] - below)
        return np.asarray((opening - touched.reshape(opening.shape)) * self.mesh.lever_mm)


def ease_off(cones: PitchCones, flank: Flank, places: tuple[int, int] = (40, 20)) -> EaseOff:
    """Return a flank ready for any move.

    Parameters
    ----------
    cones : PitchCones
        The set's pitch cones.
    flank : Flank
        Which flank.
    places : tuple of int
        Places along the tooth and in its depth, 3 or more each.

    Returns
    -------
    EaseOff
        The flank's grid, mesh and contact lines.

    Raises
    ------
    RangeError
        For a set without a conjugate pinion, one whose teeth leave before the next ones come, or too few places.

    Notes
    -----
    Ease-off topography: Kolivand and Kahraman 2009 (from memory). Nothing is turned at run time: n_z and a do not
    change as the gear turns, nor n_x as the pinion does, so what a move does at a place is fixed.
    """
    along = np.linspace(-1.0, 1.0, int(at_least("places along the tooth", places[0], 3)))
    depth = np.linspace(-1.0, 1.0, int(at_least("places in the depth", places[1], 3)))
    grid = np.meshgrid(along, depth, indexing="ij")
    found = mesh(gear_flank(cones, flank), *grid)
    step = cones.gear_set.pitch_rad / PHASES
    at = (found.roll_rad - found.roll_rad.min()) / step
    # Over less than a pitch there are instants at which no tooth is in contact.
    above("contact ratio", float(at.max()) / PHASES, 1.0)
    before, after, share, line = _crossings(at)
    order = np.argsort(line % PHASES, kind="stable")
    starts = np.searchsorted((line % PHASES)[order], np.arange(PHASES))
    phase = at.ravel().astype(np.intp)
    return EaseOff(
        cones,
        flank,
        along[:, None],
        depth[None, :],
        found,
        before[order],
        after[order],
        share[order],
        starts,
        phase % PHASES,
        (phase + 1) % PHASES,
        at.ravel() - phase,
    )


def _crossings(at: Floats) -> tuple[Indices, Indices, Floats, Indices]:
    """Return where whole-numbered levels of a field (n, m) cross the edges of its grid.

    One entry a crossing (c,): places at both ends of the edge, share of the way from first to second, and the level.
    """
    places = np.arange(at.size).reshape(at.shape)
    before = np.concatenate([places[:-1].ravel(), places[:, :-1].ravel()])
    after = np.concatenate([places[1:].ravel(), places[:, 1:].ravel()])
    values = at.ravel()
    low, high = np.minimum(values[before], values[after]), np.maximum(values[before], values[after])
    first = np.ceil(low).astype(np.intp)
    count = np.maximum(np.floor(high).astype(np.intp) - first + 1, 0)
    edge = np.repeat(np.arange(before.size), count)
    level = first[edge] + np.arange(edge.size) - np.repeat(np.cumsum(count) - count, count)
    before, after = before[edge], after[edge]
    rise = values[after] - values[before]
    share = np.divide(level - values[before], rise, out=np.zeros_like(rise), where=rise != 0.0)
    return before, after, share, level
