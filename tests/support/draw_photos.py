"""Draws the photos of the demo shop: nothing was photographed, every part on them is invented.

Run ``PYTHONPATH=. python tests/support/draw_photos.py`` to draw them anew into ``assets/demo/photos``.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path

from PIL import Image, ImageChops, ImageDraw, ImageFilter

FOLDER = Path(__file__).parents[2] / "assets" / "demo" / "photos"
BENCH, STEEL, DARK, RUBBER, COMPOUND = (176, 164, 146), (158, 160, 164), (58, 58, 62), (34, 34, 36), (52, 92, 152)
Point = tuple[float, float]


def ground(size: tuple[int, int]) -> Image.Image:
    """Return a bench top in lamp light: brighter towards whoever stands there."""
    light = Image.linear_gradient("L").resize(size).point(lambda v: 130 + v // 2)
    return ImageChops.multiply(Image.new("RGB", size, BENCH), Image.merge("RGB", [light] * 3))


def ring_gear() -> Image.Image:
    """Return a ring gear lying on the bench: 43 teeth, ten bolt holes."""
    image = ground((1600, 1200))
    draw, middle, outside = ImageDraw.Draw(image), (800, 600), 520.0

    def at(radius: float, turns: float) -> Point:
        angle = 2 * math.pi * turns
        return middle[0] + radius * math.cos(angle), middle[1] + radius * math.sin(angle)

    def disc(radius: float, colour: tuple[int, int, int], place: Point = middle) -> None:
        draw.ellipse([place[0] - radius, place[1] - radius, place[0] + radius, place[1] + radius], fill=colour)

    disc(outside + 14, DARK, (812, 616))
    disc(outside, DARK)
    for tooth in range(43):
        # A spiral tooth: its outer end is a little further round than its inner end.
        edges = [(390, 0.0), (455, 0.006), (outside, 0.014), (outside, 0.027), (455, 0.019), (390, 0.013)]
        draw.polygon([at(radius, tooth / 43 + turn / 1.3) for radius, turn in edges], fill=STEEL)
    disc(390, (132, 133, 138))
    disc(262, (108, 108, 112))
    for hole in range(10):
        disc(27, RUBBER, at(326, hole / 10 + 0.03))
    disc(236, (70, 65, 58))
    return image


def contact() -> Image.Image:
    """Return three teeth from above, with the marking compound worn off along the middle of each."""
    image = Image.new("RGB", (1200, 1600), DARK)
    draw = ImageDraw.Draw(image)
    for tooth in range(4):
        top = 40 + 400 * tooth
        draw.polygon([(0, top + 60), (1200, top), (1200, top + 240), (0, top + 320)], fill=COMPOUND)
        draw.polygon([(0, top + 60), (1200, top), (1200, top + 26), (0, top + 92)], fill=STEEL)
        draw.ellipse([330, top + 96, 790, top + 222], fill=(178, 176, 168))
    return image


def seal() -> Image.Image:
    """Return an output seal in its bore, with oil run down from the lip."""
    image = ground((1600, 1000))
    draw = ImageDraw.Draw(image)
    rings = ((430, (122, 122, 126)), (380, RUBBER), (300, (62, 62, 64)), (262, RUBBER), (226, (170, 170, 172)))
    for radius, colour in rings:
        draw.ellipse([800 - radius, 480 - radius, 800 + radius, 480 + radius], fill=colour)
    draw.polygon([(770, 730), (836, 730), (858, 1000), (742, 1000)], fill=(48, 40, 28))
    return image


PHOTOS: dict[str, Callable[[], Image.Image]] = {"ring-gear": ring_gear, "contact": contact, "seal": seal}


def draw_all(folder: Path = FOLDER) -> None:
    """Draw every photo, as little sharp as a hand holds a camera."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, draw in PHOTOS.items():
        draw().filter(ImageFilter.GaussianBlur(2.2)).save(folder / f"{name}.jpg", quality=82, optimize=True)


if __name__ == "__main__":
    draw_all()
