"""Whether this machine can show a window, asked before Qt is loaded: a missing library would abort without a word."""

from __future__ import annotations

import ctypes
import os
import sys
from importlib.resources import files

_DRAWING = ("libEGL.so.1", "libGL.so.1", "libfontconfig.so.1", "libfreetype.so.6", "libglib-2.0.so.0", "libdbus-1.so.3")
_DESKTOP = (
    "libxkbcommon.so.0",
    "libxkbcommon-x11.so.0",
    "libX11-xcb.so.1",
    "libxcb-cursor.so.0",
    "libxcb-icccm.so.4",
    "libxcb-image.so.0",
    "libxcb-keysyms.so.1",
    "libxcb-randr.so.0",
    "libxcb-render-util.so.0",
    "libxcb-render.so.0",
    "libxcb-shape.so.0",
    "libxcb-shm.so.0",
    "libxcb-sync.so.1",
    "libxcb-util.so.1",
    "libxcb-xfixes.so.0",
    "libxcb-xkb.so.1",
)


def missing_libraries() -> list[str]:
    """Return the system libraries Qt needs on Linux that are not there."""
    if not sys.platform.startswith("linux"):
        return []
    wanted = _DRAWING if _platform_is_chosen() else _DRAWING + _DESKTOP
    return [name for name in wanted if not _can_load(name)]


def apt_line() -> str:
    """Return the line that installs what is missing on Debian and Ubuntu."""
    packages = files("assets").joinpath("linux-packages.txt").read_text(encoding="utf-8").split()
    return "sudo apt-get install -y " + " ".join(packages)


def has_display() -> bool:
    """Tell whether a window can be shown at all."""
    if not sys.platform.startswith("linux") or _platform_is_chosen():
        return True
    if os.environ.get("WAYLAND_DISPLAY"):
        return True
    return bool(os.environ.get("DISPLAY")) and _x_server_answers()


def _platform_is_chosen() -> bool:
    """Tell whether somebody asked Qt for a platform without a desktop, as the tests do."""
    return os.environ.get("QT_QPA_PLATFORM", "").split(":")[0] in ("offscreen", "minimal", "vnc")


def _can_load(name: str) -> bool:
    try:
        ctypes.CDLL(name)
    except OSError:
        return False
    return True


def _x_server_answers() -> bool:
    """Try the X server the environment names; a stale DISPLAY would make Qt abort."""
    try:
        xcb = ctypes.CDLL("libxcb.so.1")
    except OSError:
        return False
    xcb.xcb_connect.restype = ctypes.c_void_p
    xcb.xcb_connect.argtypes = [ctypes.c_char_p, ctypes.c_void_p]
    xcb.xcb_connection_has_error.argtypes = [ctypes.c_void_p]
    xcb.xcb_disconnect.argtypes = [ctypes.c_void_p]
    connection = xcb.xcb_connect(None, None)
    answers = bool(xcb.xcb_connection_has_error(connection) == 0)
    xcb.xcb_disconnect(connection)
    return answers
