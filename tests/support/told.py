"""The demo's jobs as scripts a test can type from."""

from __future__ import annotations

import json
from importlib.resources import files
from typing import Any

from core.stages import stage

Place = tuple[str, str, str, int]


def demo_data(name: str) -> Any:
    """Return one of the demo's JSON files."""
    return json.loads(files("assets").joinpath("demo", f"{name}.json").read_text(encoding="utf-8"))


def course(name: str) -> dict[Place, str]:
    """Return everything a course types, by (stage, entry, position, trial), in its order."""
    typed: dict[Place, str] = {}
    for block in demo_data("jobs")["courses"][name]:
        for key, told in block["read"].items():
            positions = stage(block["stage"]).entry(key).positions
            texts = told if isinstance(told, list) else [told]
            for position, text in zip(positions, texts, strict=False):
                typed[block["stage"], key, position.key, block.get("trial", 0)] = text
    return typed
