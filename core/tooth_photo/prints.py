"""The print picked from the two surfaces: of all the patches they make, the ones that look most like a print.

A print is compact, lies inside the flank and has a step at its edge. A bare rim the brush left out runs along the
border; a streak is thin; a shadow has no step once the light is evened.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np
from scipy.ndimage import binary_dilation, binary_erosion, binary_fill_holes, distance_transform_edt, gaussian_filter
from skimage.measure import EllipseModel, label
from skimage.morphology import convex_hull_image, disk

from core.tooth_photo.corners import Floats
from core.tooth_photo.parting import Mask, Parting

LEAST_AREA, MOST_AREA = 0.012, 0.75
"""Shares of the flank a print takes."""
_THIN = 3
"""What is thinner than twice this is a streak [places]."""
_ROUND = 2.0
"""How far a patch's edge may lie off an ellipse that is to speak for what glare hides [places]."""
_LEAST_STEP = 1.0
_DARKEST_METAL = 1.3
"""Most that metal and grey compound differ in brightness, as a logarithm."""
_GREY = 0.6
"""Most that metal may seem coloured, by the light or by the film left on it, as a logarithm."""
_THINNED = 0.5
"""What is coloured more than this share of full compound is compound, not the film that is left in a print."""
_BLUNT = 0.42
"""What is narrower than this share of a patch's own width is an outgrowth."""
_FEWEST_POINTS = 21
_ALIKE = 0.75
"""A print of two patches is taken before one of them alone from this share of its merit."""
_SAME = 0.004
"""Partings that differ on a smaller share of the flank are one."""
_SECOND = 0.5
"""A second patch is part of the print from this share of the first one's area: what glare leaves is smaller."""


@dataclass(frozen=True, eq=False)
class Found:
    """A print as found.

    `mask` are its places; `step` is how far inside and outside differ across the edge, over their spread; `solid` the
    share of its convex hull it fills; `bordering` the share of the flank's border it takes; `hidden` the share of its
    edge that glare hides; `patches` how many it has.
    """

    mask: Mask
    parting: Parting
    step: float
    solid: float
    bordering: float
    hidden: float
    patches: int = 1

    @property
    def area(self) -> float:
        """Share of the flank it takes."""
        return float(self.mask.mean())

    @property
    def colour_inside(self) -> tuple[float, float]:
        """How far its places are from grey, and how bright they are, as logarithms."""
        return _colour(self.parting, self.mask)

    @property
    def colour_outside(self) -> tuple[float, float]:
        """The same of the rest of the flank."""
        return _colour(self.parting, ~self.mask)

    @property
    def colour(self) -> float:
        """How far the colours inside and outside differ, as a logarithm."""
        looks, heard = self.parting.looks[..., 1:], self.parting.heard
        apart = looks[heard & self.mask].mean(axis=0) - looks[heard & ~self.mask].mean(axis=0)
        return float(np.hypot(*apart))

    @property
    def is_possible(self) -> bool:
        """Whether metal and compound can look like this.

        What is only darker, and by far, is a hole or a gap; where both are coloured, both are compound, one of them
        brushed thinner.
        """
        greyer, other = sorted((self.colour_inside[0], self.colour_outside[0]))
        if self.step <= _LEAST_STEP or greyer > max(_GREY, _THINNED * other):
            return False
        return self.colour > 0.3 or abs(self.colour_inside[1] - self.colour_outside[1]) < _DARKEST_METAL

    @property
    def merit(self) -> float:
        """How much it looks like a print, 0 to 1."""
        area = self.area
        return self.solid**2 * (1.0 - self.bordering) ** 2 * self.step / (self.step + 2.0) * area / (area + 0.03)


def best(partings: Iterator[Parting]) -> list[Found]:
    """Return for each parting the print found in it, the best one first."""
    found = [print_ for parting in _different(partings) for print_ in _prints(parting)]
    found.sort(key=lambda each: -each.merit)
    # Where light or glare parts them, one patch of a print alone may look better than both.
    whole = next((each for each in found[1:] if _completes(each, found[0])), None)
    return found if whole is None else [whole, *(each for each in found if each is not whole)]


def _different(partings: Iterable[Parting]) -> Iterator[Parting]:
    """Yield each parting that tells the flank apart in another way than those before it: guesses often agree."""
    before: list[tuple[Mask, Mask]] = []
    for parting in partings:
        one = parting.odds > 0
        alike = (
            min(float((one ^ other).mean()), float((one == other).mean())) < _SAME
            and float((parting.heard ^ heard).mean()) < _SAME
            for other, heard in before
        )
        if not any(alike):
            before.append((one, parting.heard))
            yield parting


def _completes(pair: Found, single: Found) -> bool:
    """Return whether a print of two patches is the same as one of a single patch, and the other patch beside it."""
    return (
        pair.patches > single.patches
        and pair.merit > _ALIKE * single.merit
        and float((pair.mask & single.mask).sum()) > 0.8 * float(single.mask.sum())
    )


def _prints(parting: Parting) -> Iterator[Found]:
    """Yield the print one surface may be on the other, either way round."""
    for odds in (parting.odds, -parting.odds):
        judged = sorted((_judged(patch, parting) for patch in _patches(odds, parting)), key=lambda each: -each.merit)
        if not judged:
            continue
        first = judged[0]
        second = next((other for other in judged[1:] if _belongs(other, first)), None)
        yield _judged(first.mask | second.mask, parting, (first, second)) if second else first


def _belongs(other: Found, first: Found) -> bool:
    """Return whether a further patch is part of the print: of its size and worth, and beside it along the tooth."""
    rows, own = first.mask.any(axis=1), other.mask.any(axis=1)
    return bool(
        other.mask.sum() > _SECOND * first.mask.sum()
        and other.merit > 0.4 * first.merit
        and other.solid > 0.8
        and other.bordering < 0.08
        and other.hidden < 0.4
        and (rows & own).sum() > 0.6 * own.sum()
    )


def _patches(odds: Floats, parting: Parting) -> Iterator[Mask]:
    """Yield the patches of places with odds above 0 that are neither too small nor thin."""
    pieces = label(_opened(odds > 0, _THIN), connectivity=1)
    for piece in range(1, pieces.max() + 1):
        patch = _whole(pieces == piece, parting.heard)
        if LEAST_AREA < patch.mean() < MOST_AREA:
            patch = _behind_glare(_whole(_edge_found(patch, parting), parting.heard), parting.hidden)
            if LEAST_AREA < patch.mean() < MOST_AREA and (patch & parting.heard).sum() > 0.4 * patch.sum():
                yield patch


def _opened(mask: Mask, radius: int) -> Mask:
    """Return a mask without what is thin; the flank's border does not make anything thin."""
    wide = np.pad(mask, radius, mode="edge")
    eroded = binary_erosion(wide, disk(radius), border_value=1)
    return np.asarray(binary_dilation(eroded, disk(radius)))[radius:-radius, radius:-radius]


def _whole(patch: Mask, heard: Mask) -> Mask:
    """Return the largest piece of a patch, without holes and outgrowths, with the glare that lies within its hull."""
    if not patch.any():
        return patch
    radius = max(int(_BLUNT * distance_transform_edt(np.pad(patch, 1)).max()), 1)
    pieces = label(_opened(binary_fill_holes(patch), radius), connectivity=1)
    if pieces.max() == 0:
        return np.zeros_like(patch)
    largest = pieces == np.bincount(pieces.ravel())[1:].argmax() + 1
    return np.asarray(largest | (convex_hull_image(largest) & ~heard))


def _behind_glare(patch: Mask, glare: Mask) -> Mask:
    """Return a patch whose edge beside glare is the ellipse's that the rest of its edge lies on, if it lies on one."""
    near = np.asarray(binary_dilation(glare, disk(3)))
    rim = patch & ~np.asarray(binary_erosion(patch, border_value=1))
    rim[:2], rim[-2:], rim[:, :2], rim[:, -2:] = False, False, False, False
    if not (rim & near).any():
        return patch
    points = np.argwhere(rim & ~near)[:, ::-1].astype(float)
    for _ in range(2):
        if len(points) < _FEWEST_POINTS or not (fitted := EllipseModel.from_estimate(points)):
            return patch
        # Where glare made an outgrowth its points lie far off, and are left out.
        off = np.abs(_radius(fitted, *points.T) - 1.0) * min(fitted.axis_lengths)
        points = points[off <= max(2.0 * float(np.median(off)), 0.5)]
    if np.median(off) > _ROUND:
        return patch
    row, column = np.indices(patch.shape).astype(float)
    return np.where(near, _radius(fitted, column, row) < 1.0, patch)


def _radius(ellipse: EllipseModel, x: Floats, y: Floats) -> Floats:
    """Return how far places lie from an ellipse's centre, 1 on its edge."""
    (middle_x, middle_y), (a, b), turn = ellipse.center, ellipse.axis_lengths, ellipse.theta
    along = (x - middle_x) * np.cos(turn) + (y - middle_y) * np.sin(turn)
    across = (y - middle_y) * np.cos(turn) - (x - middle_x) * np.sin(turn)
    return np.asarray(np.hypot(along / a, across / b))


def _edge_found(patch: Mask, parting: Parting) -> Mask:
    """Return a patch whose edge lies where the light is half way from what is inside to what is outside nearby.

    A lens that is not quite sharp moves this place least, and what the light does farther away does not matter.
    """
    heard, depth_in = parting.heard, distance_transform_edt(patch) - distance_transform_edt(~patch)
    inside, outside = heard & (depth_in > 2.0), heard & (depth_in < -2.0) & (depth_in > -14.0)
    if inside.sum() < 12 or outside.sum() < 12:
        return patch
    here, there = (_nearby(parting.even, places) for places in (inside, outside))
    spread = 0.5 * (np.cov(parting.even[inside].T) + np.cov(parting.even[outside].T)) + 0.01**2 * np.eye(3)
    toward = (here - there) @ np.linalg.inv(spread)
    signal = ((parting.even - 0.5 * (here + there)) * toward).sum(axis=-1)
    signal = gaussian_filter(np.where(heard, signal / (np.abs(signal[heard]).mean() + 1e-9), 0.0), 0.8)
    return np.where(heard & (np.abs(depth_in) < 6.0), signal > 0, patch)


def _nearby(light: Floats, places: Mask) -> Floats:
    """Return the mean light of some places round each place."""
    weight = places.astype(float)
    total = gaussian_filter(weight, 12.0) + 1e-3 * weight.mean()
    far = 1e-3 * weight.mean() * light[places].mean(axis=0)
    sums = [gaussian_filter(light[..., k] * weight, 12.0) + far[k] for k in range(3)]
    return np.stack([each / total for each in sums], -1)


def _judged(patch: Mask, parting: Parting, pieces: tuple[Found, ...] = ()) -> Found:
    heard = parting.heard
    hull = sum(convex_hull_image(piece.mask).sum() for piece in pieces) if pieces else convex_hull_image(patch).sum()
    border = np.concatenate([patch[0], patch[-1], patch[:, 0], patch[:, -1]])
    rim = patch ^ binary_erosion(patch, border_value=1)
    off = np.where(patch, distance_transform_edt(patch), distance_transform_edt(~patch))
    near = (off > 1.5) & (off < 8.0) & heard
    return Found(
        patch,
        parting,
        _step(parting.looks, near & patch, near & ~patch),
        float(patch.sum() / hull),
        float(border.mean()),
        float((rim & ~heard).sum() / max(rim.sum(), 1)),
        max(len(pieces), 1),
    )


def _step(looks: Floats, inside: Mask, outside: Mask) -> float:
    """Return how far two sets of places differ in looks, over their spread, along the direction that tells most."""
    if inside.sum() < 12 or outside.sum() < 12:
        return 0.0
    one, other = looks[inside], looks[outside]
    spread = 0.5 * (np.cov(one.T) + np.cov(other.T)) + 0.03**2 * np.eye(3)
    apart = one.mean(axis=0) - other.mean(axis=0)
    return float(np.sqrt(apart @ np.linalg.solve(spread, apart)))


def _colour(parting: Parting, places: Mask) -> tuple[float, float]:
    bright, red, blue = parting.looks[parting.heard & places].mean(axis=0)
    return float(np.hypot(red, blue)), float(bright)
