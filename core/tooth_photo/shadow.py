"""A shadow with a straight, soft edge: the step in the light that slope and curve of a lamp do not tell."""

from __future__ import annotations

from functools import cache

import numpy as np

from core.tooth_photo.corners import Floats

LEAST = 0.15
"""Share of what slope and curve leave over that a shadow's edge must tell."""
DARKEST = 1.3
"""Most a shadow takes from the light, as a logarithm: what is darker is a hole or a gap."""
_THIN = 3
"""Every so many places are looked at: a shadow is wide."""
_TURNS, _PLACES, _SOFT = 8, 17, (0.015, 0.04, 0.09)
"""How many ways an edge may run, how many places it may lie at, and how soft it may be, in lengths of the flank."""
_LENGTH_TO_DEPTH = 4.0


def step(brightness: Floats, terms: Floats, heard: Floats) -> Floats | None:
    """Return the straight step, 0 to 1, that tells most of the brightness (DEEP, ALONG); None where none tells much.

    Parameters
    ----------
    brightness : ndarray
        Logarithm of the light, (DEEP, ALONG).
    terms : ndarray
        Slope and curve that the light may have anyway, (DEEP, ALONG, n).
    heard : ndarray
        1 where places count, (DEEP, ALONG).
    """
    thin = (slice(1, None, _THIN), slice(1, None, _THIN))
    counts = heard[thin].ravel()
    design = np.column_stack([terms[thin].reshape(counts.size, -1), np.ones(counts.size)]) * counts[:, None]
    known = np.linalg.qr(design)[0]
    rest = brightness[thin].ravel() * counts
    rest = rest - known @ (known.T @ rest)
    bank = _bank(brightness.shape)
    steps = bank[:, thin[0], thin[1]].reshape(len(bank), -1).T * counts[:, None]
    steps = steps - known @ (known.T @ steps)
    high = rest @ steps / ((steps**2).sum(axis=0) + 1e-6)
    told = high**2 * (steps**2).sum(axis=0)
    best = int(told.argmax())
    is_one = told[best] > LEAST * (rest**2).sum() and abs(high[best]) < DARKEST
    return bank[best] if is_one else None


@cache
def _bank(shape: tuple[int, ...]) -> Floats:
    """Return the steps that are tried, each 0 to 1, (n, DEEP, ALONG)."""
    depth, along = np.linspace(-0.5, 0.5, shape[0]) / _LENGTH_TO_DEPTH, np.linspace(0, 1, shape[1])
    y, x = np.meshgrid(depth, along, indexing="ij")
    steps = []
    for turn in np.linspace(0, np.pi, _TURNS, endpoint=False):
        across = x * np.cos(turn) + y * np.sin(turn)
        for place in np.linspace(across.min(), across.max(), _PLACES + 2)[1:-1]:
            steps += [1.0 / (1.0 + np.exp(-(across - place) / soft)) for soft in _SOFT]
    return np.array(steps)
