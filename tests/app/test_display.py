"""The installed command on a real X display: the window comes up, takes keys, and closes with exit code 0."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

pytestmark = [pytest.mark.long, pytest.mark.display]

DISPLAY = ":93"
PATIENCE_S = 240


@pytest.fixture
def display(tmp_path: Path) -> Iterator[dict[str, str]]:
    """Yield the environment of a desktop: an X server and a window manager."""
    for needed in ("Xvfb", "openbox", "xdotool"):
        if shutil.which(needed) is None:
            pytest.skip(f"needs {needed}")
    server = subprocess.Popen(["Xvfb", DISPLAY, "-screen", "0", "1600x1000x24"], stderr=subprocess.DEVNULL)
    environment = {**os.environ, "DISPLAY": DISPLAY, "QT_QPA_PLATFORM": "xcb"}
    environment.pop("WAYLAND_DISPLAY", None)
    waited(
        lambda: subprocess.run(["xdotool", "getdisplaygeometry"], env=environment, capture_output=True).returncode == 0
    )
    manager = subprocess.Popen(["openbox"], env=environment, stderr=subprocess.DEVNULL)
    yield environment
    for process in (manager, server):
        process.terminate()
        process.wait(10)


def waited(is_so: object) -> None:
    until = time.monotonic() + PATIENCE_S
    while time.monotonic() < until:
        if is_so():  # type: ignore[operator]
            return
        time.sleep(0.2)
    pytest.fail("it never came to be")


def command() -> list[str]:
    installed = Path(sys.executable).with_name("pinionbook")
    return [str(installed)] if installed.exists() else [sys.executable, "-m", "app"]


def test_the_demo_opens_takes_keys_and_closes(display: dict[str, str], tmp_path: Path) -> None:
    program = subprocess.Popen(
        [*command(), "demo", "--folder", str(tmp_path / "demo")],
        env=display,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )

    def windows() -> list[str]:
        found = subprocess.run(
            ["xdotool", "search", "--name", "Pinionbook – Ferrow Lane Driveline"],
            env=display,
            capture_output=True,
            text=True,
            check=False,
        )
        return found.stdout.split()

    try:
        waited(windows)
        window = windows()[0]
        subprocess.run(["xdotool", "windowactivate", "--sync", window], env=display, check=True)
        subprocess.run(["xdotool", "type", "--window", window, "K-1183"], env=display, check=True)
        subprocess.run(["xdotool", "key", "ctrl+q"], env=display, check=True)
        out, err = program.communicate(timeout=PATIENCE_S)
    finally:
        if program.poll() is None:
            program.send_signal(signal.SIGKILL)
            program.communicate()
    assert program.returncode == 0
    assert "build-sheet-2407.pdf" in out
    assert err == ""


def test_without_a_display_the_demo_prints_both_paths(tmp_path: Path) -> None:
    environment = {key: value for key, value in os.environ.items() if key not in ("DISPLAY", "WAYLAND_DISPLAY")}
    environment["QT_QPA_PLATFORM"] = ""
    done = subprocess.run(
        [*command(), "demo", "--folder", str(tmp_path / "demo")],
        env=environment,
        capture_output=True,
        text=True,
        timeout=180,
        check=False,
    )
    assert done.returncode == 0
    assert "no display" in done.stdout
    assert str(tmp_path / "demo" / "demo-logbook.db") in done.stdout
    assert str(tmp_path / "demo" / "build-sheet-2407.pdf") in done.stdout
