"""What a bench remembers survives a restart, and nothing in it can keep the program from starting."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from app.settings import Settings, load


def test_kept_and_read_again(tmp_path: Path) -> None:
    path = tmp_path / "deep" / "settings.json"
    settings = Settings(person="Jory Pell", scheme="dark", text_scale=150, path=path)
    settings.remember_gauge("dial", 7)
    again = load(path)
    assert (again.person, again.scheme, again.text_scale, again.gauge_for("dial")) == ("Jory Pell", "dark", 150, 7)
    again.remember_gauge("dial", None)
    assert load(path).gauge_for("dial") is None


@pytest.mark.parametrize(
    "text",
    ["", "not json", "[1, 2]", '{"scheme": "mauve", "text_scale": 175}', '{"person": 5, "gauges": {"dial": "x"}}'],
)
def test_damaged_or_foreign_settings_fall_back(tmp_path: Path, text: str) -> None:
    path = tmp_path / "settings.json"
    path.write_text(text, encoding="utf-8")
    settings = load(path)
    assert settings == Settings(path=path)


def test_unknown_settings_of_a_newer_program_are_ignored(tmp_path: Path) -> None:
    path = tmp_path / "settings.json"
    path.write_text(json.dumps({"person": "Wren Hask", "hologram": True}), encoding="utf-8")
    assert load(path).person == "Wren Hask"


def test_a_folder_that_cannot_be_written_is_no_reason_to_stop(tmp_path: Path) -> None:
    blocker = tmp_path / "file"
    blocker.write_text("", encoding="utf-8")
    settings = Settings(path=blocker / "settings.json")
    settings.save()
    assert not (blocker / "settings.json").exists()
