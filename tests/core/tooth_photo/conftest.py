"""Rendered photos the tests share; each is drawn once."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from io import BytesIO
from typing import Any

import pytest
from PIL import Image
from tooth_renderer import Print, Rendered, Scene, random_scene, render

CLEAN = Scene(size=(800, 600), prints=(Print(along=0.38, depth=0.56, turn_deg=6.0),), bow=0.0, oil=0, glare=0)


@cache
def _drawn(scene: Scene) -> Rendered:
    return render(scene)


@pytest.fixture(scope="session")
def clean() -> Rendered:
    """Return an easy photo: yellow compound displaced a little toward the toe, nothing in the way."""
    return _drawn(CLEAN)


@pytest.fixture(scope="session")
def dozen() -> list[tuple[Scene, Rendered]]:
    """Return twelve photos as a workshop makes them."""
    scenes = [random_scene(seed) for seed in range(60, 72)]
    return [(scene, _drawn(scene)) for scene in scenes]


@pytest.fixture(scope="session")
def photo() -> Callable[..., bytes]:
    """Return what encodes a picture as the logbook keeps it."""

    def encode(image: Image.Image, kind: str = "JPEG", **options: Any) -> bytes:
        out = BytesIO()
        image.save(out, kind, **({"quality": 92} | options if kind == "JPEG" else options))
        return out.getvalue()

    return encode
