"""The one style sheet, written from a theme's colours and measures; it names no colour of its own."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from app.theme import Colours

# What a text is, and its type step at the desk; the bench reads from two metres away and is one step up.
_ROLES = {
    "small": 0,
    "quiet": 0,
    "body": 1,
    "strong": 1,
    "heading": 2,
    "title": 3,
    "sentence": 2,
    "number": 2,
    "armed": 4,
    "refusal": 1,
}
_QUIET_ROLES = ("quiet", "small")
_STRONG_ROLES = ("heading", "title", "strong")


def style_sheet(colours: Colours, px: Callable[[float], int], steps: Sequence[int]) -> str:
    """Return the style sheet for one scheme at one text size."""
    parts = (_ground(colours, px), _type(px, steps), _colours_of_roles(colours), _buttons(colours, px))
    return "\n".join((*parts, _editors(colours, px), _armed(colours, px), _rest(colours, px)))


def _ground(c: Colours, px: Callable[[float], int]) -> str:
    return f"""
    QWidget {{ color: {c.ink}; }}
    QMainWindow, QScrollArea, QScrollArea > QWidget > QWidget, QWidget[role="page"] {{ background: {c.ground}; }}
    QScrollArea {{ border: none; }}
    QScrollArea[role="reading"] {{ border-left: 3px solid transparent; }}
    QScrollArea[role="reading"]:focus {{ border-left: 3px solid {c.accent}; }}
    QToolTip {{ color: {c.ink}; background: {c.raised}; border: 1px solid {c.quiet}; padding: {px(4)}px; }}
    QLabel {{ background: transparent; }}
    """


def _type(px: Callable[[float], int], steps: Sequence[int]) -> str:
    bench = 'QWidget[bench="true"]'
    plain = ", ".join(f"{bench} {kind}" for kind in ("QLabel", "QAbstractButton", "QLineEdit", "QPlainTextEdit"))
    rules = [f"{plain} {{ font-size: {px(steps[2])}px; }}"]
    for role, step in _ROLES.items():
        weight = "500" if role in _STRONG_ROLES else "400"
        up = min(step + 1, len(steps) - 1)
        # Named by kind of widget: rules for any widget at all are tried on each of the hundreds on a page.
        for kind in ("QLabel", "QLineEdit") if role == "number" else ("QLabel",):
            which = f'{kind}[role="{role}"]'
            rules.append(f"{which} {{ font-size: {px(steps[step])}px; font-weight: {weight}; }}")
            rules.append(f"{bench} {which} {{ font-size: {px(steps[up])}px; font-weight: {weight}; }}")
    return "\n".join(rules)


def _colours_of_roles(c: Colours) -> str:
    rules = [f'QLabel[role="{role}"] {{ color: {c.quiet}; }}' for role in _QUIET_ROLES]
    rules += [
        f'QLabel[role="refusal"] {{ color: {c.does_not_conform}; }}',
        f'QLabel[tone="quiet"] {{ color: {c.quiet}; }}',
        f'QLabel[tone="conforms"] {{ color: {c.conforms}; }}',
        f'QLabel[tone="does_not_conform"] {{ color: {c.does_not_conform}; }}',
        f'QLabel[tone="uncertain"] {{ color: {c.uncertain}; }}',
        f'QLabel[tone="missing"] {{ color: {c.quiet}; }}',
    ]
    return "\n".join(rules)


def _buttons(c: Colours, px: Callable[[float], int]) -> str:
    box = f"border: 1px solid {c.quiet}; border-radius: 2px; padding: {px(6)}px {px(12)}px;"
    return f"""
    QPushButton, QToolButton {{ color: {c.ink}; background: {c.raised}; {box} }}
    QPushButton:hover, QToolButton:hover {{ background: {c.sunk}; }}
    QPushButton:pressed, QToolButton:pressed {{ background: {c.line}; }}
    QPushButton:focus, QToolButton:focus {{ border: 2px solid {c.accent};
        padding: {px(6) - 1}px {px(12) - 1}px; }}
    QPushButton:checked[role="board"] {{ color: {c.ground}; background: {c.accent}; border: 1px solid {c.accent}; }}
    QPushButton:disabled, QToolButton:disabled {{ color: {c.quiet}; background: {c.ground};
        border: 1px dashed {c.quiet}; }}
    QPushButton[role="board"] {{ min-height: {px(32)}px; }}
    QPushButton[role="plain"] {{ color: {c.accent}; background: transparent; border: 1px solid transparent;
        padding: {px(6)}px 2px; text-align: left; }}
    QPushButton[role="plain"]:hover {{ background: {c.sunk}; }}
    QPushButton[role="plain"]:disabled {{ color: {c.quiet}; }}
    QPushButton[role="plain"]:focus {{ border: 2px solid {c.accent}; padding: {px(6) - 1}px 1px; }}
    QPushButton[role="main"] {{ color: {c.ground}; background: {c.accent}; border: 1px solid {c.accent}; }}
    QPushButton[role="main"]:focus {{ border: 2px solid {c.ink}; padding: {px(6) - 1}px {px(12) - 1}px; }}
    QPushButton[role="main"]:disabled {{ color: {c.quiet}; background: {c.ground}; border: 1px dashed {c.quiet}; }}
    QRadioButton {{ color: {c.ink}; background: {c.raised}; {box} padding: {px(5)}px {px(8)}px; spacing: 0px; }}
    QRadioButton::indicator {{ width: 0px; height: 0px; image: none; border: none; background: transparent; }}
    QRadioButton:hover {{ background: {c.sunk}; }}
    QRadioButton:checked {{ color: {c.ground}; background: {c.accent}; border: 1px solid {c.accent}; }}
    QRadioButton:focus {{ border: 2px solid {c.accent}; padding: {px(5) - 1}px {px(8) - 1}px; }}
    QRadioButton:checked:focus {{ border: 2px solid {c.ink}; }}
    QRadioButton:disabled {{ color: {c.quiet}; border: 1px dashed {c.quiet}; }}
    QRadioButton:checked:disabled {{ color: {c.ground}; background: {c.quiet}; }}
    """


def _editors(c: Colours, px: Callable[[float], int]) -> str:
    return f"""
    QLineEdit, QPlainTextEdit {{ color: {c.ink}; background: {c.sunk}; border: none; border-radius: 2px;
        border-bottom: 1px solid {c.quiet}; padding: {px(4)}px {px(8)}px;
        selection-background-color: {c.accent}; selection-color: {c.ground}; }}
    QLineEdit:focus, QPlainTextEdit:focus {{ background: {c.raised}; border-bottom: 2px solid {c.accent};
        padding-bottom: {max(px(4) - 1, 0)}px; }}
    """


def _armed(c: Colours, px: Callable[[float], int]) -> str:
    """Calm fields are paper: what is written stands free; only the armed one has an edge."""
    plain = "QFrame#entry_field"
    return f"""
    {plain} {{ background: transparent; border: none; border-left: 3px solid transparent; }}
    {plain}[is_armed="true"] {{ background: {c.raised}; border-left: 3px solid {c.accent}; }}
    {plain}[is_refused="true"] {{ border-left: 3px solid {c.does_not_conform}; }}
    {plain}[is_saved="true"][is_armed="false"] QLineEdit, {plain}[is_saved="true"][is_armed="false"] QPlainTextEdit {{
        background: transparent; border-bottom: 1px solid transparent; }}
    {plain}[is_armed="true"] QLineEdit[role="number"] {{ font-size: {px(44)}px; }}
    """


def _rest(c: Colours, px: Callable[[float], int]) -> str:
    return f"""
    QFrame[role="rule"] {{ background: {c.line}; border: none; }}
    QWidget[role="band"] {{ background: {c.sunk}; }}
    QPushButton[role="stage"] {{ background: transparent; border: none; border-bottom: 3px solid transparent;
        border-radius: 0px; padding: {px(6)}px {px(12)}px; color: {c.quiet}; }}
    QPushButton[role="stage"]:hover {{ background: {c.sunk}; }}
    QPushButton[role="stage"]:checked {{ color: {c.ink}; border-bottom: 3px solid {c.accent}; }}
    QPushButton[role="stage"]:focus {{ border: 2px solid {c.accent}; border-bottom: 3px solid {c.accent};
        padding: {px(6) - 2}px {px(12) - 2}px {px(6)}px {px(12) - 2}px; }}
    QMenuBar QPushButton[role="plain"] {{ padding: 1px {px(16)}px; }}
    QMenuBar QPushButton[role="plain"]:focus {{ padding: 0px {px(16) - 1}px; }}
    QMenu {{ background: {c.raised}; color: {c.ink}; border: 1px solid {c.quiet}; padding: {px(2)}px 0px; }}
    QMenu::item {{ padding: {px(5)}px {px(24)}px; }}
    QMenu::item:selected {{ background: {c.accent}; color: {c.ground}; }}
    QMenu::item:disabled {{ color: {c.quiet}; }}
    QMenu::separator {{ height: 1px; background: {c.line}; margin: {px(4)}px 0px; }}
    QTableView {{ background: {c.ground}; border: none; gridline-color: {c.line};
        selection-background-color: {c.sunk}; selection-color: {c.ink}; }}
    QTableView::item {{ border-bottom: 1px solid {c.line}; padding: 0px {px(8)}px; }}
    QTableView::item:selected {{ background: {c.sunk}; color: {c.ink}; }}
    QTableView::item:selected:focus {{ background: {c.accent}; color: {c.ground}; }}
    QHeaderView::section {{ background: {c.ground}; color: {c.quiet}; border: none;
        border-bottom: 1px solid {c.quiet}; padding: {px(4)}px {px(8)}px; }}
    QScrollBar:vertical {{ background: {c.ground}; width: {px(12)}px; margin: 0px; }}
    QScrollBar:horizontal {{ background: {c.ground}; height: {px(12)}px; margin: 0px; }}
    QScrollBar::handle:hover {{ background: {c.quiet}; }}
    QScrollBar::handle {{ background: {c.line}; border-radius: 2px; min-height: {px(32)}px; min-width: {px(32)}px;
        margin: {px(3)}px; }}
    QScrollBar::add-line, QScrollBar::sub-line {{ width: 0px; height: 0px; }}
    QScrollBar::add-page, QScrollBar::sub-page {{ background: transparent; }}
    QSlider {{ min-height: {px(32)}px; border: 2px solid transparent; border-radius: 2px; }}
    QSlider:focus {{ border: 2px solid {c.accent}; }}
    QSlider::groove:horizontal {{ background: {c.quiet}; height: 2px; }}
    QSlider::handle:horizontal {{ background: {c.accent}; border-radius: 2px; width: {px(16)}px;
        margin: -{px(11)}px 0px; }}
    QSlider::handle:horizontal:disabled {{ background: {c.quiet}; }}
    QCheckBox {{ spacing: {px(8)}px; padding: {px(4)}px; border: 2px solid transparent; }}
    QCheckBox:focus {{ border: 2px solid {c.accent}; }}
    QCheckBox::indicator {{ width: {px(14)}px; height: {px(14)}px; border: 1px solid {c.quiet};
        background: {c.raised}; }}
    QCheckBox::indicator:checked {{ border: 1px solid {c.accent}; background: {c.accent}; }}
    """
