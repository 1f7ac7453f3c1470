"""The prints of a question as compound leaves them: the computed edge, a little rough."""

from __future__ import annotations

import math

import numpy as np

from core.mechanics.contact import Flank
from core.mechanics.contact.geometry import Floats
from core.mechanics.outline import Ring
from core.practice.question import LEAVE, Question, Setting

ROUGH = 0.035
"""How far the edge strays, as a share of its distance from the print's middle (common practice: some per cent)."""

WAVES = 14
"""Waves around a print: from a lopsided edge to a ragged one."""

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
