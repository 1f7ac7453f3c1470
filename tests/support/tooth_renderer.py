"""Draws photos of a painted tooth whose contact patch is known. Shares no code with what reads such photos.

A flank in space (tapered, bowed along its length) is seen by a pinhole camera; on it lie metal with the marks of its
cutter, compound as a brush leaves it, and a print where compound was displaced or transferred. Neighbouring teeth,
uneven light, soft shadows, glare, oil, defocus, a hand that moves, sensor noise and JPEG follow. All of it is invented.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from io import BytesIO

import numpy as np
from numpy.typing import NDArray
from PIL import Image
from scipy import ndimage

Floats = NDArray[np.float64]
RNG = np.random.Generator

LENGTH, DEPTH = 4.0, 1.0
"""Length of the flank and its depth at the heel; only their ratio shows."""
METAL = np.array([0.40, 0.40, 0.41])
PIGMENTS = {
    "yellow": np.array([0.72, 0.46, 0.04]),
    "blue": np.array([0.03, 0.10, 0.40]),
    "white": np.array([0.80, 0.79, 0.75]),
    "red": np.array([0.46, 0.05, 0.04]),
}
"""Colours of compound in linear light."""


@dataclass(frozen=True)
class Print:
    """An egg-shaped print: centre and half axes as ratios, turned on the flank, with a wobbling edge."""

    along: float = 0.45
    depth: float = 0.5
    half_along: float = 0.22
    half_depth: float = 0.28
    turn_deg: float = 0.0
    wobble: tuple[float, ...] = (0.0, 0.0, 0.0, 0.0)

    def inside(self, u: Floats, v: Floats) -> Floats:
        """Return how far inside the print's edge places lie, about as a share of the depth; negative outside."""
        x, y = (u - self.along) * LENGTH, (v - self.depth) * DEPTH
        turn = math.radians(self.turn_deg)
        a = (x * math.cos(turn) + y * math.sin(turn)) / (self.half_along * LENGTH)
        b = (-x * math.sin(turn) + y * math.cos(turn)) / (self.half_depth * DEPTH)
        angle = np.arctan2(b, a)
        one, two, three, four = self.wobble
        edge = 1.0 + one * np.cos(2 * angle + 6 * two) + three * np.cos(3 * angle + 6 * four)
        return (edge - (np.abs(a) ** 2.3 + np.abs(b) ** 2.3) ** (1 / 2.3)) * self.half_depth


@dataclass(frozen=True)
class Scene:
    """What is photographed, and how. Angles in degrees, lengths in picture pixels unless named otherwise."""

    seed: int = 1
    prints: tuple[Print, ...] = (Print(),)
    pigment: str = "yellow"
    is_transferred: bool = False
    taper: float = 0.8  # depth at the toe over depth at the heel
    bow: float = 0.01  # height of the flank's middle over its ends, as a share of the length
    tip_deg: float = 15.0  # how far the camera stands off square, and which way it leans
    lean_deg: float = 40.0
    roll_deg: float = 10.0
    is_mirrored: bool = False
    size: tuple[int, int] = (960, 720)
    fills: float = 0.62  # share of the picture's width the flank takes
    coat: float = 2.2  # thickness of the compound over the thickness that hides two thirds of the metal
    left_film: float = 0.08  # share of it that stays in the print
    streaky: float = 0.4
    unevenness: float = 0.3
    shadow: float = 0.0
    glare: int = 1
    oil: int = 1
    defocus: float = 1.2
    motion: float = 0.0
    exposure: float = 1.0
    balance: tuple[float, float, float] = (1.0, 1.0, 1.0)
    noise: float = 0.012
    quality: int = 88


@dataclass(frozen=True)
class Rendered:
    """A photo as JPEG, the corners toe-root, heel-root, heel-tip, toe-tip [px], and the truth on the flank."""

    jpeg: bytes
    corners: tuple[tuple[float, float], ...]
    centre: tuple[float, float] = (math.nan, math.nan)
    along_ends: tuple[float, float] = (math.nan, math.nan)
    depth_ends: tuple[float, float] = (math.nan, math.nan)
    mask: NDArray[np.bool_] = field(default_factory=lambda: np.zeros((0, 0), dtype=bool))


def random_scene(seed: int, **told: object) -> Scene:
    """Return a scene as a workshop makes them; what is told stays as told."""
    rng = np.random.default_rng([seed, 77])
    half_along, half_depth = rng.uniform(0.13, 0.36), rng.uniform(0.18, 0.36)
    wobble = (rng.normal(0, 0.05), rng.uniform(0, 1), rng.normal(0, 0.04), rng.uniform(0, 1))
    along, depth = rng.uniform(0.22, 0.78), rng.uniform(0.34, 0.66)
    prints = [Print(along, depth, half_along, half_depth, rng.uniform(-9, 9), wobble)]
    if rng.random() < 0.08:
        split = (rng.uniform(0.22, 0.3), rng.uniform(0.7, 0.78))
        prints = [Print(x, depth, rng.uniform(0.1, 0.16), half_depth * 0.9, 0.0, wobble) for x in split]
    drawn: dict[str, object] = {
        "prints": tuple(prints),
        "pigment": str(rng.choice(list(PIGMENTS), p=[0.35, 0.25, 0.2, 0.2])),
        "is_transferred": bool(rng.random() < 0.15),
        "taper": rng.uniform(0.68, 1.0),
        "bow": rng.uniform(-0.05, 0.05),
        "tip_deg": rng.uniform(0, 35),
        "lean_deg": rng.uniform(0, 360),
        "roll_deg": rng.normal(0, 15),
        "is_mirrored": bool(rng.random() < 0.5),
        "fills": rng.uniform(0.42, 0.78),
        "coat": rng.uniform(1.3, 3.2),
        "left_film": rng.uniform(0.02, 0.2),
        "streaky": rng.uniform(0.2, 0.6),
        "unevenness": rng.uniform(0.1, 0.7),
        "shadow": float(rng.random() < 0.35) * rng.uniform(0.3, 0.65),
        "glare": int(rng.integers(0, 4)),
        "oil": int(rng.integers(0, 3)),
        "defocus": rng.uniform(0.4, 4.0),
        "motion": float(rng.random() < 0.3) * rng.uniform(2, 14),
        "exposure": math.exp(rng.normal(0, 0.25)),
        "balance": tuple(np.exp(rng.normal(0, 0.08, 3))),
        "noise": rng.uniform(0.006, 0.03),
        "quality": int(rng.integers(70, 96)),
    }
    return Scene(seed=seed, **{**drawn, **told})  # type: ignore[arg-type]


# -- geometry ----------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Camera:
    """A pinhole camera: where it stands, its axes as rows, its focal length [px] and the picture's middle."""

    place: Floats
    axes: Floats
    focal: float
    middle: tuple[float, float]

    def project(self, points: Floats) -> Floats:
        seen = (points - self.place) @ self.axes.T
        return np.asarray(self.middle) + self.focal * seen[..., :2] / seen[..., 2:]


def _camera(scene: Scene) -> _Camera:
    tip, lean, roll = (math.radians(x) for x in (scene.tip_deg, scene.lean_deg, scene.roll_deg))
    away = np.array([math.sin(tip) * math.cos(lean), math.sin(tip) * math.sin(lean), math.cos(tip)])
    width, height = scene.size
    distance, look_at = 9.0, np.array([LENGTH / 2, DEPTH / 2, 0.0])
    right = np.cross([0.0, 1.0, 0.0], away)
    right /= np.linalg.norm(right)
    up = np.cross(away, right)
    turned = math.cos(roll) * right + math.sin(roll) * up, -math.sin(roll) * right + math.cos(roll) * up
    axes = np.stack([turned[0], -turned[1], -away])
    return _Camera(look_at + distance * away, axes, scene.fills * width * distance / LENGTH, (width / 2, height / 2))


def _bow(scene: Scene, u: Floats) -> Floats:
    return 4 * scene.bow * LENGTH * u * (1 - u)


def _depth_here(scene: Scene, u: Floats) -> Floats:
    return DEPTH * np.clip(scene.taper + (1 - scene.taper) * u, 0.3, 1.5)


def _on_flank(scene: Scene, camera: _Camera) -> tuple[Floats, Floats]:
    """Return for each pixel the place along (0 toe … 1 heel) and in depth (0 root … 1 tip) it looks at."""
    width, height = scene.size
    px, py = np.meshgrid(np.arange(width) + 0.0, np.arange(height) + 0.0)
    seen = np.stack(
        [(px - camera.middle[0]) / camera.focal, (py - camera.middle[1]) / camera.focal, np.ones_like(px)], -1
    )
    ray = seen @ camera.axes
    z = np.zeros_like(px)
    for _ in range(4):
        far = (z - camera.place[2]) / ray[..., 2]
        u = (camera.place[0] + far * ray[..., 0]) / LENGTH
        z = _bow(scene, np.clip(u, -0.3, 1.3))
    y = camera.place[1] + far * ray[..., 1]
    return u, (y - DEPTH / 2) / _depth_here(scene, u) + 0.5


# -- surfaces ----------------------------------------------------------------------------------------------------------


def _field(rng: RNG, grain_u: float, grain_v: float, u: Floats, v: Floats) -> Floats:
    """Return smooth noise of unit spread whose grains are so long along and in depth (shares of the flank)."""
    noise = ndimage.gaussian_filter(rng.normal(size=(128, 256)), 1.0, mode="wrap")
    at = np.stack([v * 1.6 / grain_v, u * 1.6 / grain_u])
    return np.asarray(ndimage.map_coordinates(noise / noise.std(), at, order=1, mode="grid-wrap"))


def _rise(x: Floats) -> Floats:
    return 1.0 / (1.0 + np.exp(-np.clip(x, -40, 40)))


def _inside(seed: int, prints: tuple[Print, ...], u: Floats, v: Floats) -> Floats:
    """Return how far inside a print places lie, its edge ragged."""
    if not prints:
        return np.full_like(u, -1.0)
    ragged = 0.015 * _field(np.random.default_rng([seed, 31]), 0.06, 0.2, u, v)
    return np.max([p.inside(u, v) for p in prints], axis=0) + ragged


def _flank(scene: Scene, rng: RNG, u: Floats, v: Floats, prints: tuple[Print, ...]) -> Floats:
    """Return the colour of one painted flank in even light."""
    cutter = 0.05 * _field(rng, 0.012, 0.9, u + 0.15 * v, v) + 0.05 * _field(rng, 0.5, 0.4, u, v)
    sheen = 0.35 * np.exp(-(((u - rng.uniform(0.1, 0.9)) / 0.3) ** 2)) - 0.1
    metal = METAL * (1 + cutter + sheen)[..., None] * np.array([1.0, 1.0, rng.uniform(0.94, 1.04)])
    inside = _inside(scene.seed, prints, u, v)
    printed = _rise(inside / 0.012)
    rim = np.exp(-(((inside + 0.05) / 0.04) ** 2))
    brushed = 1 + scene.streaky * (0.6 * _field(rng, 0.7, 0.05, u, v) + 0.3 * _field(rng, 0.1, 0.2, u, v))
    if scene.is_transferred:
        thick = scene.coat * printed * (0.55 + 0.25 * brushed) + 0.02
    else:
        edge = np.minimum(np.minimum(u, 1 - u) * 4, np.minimum(v, 1 - v)) + 0.03 * _field(rng, 0.12, 0.4, u, v)
        painted = _rise((edge - 0.01) / 0.02)
        thick = scene.coat * brushed * painted * (1 - (1 - scene.left_film) * printed) + 0.7 * scene.coat * rim
    hidden = 1 - np.exp(-np.clip(thick, 0, None))
    pigment = PIGMENTS[scene.pigment] * (1 + 0.06 * brushed)[..., None]
    return metal * (1 - hidden[..., None]) + pigment * hidden[..., None]


def _gear(scene: Scene, rng: RNG, u: Floats, v: Floats) -> Floats:
    """Return the colours of the tooth with its top land, gap, neighbours and end faces, and of the background."""
    pitch, land = 2.3, 0.28
    out = np.empty((*u.shape, 3))
    body, bench, gear = u < 0, u > 1, (u >= 0) & (u <= 1)
    out[gear] = METAL * 0.16 * (1 + 0.2 * _field(rng, 0.3, 0.3, u[gear], v[gear]))[:, None]
    for step in (-1, 0, 1):
        w = v - step * pitch
        on = gear & (w >= 0) & (w <= 1)
        prints = scene.prints
        if step:
            prints = tuple(replace(p, along=p.along + rng.normal(0, 0.02)) for p in prints)
        out[on] = (0.8 if step else 1.0) * _flank(scene, rng, u[on], w[on], prints)
        top = gear & (w > 1) & (w <= 1 + land)
        out[top] = METAL * 1.15 * (1 + 0.08 * _field(rng, 0.02, 0.5, u[top], v[top]))[:, None]
        foot = gear & (w < 0) & (w > -0.35)
        out[foot] *= (0.5 - w[foot])[:, None]
    out[body] = METAL * rng.uniform(0.2, 0.6) * (1 + 0.1 * _field(rng, 0.2, 0.6, u[body], v[body]))[:, None]
    table = rng.uniform(0.05, 0.5) * rng.uniform(0.8, 1.25, 3)
    out[bench] = table * (1 + 0.15 * _field(rng, 0.5, 1.5, u[bench], v[bench]))[:, None]
    return out


def _with_oil(scene: Scene, rng: RNG, u: Floats, v: Floats, seen: Floats) -> Floats:
    on = (u > 0) & (u < 1) & (v < 1.2)
    x, y = u[on], v[on]
    for _ in range(scene.oil):
        slant, width = rng.uniform(-0.25, 0.25), rng.uniform(0.012, 0.04)
        line = x - rng.uniform(0.05, 0.95) - slant * y + 0.02 * _field(rng, 1.0, 0.5, x, y)
        reach = _rise((y - rng.uniform(-0.3, 0.5)) / 0.05)
        wet = rng.uniform(0.3, 0.75) * np.exp(-((line / width) ** 4)) * reach
        seen[on] *= 1 - wet[:, None] * np.array([0.45, 0.52, 0.68])
    return seen


def _lit(scene: Scene, rng: RNG, u: Floats, v: Floats, seen: Floats) -> Floats:
    at, way = rng.uniform(-0.2, 1.2, 2), rng.uniform(0, 2 * math.pi)
    distance = np.hypot((u - at[0]), (v - at[1]) / 4)
    light = 1 - scene.unevenness * np.clip(distance, 0, 1.4) / 1.4
    across = (u - rng.uniform(0.2, 0.8)) * math.cos(way) + (v - 0.5) / 4 * math.sin(way)
    light = light * (1 - scene.shadow * _rise(across / rng.uniform(0.015, 0.1)))
    seen = seen * light[..., None]
    for _ in range(scene.glare):
        x, y = rng.uniform(0.05, 0.95), rng.uniform(0.05, 0.95)
        a, b = rng.uniform(0.01, 0.05), rng.uniform(0.03, 0.12)
        turn = 0.5 * rng.normal()
        spot = np.exp(-(((u - x + turn * (v - y) / 4) / a) ** 2) - ((v - y) / b) ** 2)
        on = spot > 1e-4
        sparkle = np.clip(1 + 0.4 * _field(rng, 0.012, 0.08, u[on], v[on]), 0, None)
        seen[on] += (rng.uniform(0.4, 2.5) * spot[on] * sparkle)[:, None]
    return seen


# -- camera ------------------------------------------------------------------------------------------------------------


def _photographed(scene: Scene, rng: RNG, light: Floats) -> Image.Image:
    """Return what the sensor makes of linear light."""
    light = ndimage.gaussian_filter(light, (scene.defocus, scene.defocus, 0))
    if scene.motion >= 1:
        span, way = int(scene.motion), rng.uniform(0, math.pi)
        kernel = np.zeros((2 * span + 1, 2 * span + 1))
        for t in np.linspace(-0.5, 0.5, 4 * span):
            kernel[round(span + t * span * math.sin(way)), round(span + t * span * math.cos(way))] += 1
        light = np.stack([ndimage.convolve(light[..., k], kernel / kernel.sum()) for k in range(3)], -1)
    # The camera meters the whole picture, and not quite.
    light = light * np.clip(0.24 / light.mean(), 0.5, 2.5) * scene.exposure * np.asarray(scene.balance)
    light = light + rng.normal(size=light.shape) * scene.noise * np.sqrt(np.clip(light, 0.01, None))
    light = np.clip(light, 0, 1)
    coded = np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
    return Image.fromarray((255 * coded + 0.5).astype(np.uint8))


def _jpeg(image: Image.Image, quality: int) -> bytes:
    out = BytesIO()
    image.save(out, "JPEG", quality=quality)
    return out.getvalue()


def render(scene: Scene) -> Rendered:
    """Photograph a scene; the corners are where the flank's really are."""
    rng = np.random.default_rng([scene.seed, 5])
    camera = _camera(scene)
    u, v = _on_flank(scene, camera)
    seen = _with_oil(scene, rng, u, v, _gear(scene, rng, u, v))
    image = _photographed(scene, rng, _lit(scene, rng, u, v, seen))
    at_u, at_v = np.array([0.0, 1.0, 1.0, 0.0]), np.array([0.0, 0.0, 1.0, 1.0])
    corners = np.stack([at_u * LENGTH, (at_v - 0.5) * _depth_here(scene, at_u) + DEPTH / 2, _bow(scene, at_u)], -1)
    places = camera.project(corners)
    if scene.is_mirrored:
        image = image.transpose(Image.Transpose.FLIP_LEFT_RIGHT)
        places[:, 0] = scene.size[0] - 1 - places[:, 0]
    grid_u, grid_v = np.meshgrid((np.arange(400) + 0.5) / 400, (np.arange(200) + 0.5) / 200)
    mask = _inside(scene.seed, scene.prints, grid_u, grid_v) > 0
    truth: dict[str, tuple[float, float]] = {}
    if mask.any():
        for name, values in (("along_ends", grid_u[mask]), ("depth_ends", grid_v[mask])):
            truth[name] = (float(values.min()), float(values.max()))
        truth["centre"] = (float(grid_u[mask].mean()), float(grid_v[mask].mean()))
    clicked = tuple((float(x), float(y)) for x, y in places)
    return Rendered(_jpeg(image, scene.quality), clicked, mask=mask, **truth)


def clicked(rendered: Rendered, seed: int, spread_px: float = 2.0) -> tuple[tuple[float, float], ...]:
    """Return the corners as a person clicks them: some pixels off."""
    off = np.random.default_rng([seed, 11]).normal(0, spread_px, (4, 2))
    return tuple((x + dx, y + dy) for (x, y), (dx, dy) in zip(rendered.corners, off, strict=True))


WITHOUT = ("covered", "bare", "bench", "cloth", "plate", "lettering", "shade")
"""Pictures without a print: a flank painted whole, a bare one, and things that are no flank at all."""


def without_print(seed: int) -> Rendered:
    """Return a picture without a print, of a kind that changes with the seed, and corners clicked all the same."""
    kind = WITHOUT[seed % len(WITHOUT)]
    scene = random_scene(seed, prints=(), is_transferred=kind == "bare")
    if kind in ("covered", "bare"):
        return render(scene)
    rng = np.random.default_rng([seed, 23])
    u, v = _on_flank(scene, _camera(scene))
    colour = rng.uniform(0.05, 0.7, 3)
    if kind == "bench":
        seen = colour * (1 + 0.2 * _field(rng, 0.9, 0.12, u, v) + 0.1 * _field(rng, 0.05, 0.02, u, v))[..., None]
    elif kind == "cloth":
        seen = colour * np.exp(0.45 * _field(rng, 0.35, 0.5, u + 0.2 * v, v))[..., None]
    elif kind == "plate":
        hole = np.hypot((u - 0.5) * 4, v - 0.5) - rng.uniform(0.2, 0.45)
        seen = (
            METAL * (0.03 + 0.97 * _rise(hole / 0.01))[..., None] * (1 + 0.1 * _field(rng, 0.3, 0.3, u, v))[..., None]
        )
    elif kind == "lettering":
        ink = (_field(rng, 0.03, 0.1, u, v) > 0.7) & (v * 4 % 1 > 0.45)
        seen = np.array([0.8, 0.78, 0.7]) * np.where(ink, 0.08, 1.0)[..., None]
    else:
        seen = colour * np.ones((*u.shape, 1))
    image = _photographed(scene, rng, _lit(scene, rng, u, v, seen))
    width, height = scene.size
    corners = (
        (width * 0.2, height * 0.6),
        (width * 0.8, height * 0.6),
        (width * 0.8, height * 0.4),
        (width * 0.2, height * 0.4),
    )
    return Rendered(_jpeg(image, scene.quality), corners)
