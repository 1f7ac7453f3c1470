"""A machine that cannot show a window gets a sentence and the line that mends it, never a core dump."""

from __future__ import annotations

import pytest

from app import platform


def test_apt_line_names_every_listed_package() -> None:
    line = platform.apt_line()
    assert line.startswith("sudo apt-get install -y ")
    assert {"libxcb-cursor0", "libegl1", "libxcb-icccm4"} <= set(line.split())


def test_missing_libraries_are_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(platform, "_can_load", lambda name: name != "libxcb-cursor.so.0")
    monkeypatch.setenv("QT_QPA_PLATFORM", "xcb")
    assert platform.missing_libraries() == ["libxcb-cursor.so.0"]
    monkeypatch.setenv("QT_QPA_PLATFORM", "offscreen")
    assert platform.missing_libraries() == []


def test_a_library_that_is_not_there_is_found_out() -> None:
    assert not platform._can_load("libno-such-thing-anywhere.so.9")


@pytest.mark.parametrize("display", ["", ":4711"])
def test_no_display_and_a_stale_one_are_both_none(monkeypatch: pytest.MonkeyPatch, display: str) -> None:
    monkeypatch.delenv("WAYLAND_DISPLAY", raising=False)
    monkeypatch.setenv("QT_QPA_PLATFORM", "")
    monkeypatch.setenv("DISPLAY", display)
    assert not platform.has_display()


def test_wayland_counts_as_a_display(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("QT_QPA_PLATFORM", "")
    monkeypatch.setenv("WAYLAND_DISPLAY", "wayland-0")
    assert platform.has_display()
