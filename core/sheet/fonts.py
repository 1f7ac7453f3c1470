"""The sheet's one typeface: Roboto, in five faces, embedded in every document.

The faces come from the package ``font_roboto`` (Apache-2.0). They carry Latin, Greek and Cyrillic; what they do
not carry, `core.sheet.text` prints as a code point, so that nothing turns into an empty box unnoticed.
"""

from __future__ import annotations

from functools import cache
from importlib.resources import as_file, files
from threading import Lock

from reportlab import rl_config
from reportlab.graphics import shapes
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

REGULAR = "Roboto"
BOLD = "Roboto-Bold"
ITALIC = "Roboto-Italic"
BOLD_ITALIC = "Roboto-BoldItalic"
MEDIUM = "Roboto-Medium"

_FILES = {
    REGULAR: "Roboto-Regular.ttf",
    BOLD: "Roboto-Bold.ttf",
    ITALIC: "Roboto-Italic.ttf",
    BOLD_ITALIC: "Roboto-BoldItalic.ttf",
    MEDIUM: "Roboto-Medium.ttf",
}

# The window draws figures while a worker thread writes a sheet: both may be first to need the faces.
_lock = Lock()


@cache
def _load() -> frozenset[int]:
    shown: list[set[int]] = []
    for name, file_name in _FILES.items():
        with as_file(files("font_roboto") / "files" / file_name) as path:
            font = TTFont(name, str(path))
        pdfmetrics.registerFont(font)
        shown.append(set(font.face.charToGlyph))
    pdfmetrics.registerFontFamily(REGULAR, normal=REGULAR, bold=BOLD, italic=ITALIC, boldItalic=BOLD_ITALIC)
    # Otherwise pages and drawings would name base fonts that are not embedded.
    rl_config.canvas_basefontname = REGULAR
    shapes.STATE_DEFAULTS["fontName"] = REGULAR
    return frozenset(set.intersection(*shown))


def install_fonts() -> frozenset[int]:
    """Register the five faces once.

    Returns
    -------
    frozenset of int
        The code points that every face can show.
    """
    with _lock:
        return _load()


def width_pt(text: str, face: str, size_pt: float) -> float:
    """Return how wide a line of text runs [pt] in one of the five faces."""
    install_fonts()
    return float(pdfmetrics.stringWidth(text, face, size_pt))
