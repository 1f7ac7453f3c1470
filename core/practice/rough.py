"""The prints of a question as compound leaves them: the computed edge, a little rough, and thin in places."""

from __future__ import annotations

import math

import numpy as np

from core.mechanics.contact import Flank
from core.mechanics.contact.geometry import Floats
from core.mechanics.outline import Ring, extents, is_inside
from core.practice.question import LEAVE, Question, Setting

ROUGH = 0.035
"""How far the edge strays, as a share of its distance from the print's middle (common practice: some per cent)."""

WAVES = 14
"""Waves around a print: from a lopsided edge to a ragged one."""

FLECKS = 40
"""So many places of a print are tried for one where the compound is thin; those beside the print are left out."""

FLECK_REACH = (0.003, 0.015)
"""How far a thin place reaches along the tooth, as a share of it, from its middle; in depth it is twice the share."""

FLECK_CORNERS = 7

AT_EDGE = 1e-4


def rough_rings(question: Question, flank: Flank, setting: Setting = LEAVE) -> tuple[Ring, ...]:
    """Return the outlines of a print as it would be seen, always the same for the same question and move.

    Parameters
    ----------
    question : Question
        The question.
    flank : Flank
        Which flank.
    setting : Setting
        How far the gears have been moved [mm].

    Returns
    -------
    tuple of Ring
        Outlines as shares of the tooth; the edge of a hole in the print is left out.
    """
    rng = np.random.default_rng([int(question.level), question.number, list(Flank).index(flank)])
    return tuple(_roughened(edge, rng) for edge in question.edges(flank, setting))


def flecks(question: Question, flank: Flank, rings: tuple[Ring, ...]) -> tuple[Ring, ...]:
    """Return where a print is thin, so that nobody reads it by a clean fill alone; the same for the same print.

    Parameters
    ----------
    question : Question
        The question.
    flank : Flank
        Which flank.
    rings : tuple of Ring
        The print as `rough_rings` gave it.

    Returns
    -------
    tuple of Ring
        Small outlines, each within the print.
    """
    rng = np.random.default_rng([int(question.level), question.number, list(Flank).index(flank), FLECKS])
    found = []
    for ring in rings:
        low, high = extents([ring])
        for middle in rng.uniform(low, high, size=(FLECKS, 2)):
            reach = rng.uniform(*FLECK_REACH) * rng.uniform(0.6, 1.4, size=FLECK_CORNERS)
            turn = np.linspace(0.0, 2.0 * math.pi, FLECK_CORNERS, endpoint=False)
            fleck = middle + np.stack([reach * np.cos(turn), 2.0 * reach * np.sin(turn)], 1)
            corners = tuple((float(along), float(depth)) for along, depth in fleck)
            if all(is_inside(corner, ring) for corner in corners):
                found.append(corners)
    return tuple(found)


def _roughened(edge: Floats, rng: np.random.Generator) -> Ring:
    """Let an edge stray from its middle by waves that grow smaller as they grow shorter; the tooth's own edge stays."""
    off = edge - edge.mean(0)
    turn = np.arctan2(off[:, 1], off[:, 0])
    waves = np.arange(2, WAVES + 2)
    heights = ROUGH * rng.normal(size=WAVES) / np.sqrt(waves)
    shifts = rng.uniform(0.0, 2.0 * math.pi, size=WAVES)
    stray = (heights[:, None] * np.sin(waves[:, None] * turn + shifts[:, None])).sum(0)
    is_free = ((edge > AT_EDGE) & (edge < 1.0 - AT_EDGE)).all(1)
    found = np.clip(edge + off * (stray * is_free)[:, None], 0.0, 1.0)
    return tuple((float(along), float(depth)) for along, depth in found)
