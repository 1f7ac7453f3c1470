"""How everything looks: colours, type steps and the one style sheet. No other file names a colour.

A clean bench, a good card, one lamp: the reading is the loudest thing, space stands where boxes would, and only the
armed field carries an edge. Verdicts are told by word and shape first, by colour last.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

import font_roboto
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QFont, QFontDatabase, QPalette
from PySide6.QtWidgets import QApplication, QWidget

from app.stylesheet import style_sheet
from core.verdict import Answer

if TYPE_CHECKING:
    from core.sheet.figures.palette import Palette

FAMILY = "Roboto"
STEPS = (12, 14, 17, 22, 30, 44)
"""Type steps in pixels at 100 % text size."""
GRID = 8
"""Everything is spaced in multiples of this many pixels."""


@dataclass(frozen=True)
class Colours:
    """One scheme, as ``#RRGGBB``: three grounds, the texts that stand on them, and lines."""

    ground: str
    raised: str
    sunk: str
    ink: str
    quiet: str
    accent: str
    conforms: str
    does_not_conform: str
    uncertain: str
    line: str

    @property
    def grounds(self) -> tuple[str, str, str]:
        """What text may stand on."""
        return self.ground, self.raised, self.sunk

    @property
    def texts(self) -> tuple[str, ...]:
        """What may be written in."""
        return self.ink, self.quiet, self.accent, self.conforms, self.does_not_conform, self.uncertain

    def of(self, answer: Answer) -> str:
        """Return the colour a verdict is written in."""
        return {
            Answer.CONFORMS: self.conforms,
            Answer.DOES_NOT_CONFORM: self.does_not_conform,
            Answer.UNCERTAIN: self.uncertain,
            Answer.MISSING: self.quiet,
        }[answer]


_BLACK, _WHITE = "#000000", "#FFFFFF"

SCHEMES: dict[str, Colours] = {
    "light": Colours(
        ground="#FBFAF7",
        raised="#FFFFFF",
        sunk="#F0EEE8",
        ink="#1D2428",
        quiet="#566268",
        accent="#0B5C6B",
        conforms="#1E6B3C",
        does_not_conform="#A3261B",
        uncertain="#7A5200",
        line="#D8D4CA",
    ),
    "dark": Colours(
        ground="#14191C",
        raised="#1C2327",
        sunk="#0E1214",
        ink="#E8ECEA",
        quiet="#A3AFB4",
        accent="#6CC3D0",
        conforms="#79C79A",
        does_not_conform="#F0897D",
        uncertain="#E3B35A",
        line="#323C41",
    ),
    # Verdicts by word and shape alone.
    "contrast": Colours(_BLACK, _BLACK, _BLACK, _WHITE, _WHITE, _WHITE, _WHITE, _WHITE, _WHITE, _WHITE),
}


@dataclass(frozen=True)
class Theme:
    """A scheme at a text size (100 is the size things were drawn for)."""

    scheme: str = "light"
    text_scale: int = 100

    @property
    def colours(self) -> Colours:
        """The colours of the scheme."""
        return SCHEMES[self.scheme]

    def px(self, pixels: float) -> int:
        """Return a measure at this text size."""
        return round(pixels * self.text_scale / 100)

    def figure_palette(self) -> Palette:
        """Return the colours figures are drawn in, as the sheet's figures want them."""
        # The figures bring reportlab with them; a window should show before that is loaded.
        from core.sheet.figures.palette import Palette

        c = self.colours
        return Palette(
            ground=c.ground,
            raised=c.raised,
            sunk=c.sunk,
            ink=c.ink,
            quiet=c.quiet,
            accent=c.accent,
            conforms=c.conforms,
            does_not_conform=c.does_not_conform,
            uncertain=c.uncertain,
        )


_current = Theme()


def current() -> Theme:
    """Return the theme in force."""
    return _current


def apply(app: QApplication, scheme: str, text_scale: int = 100) -> Theme:
    """Put a theme in force for every window; where it is already, nothing is done.

    Parameters
    ----------
    app : QApplication
        The running application.
    scheme : str
        ``light``, ``dark`` or ``contrast``.
    text_scale : int
        Text size in percent.
    """
    global _current
    theme = Theme(scheme, text_scale)
    is_styled = bool(app.property("is_styled"))
    # Putting it in force has every widget there is polished anew.
    if is_styled and theme == _current:
        return theme
    _current = theme
    _load_fonts()
    # Setting the style polishes every widget once more, and takes half a second: once is enough.
    if not is_styled:
        app.setStyle("Fusion")
        app.setProperty("is_styled", True)
    app.setFont(_body_font(theme))
    app.setPalette(_palette(theme.colours))
    app.setStyleSheet(style_sheet(theme.colours, theme.px, STEPS))
    return theme


def give_role(widget: QWidget, role: str) -> None:
    """Say what a widget is to the style sheet (``quiet``, ``heading``, ``number`` …)."""
    set_mark(widget, "role", role)


def set_mark(widget: QWidget, name: str, value: object) -> None:
    """Set a property the style sheet asks for, and have the widget drawn by it at once."""
    if widget.property(name) != value:
        widget.setProperty(name, value)
        restyle(widget)


def restyle(widget: QWidget) -> None:
    """Have a widget drawn by the properties it has now; one that was never shown yet will be anyway."""
    if widget.testAttribute(Qt.WidgetAttribute.WA_WState_Polished):
        widget.style().unpolish(widget)
        widget.style().polish(widget)
        widget.update()


def contrast(text: str, ground: str) -> float:
    """Return the contrast ratio of two colours.

    Source
    ------
    WCAG 2.1, definitions of contrast ratio and relative luminance.
    """
    light, dark = sorted((_luminance(text), _luminance(ground)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def _luminance(colour: str) -> float:
    channels = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


@cache
def _load_fonts() -> None:
    """Load the family, once, from the package: a machine without it must show the same page."""
    for name in ("Roboto", "RobotoItalic", "RobotoMedium", "RobotoBold"):
        QFontDatabase.addApplicationFont(getattr(font_roboto, name))


def _body_font(theme: Theme) -> QFont:
    font = QFont(FAMILY)
    font.setPixelSize(theme.px(STEPS[1]))
    if hasattr(font, "setFeature"):  # Qt 6.7 on; Roboto's plain digits are of one width anyway
        font.setFeature(QFont.Tag("tnum"), 1)
    return font


def _palette(colours: Colours) -> QPalette:
    palette = QPalette()
    role = QPalette.ColorRole
    for which, colour in (
        (role.Window, colours.ground),
        (role.WindowText, colours.ink),
        (role.Base, colours.raised),
        (role.AlternateBase, colours.sunk),
        (role.Text, colours.ink),
        (role.Button, colours.raised),
        (role.ButtonText, colours.ink),
        (role.BrightText, colours.ink),
        (role.PlaceholderText, colours.quiet),
        (role.Highlight, colours.accent),
        (role.HighlightedText, colours.ground),
        (role.Link, colours.accent),
        (role.ToolTipBase, colours.raised),
        (role.ToolTipText, colours.ink),
        (role.Light, colours.line),
        (role.Midlight, colours.line),
        (role.Mid, colours.line),
        (role.Dark, colours.quiet),
        (role.Shadow, colours.quiet),
    ):
        palette.setColor(which, QColor(colour))
    for which in (role.WindowText, role.Text, role.ButtonText):
        palette.setColor(QPalette.ColorGroup.Disabled, which, QColor(colours.quiet))
    return palette
