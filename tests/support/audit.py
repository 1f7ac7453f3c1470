"""What every page must pass: each control has a name of its own, Tab goes as the eye does, nothing is cut off."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from PySide6.QtCore import QPoint, QRect, Qt
from PySide6.QtGui import QAccessible
from PySide6.QtWidgets import QAbstractButton, QGroupBox, QLabel, QWidget


def focusables(page: QWidget) -> list[QWidget]:
    """Return the controls of a page that a person can reach now, by Tab or by pointer."""
    return [
        widget
        for widget in page.findChildren(QWidget)
        if widget.focusPolicy() != Qt.FocusPolicy.NoFocus
        and widget.isVisibleTo(page)
        and widget.isEnabled()
        # A scroll area's viewport hands its focus on.
        and widget.objectName() != "qt_scrollarea_viewport"
    ]


def name_of(widget: QWidget) -> str:
    """Return what a screen reader would call a widget."""
    QAccessible.setActive(True)
    interface = QAccessible.queryAccessibleInterface(widget)
    return "" if interface is None else interface.text(QAccessible.Text.Name)


def _titles_above(widget: QWidget) -> list[str]:
    titles: list[str] = []
    above = widget.parentWidget()
    while above is not None:
        if isinstance(above, QGroupBox):
            titles.append(above.title())
        titles.append(above.windowTitle())
        above = above.parentWidget()
    return [title for title in titles if title]


def assert_accessible(page: QWidget) -> None:
    """Every control has a name, no two have the same, and none is only called what its group is called."""
    seen: dict[str, QWidget] = {}
    for widget in focusables(page):
        name = name_of(widget).strip()
        assert name, f"{widget} has no accessible name"
        assert name not in seen, f"{widget} and {seen[name]} are both called {name!r}"
        assert name not in _titles_above(widget), f"{widget} is only called what its group is called: {name!r}"
        seen[name] = widget


def tab_chain(page: QWidget) -> list[QWidget]:
    """Return the stops of the Tab key on a page, in their order, beginning with the page's first."""
    stops = [
        widget
        for widget in focusables(page)
        if widget.focusPolicy() & Qt.FocusPolicy.TabFocus and widget.focusProxy() is None
    ]
    chain: list[QWidget] = []
    widget = page.nextInFocusChain()
    while widget is not None and widget is not page:
        if widget in stops:
            chain.append(widget)
        widget = widget.nextInFocusChain()
    assert len(chain) == len(stops), "a control is not in the chain of the Tab key"
    return chain


def _place(widget: QWidget, region: QWidget) -> QRect:
    return QRect(widget.mapTo(region, QPoint(0, 0)), widget.size())


def _comes_after(before: QRect, after: QRect) -> bool:
    share_a_row = after.top() < before.center().y() and before.top() < after.center().y()
    return after.left() > before.left() if share_a_row else after.top() > before.top()


def assert_visual_order(page: QWidget, regions: Sequence[QWidget] = ()) -> None:
    """Tab goes from region to region as they are given, and within each row by row as one reads."""
    parts = [*regions] or [page]
    placed = []
    for widget in tab_chain(page):
        at = next((i for i, part in enumerate(parts) if part.isAncestorOf(widget)), None)
        assert at is not None, f"{name_of(widget)!r} is in none of the regions"
        placed.append((at, _place(widget, parts[at]), name_of(widget)))
    for (one_at, one, one_name), (other_at, other, other_name) in pairwise(placed):
        if one_at == other_at:
            assert _comes_after(one, other), f"Tab goes from {one_name!r} back to {other_name!r}"
        else:
            assert other_at > one_at, f"Tab goes from {one_name!r} back to {other_name!r}"


def assert_nothing_cut_off(page: QWidget) -> None:
    """Every visible text has the room it needs."""
    for widget in page.findChildren(QLabel) + page.findChildren(QAbstractButton):
        if not widget.isVisibleTo(page) or not widget.text():
            continue
        needed = widget.heightForWidth(widget.width()) if widget.hasHeightForWidth() else widget.sizeHint().height()
        assert widget.height() >= needed - 1, f"{widget.text()!r} is cut off: {widget.height()} of {needed} px high"
        if not widget.hasHeightForWidth():
            wide = widget.sizeHint().width()
            assert widget.width() >= wide - 1, f"{widget.text()!r} is cut off: {widget.width()} of {wide} px wide"
        inside = widget.parentWidget().rect().adjusted(-1, -1, 1, 1)
        assert inside.contains(widget.geometry()), f"{widget.text()!r} sticks out of {widget.parentWidget()}"


def visible_texts(page: QWidget) -> list[str]:
    """Return the words a person sees on labels and buttons."""
    widgets = page.findChildren(QLabel) + page.findChildren(QAbstractButton)
    return [widget.text() for widget in widgets if widget.isVisibleTo(page) and widget.text().strip()]
