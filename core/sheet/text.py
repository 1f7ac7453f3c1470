"""The one place where text becomes paragraphs.

reportlab reads a paragraph's text as markup: an unescaped note could raise, lose words or embed a local file.
So everything that is printed goes through `clean` and `Typesetter`, and nothing else makes a Paragraph.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from xml.sax.saxutils import escape

from reportlab import rl_config
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Paragraph

from core.sheet.fonts import install_fonts, width_pt

# The second lock: should markup ever slip through, nothing is fetched and no file is opened.
rl_config.trustedHosts = None
rl_config.trustedSchemes = []

NO_BREAK_SPACE = "\N{NO-BREAK SPACE}"
ELLIPSIS = "…"
LONGEST_PIECE = 1500
"""Longer texts are set in pieces: laying one out again on each page costs time with the square of its length."""

_LINE_ENDS = re.compile(r"\r\n|[\r\n\v\f\x85\u2028\u2029]")
_MICRO_SIGN, _GREEK_MU = "\N{MICRO SIGN}", "\N{GREEK SMALL LETTER MU}"


@dataclass(frozen=True)
class Span:
    """A run of text with its own look inside a paragraph; empty fields keep the paragraph's."""

    text: str
    colour: str = ""
    face: str = ""
    size_pt: float = 0.0
    is_struck: bool = False
    is_raised: bool = False


def clean(text: str, missing: set[str] | None = None) -> str:
    r"""Return text that can be drawn with the sheet's faces, line by line.

    Line ends become ``\n``; controls and invisible format characters go; what the faces cannot show is written
    as its code point, ``[U+4E2D]``, and added to `missing`.

    Examples
    --------
    >>> clean("5 \u00b5m\x00, \u4e2d")
    '5 μm, [U+4E2D]'
    """
    shown = install_fonts()
    return "".join(_shown(character, shown, missing) for character in _LINE_ENDS.sub("\n", text))


def _shown(character: str, shown: frozenset[int], missing: set[str] | None) -> str:
    if character == "\n":
        return character
    if character == _MICRO_SIGN:  # one sign for micro, so that a search finds both
        return _GREEK_MU
    category = unicodedata.category(character)
    if character == "\t" or (category == "Zs" and character != NO_BREAK_SPACE):
        return " "
    if category in ("Cc", "Cf"):
        return ""
    if ord(character) in shown:
        return character
    code = f"U+{ord(character):04X}"
    if missing is not None:
        missing.add(code)
    return f"[{code}]"


def one_line(text: str, missing: set[str] | None = None) -> str:
    """Return `clean` text with its line ends and runs of spaces turned into single spaces."""
    return " ".join(clean(text, missing).split())


def shortened(text: str, most: int) -> str:
    """Return a text as one line of at most `most` characters; what was left out shows as an ellipsis."""
    line = " ".join(text.split())
    return line if len(line) <= most else line[: most - 1].rstrip() + ELLIPSIS


def fitted(text: str, face: str, size_pt: float, room_pt: float) -> str:
    """Return as much of a line as fits `room_pt`; what was left out shows as an ellipsis."""
    if width_pt(text, face, size_pt) <= room_pt:
        return text
    low, high = 0, len(text)
    while low < high:
        middle = (low + high + 1) // 2
        fits = width_pt(text[:middle] + ELLIPSIS, face, size_pt) <= room_pt
        low, high = (middle, high) if fits else (low, middle - 1)
    return text[:low] + ELLIPSIS


def pieces(text: str) -> Iterator[str]:
    """Yield a long text line by line, and lines beyond `LONGEST_PIECE` in parts, cut at a space where there is one."""
    for line in text.split("\n"):
        rest = line
        while len(rest) > LONGEST_PIECE:
            cut = rest.rfind(" ", LONGEST_PIECE // 2, LONGEST_PIECE)
            cut = LONGEST_PIECE if cut < 0 else cut
            yield rest[:cut]
            rest = rest[cut:].lstrip(" ")
        yield rest


class Typesetter:
    """Makes every paragraph of one sheet and remembers what its faces could not show.

    Attributes
    ----------
    missing : set of str
        Code points (``U+4E2D``) that were printed in place of characters.
    """

    def __init__(self) -> None:
        self.missing: set[str] = set()

    def paragraph(self, style: ParagraphStyle, *parts: str | Span) -> Paragraph:
        """Return one paragraph from plain text and spans; newlines break the line."""
        return Paragraph("".join(self._markup(part) for part in parts), style)

    def flow(self, style: ParagraphStyle, text: str) -> list[Paragraph]:
        """Return a text of any length as paragraphs that run on over pages."""
        return [Paragraph(_marked_up(piece) or NO_BREAK_SPACE, style) for piece in pieces(clean(text, self.missing))]

    def line(self, text: str) -> str:
        """Return a single clean line, for what is drawn rather than set: footers, titles, bookmarks."""
        return one_line(text, self.missing)

    def _markup(self, part: str | Span) -> str:
        span = part if isinstance(part, Span) else Span(part)
        text = _marked_up(clean(span.text, self.missing))
        attributes = (
            (f' color="{span.colour}"' if span.colour else "")
            + (f' name="{span.face}"' if span.face else "")
            + (f' size="{span.size_pt:g}"' if span.size_pt else "")
        )
        if attributes:
            text = f"<font{attributes}>{text}</font>"
        if span.is_struck:
            text = f"<strike>{text}</strike>"
        return f"<super>{text}</super>" if span.is_raised else text


def _marked_up(text: str) -> str:
    """Escape clean text, keep its runs of spaces and turn line ends into breaks."""
    spaced = re.sub(r"  |^ ", lambda run: NO_BREAK_SPACE + " " * (len(run[0]) - 1), text, flags=re.MULTILINE)
    return escape(spaced).replace("\n", "<br/>")
