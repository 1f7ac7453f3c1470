"""Compound told from metal, whatever colour the compound has: each place gets odds for one of two surfaces.

Two surfaces are looked for in the logarithm of the light, where a stronger lamp or another white balance only shifts
everything: the colours, and the brightness with an even slope and curve of the light taken out. Which places belong to
which surface, how each looks and how the light falls are worked out in turn until they agree (expectation and
maximisation with neighbours heard). As that can settle on a shadow or a streak, it starts from several guesses.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import binary_dilation, find_objects, gaussian_filter, label
from skimage.filters import threshold_otsu

from core.tooth_photo.corners import Floats
from core.tooth_photo.flank_view import ALONG, DEEP, FlankView
from core.tooth_photo.shadow import step

Mask = NDArray[np.bool_]

_TURNS = 14
_SETTLED = 1e-3
_REACH = 1.6
"""How far neighbours are heard, in places of the view."""
_MOST_ODDS = 6.0
"""Most one place can say, as a logarithm: what looks like neither surface must not outvote its neighbours."""
_LEAST_SPREAD = 0.03
_MUCH = 0.07
"""Where glare and its halo hide more than this it may be the picture that is too bright: then both are tried."""
_ENOUGH = 0.4
"""Share of the flank that must be seen."""
_NARROW = 0.09
"""Width of the widest streak, as a share of the flank's length."""
_RIM = 3
"""Outermost places that are not listened to: a click is never quite on the corner."""


@dataclass(frozen=True, eq=False)
class Parting:
    """One way the flank falls into two surfaces.

    `odds` is the logarithm of the odds that a place is of the one surface, (DEEP, ALONG), below 0 where it is of the
    other; `looks` what they were worked out from, the light evened, (DEEP, ALONG, 3); `even` the same as linear light;
    `heard` the places it was seen at, `hidden` those that glare or a streak hides.
    """

    odds: Floats
    looks: Floats
    even: Floats
    heard: Mask
    hidden: Mask


def partings(view: FlankView) -> Iterator[Parting]:
    """Yield the ways the flank may fall in two, one for each guess to start from."""
    # The halo of a highlight is as wide as the lens is soft.
    glare = gaussian_filter((~view.seen).astype(float), 3.0) > 0.01
    yield from _without(view, glare)
    if glare.mean() > _MUCH:
        yield from _without(view, np.zeros_like(glare))


def _without(view: FlankView, hidden: Mask) -> Iterator[Parting]:
    """Yield the ways what is not hidden may fall in two; once more without the streaks, where there are some."""
    looks, streaks = _looks(view.light), np.zeros_like(hidden)
    for hide in (hidden, None):
        hide = hidden | binary_dilation(streaks, iterations=2) if hide is None else hide
        heard = ~hide
        heard[:_RIM], heard[-_RIM:], heard[:, :_RIM], heard[:, -_RIM:] = False, False, False, False
        if heard.mean() < _ENOUGH:
            return
        for guess in _guesses(looks, heard):
            parting = _settled(view.light, looks, heard, hide, guess)
            streaks |= _streaks(parting)
            yield parting
        yield from _shaded(view.light, looks, heard, hide)
        if not streaks.any():
            return


def _streaks(parting: Parting) -> Mask:
    """Return what oil that ran down or a scratch makes of one surface: narrow, and more across the flank than along."""
    odds = parting.odds if (parting.odds > 0).mean() < 0.5 else -parting.odds
    pieces, count = label(odds > 0)
    found = np.zeros(odds.shape, dtype=bool)
    for piece, (rows, columns) in zip(range(1, count + 1), find_objects(pieces), strict=True):
        high, wide = rows.stop - rows.start, columns.stop - columns.start
        mask = pieces[rows, columns] == piece
        if high > 0.3 * DEEP and high > 0.6 * wide and mask.sum() / high < _NARROW * ALONG:
            found[rows, columns] |= mask
    return found


def _looks(light: Floats) -> Floats:
    """Return brightness and two colours of each place as logarithms, (DEEP, ALONG, 3)."""
    floor = 0.03 * np.median(light)
    red, green, blue = np.moveaxis(np.log(light + floor + 1e-4), -1, 0)
    return np.stack([(red + green + blue) / 3.0, red - green, blue - green], -1)


def _guesses(looks: Floats, heard: Mask) -> Iterator[Floats]:
    """Yield first guesses of the print: by colour, by brightness, and by what differs from the flank's border."""
    deep, along = heard.shape
    colour = looks[..., 1:] - looks[heard][:, 1:].mean(axis=0)
    spread = np.cov(colour[heard].T)
    main = np.linalg.eigh(spread)[1][:, -1]
    flat = looks[..., 0] - _light(looks[..., 0], heard, heard)
    border = np.zeros_like(heard)
    border[: deep // 6], border[-deep // 6 :], border[:, : along // 12], border[:, -along // 12 :] = (True,) * 4
    ground = looks[heard & border]
    away = np.abs(looks - np.median(ground, axis=0)) / (
        1.48 * np.median(np.abs(ground - np.median(ground, axis=0)), axis=0) + _LEAST_SPREAD
    )
    for signal in (colour @ main, flat, np.sqrt((away**2).sum(axis=-1)).clip(0, 12)):
        smooth = gaussian_filter(signal, _REACH)
        yield (smooth > threshold_otsu(smooth[heard])).astype(float)


def _light(brightness: Floats, places: Mask, weights: Floats | Mask, wide: Floats | None = None) -> Floats:
    """Return the even slope and curve of the light, fitted to some places, without its mean."""
    terms = _terms(brightness.shape) if wide is None else wide
    weight = np.where(places, weights, 0.0)
    mean = (weight[..., None] * terms).sum(axis=(0, 1)) / weight.sum()
    centred = (terms - mean)[places]
    w = np.sqrt(weight[places])
    fit = np.linalg.lstsq(centred * w[:, None], (brightness[places] - brightness[places].mean()) * w, rcond=None)[0]
    return np.asarray((terms - mean) @ fit)


def _terms(shape: tuple[int, ...]) -> Floats:
    y, x = np.meshgrid(np.linspace(-1, 1, shape[0]), np.linspace(-1, 1, shape[1]), indexing="ij")
    return np.stack([x, y, x * x, x * y, y * y], -1)


def _shaded(light: Floats, looks: Floats, heard: Mask, hidden: Mask) -> Iterator[Parting]:
    """Yield how the flank falls in two where a shadow with a straight edge lies on it, if one does."""
    bright, terms, belief = looks[..., 0], _terms(heard.shape), None
    lit = bright
    for _ in range(2):
        edge = step(lit, terms, heard.astype(float))
        if edge is None:
            return
        wide = np.concatenate([terms, edge[..., None]], -1)
        if belief is None:
            smooth = gaussian_filter(bright - _light(bright, heard, heard, wide), _REACH)
            belief = (smooth > threshold_otsu(smooth[heard])).astype(float)
        parting = _settled(light, looks, heard, hidden, belief, wide)
        yield parting
        # The print's own step must not be taken for a shadow's.
        is_one = parting.odds > 0
        belief, lit = is_one.astype(float), bright - _own(parting.looks[..., 0], is_one, heard)


def _own(brightness: Floats, is_one: Mask, heard: Mask) -> Floats:
    """Return for each place the mean brightness of its own surface."""
    one, other = (brightness[heard & places] for places in (is_one, ~is_one))
    return np.where(is_one, one.mean() if one.size else 0.0, other.mean() if other.size else 0.0)


def _settled(
    light: Floats, looks: Floats, heard: Mask, hidden: Mask, belief: Floats, wide: Floats | None = None
) -> Parting:
    """Return what a first guess settles on; `wide` are the terms of the light, where they are more than usual."""
    every = _terms(heard.shape) if wide is None else wide
    told, terms = looks[heard], every[heard]
    even, odds = told.copy(), np.zeros(heard.shape)
    share = gaussian_filter(heard.astype(float), _REACH) + 1e-3
    for _ in range(_TURNS):
        p = belief[heard].clip(1e-3, 1 - 1e-3)
        kinds = [_surface(even, p), _surface(even, 1 - p)]
        # The light is what is left of the brightness once each place has its own surface's.
        rest = told[:, 0] - p * kinds[0][0][0] - (1 - p) * kinds[1][0][0]
        design = np.column_stack([terms, np.ones(len(terms))])
        sure = (2 * p - 1) ** 2
        fit = np.linalg.lstsq(design * sure[:, None], rest * sure, rcond=None)[0]
        even[:, 0] = told[:, 0] - terms @ fit[:-1]
        # One spread for both: otherwise the vaguer surface takes in whatever looks like neither.
        shared = p.mean() * kinds[0][1] + (1 - p.mean()) * kinds[1][1]
        one, other = (_density(even, mean, shared) for mean, _ in kinds)
        field = np.zeros(heard.shape)
        field[heard] = (one - other).clip(-_MOST_ODDS, _MOST_ODDS)
        odds = gaussian_filter(field, _REACH) / share
        before, belief = belief, 1.0 / (1.0 + np.exp(-2.0 * odds))
        if np.abs(belief - before).mean() < _SETTLED:
            break
    slope = every @ fit[:-1]
    flat = looks.copy()
    flat[..., 0] -= slope
    return Parting(odds, flat, light * np.exp(-slope)[..., None], heard, hidden)


def _surface(told: Floats, weight: Floats) -> tuple[Floats, Floats]:
    """Return mean and spread of the places that look like one surface, far ones counting little."""
    for _ in range(2):
        total = weight.sum() + 1e-6
        mean = (weight[:, None] * told).sum(axis=0) / total
        off = told - mean
        spread = (weight[:, None] * off).T @ off / total + _LEAST_SPREAD**2 * np.eye(3)
        far = (off @ np.linalg.inv(spread) * off).sum(axis=1)
        weight = weight / (1.0 + far / 9.0)
    return mean, spread


def _density(told: Floats, mean: Floats, spread: Floats) -> Floats:
    off = told - mean
    far = (off @ np.linalg.inv(spread) * off).sum(axis=1)
    # Student's t with four degrees of freedom: a speck of dirt is improbable, not impossible.
    return np.asarray(-3.5 * np.log1p(far / 4.0))
