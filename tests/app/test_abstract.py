"""A field or helper that leaves out what every one of its kind must say cannot be made."""

from __future__ import annotations

import pytest
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from app.jobs.form import Field, TextField
from app.widgets.entry_field import Helper


class HalfAField(Field):
    """Says what is in it, and not how it is filled."""

    def value(self) -> str:
        return ""


class WholeHelper(Helper):
    """Says all a helper must."""

    def focusables(self) -> list[QWidget]:
        return []


def test_what_leaves_something_out_is_not_made(qtbot: QtBot) -> None:
    with pytest.raises(TypeError, match="Field does not say how to: put, value"):
        Field("name", "Name")  # type: ignore[abstract]
    with pytest.raises(TypeError, match="HalfAField does not say how to: put"):
        HalfAField("name", "Name")  # type: ignore[abstract]
    with pytest.raises(TypeError, match="Helper does not say how to: focusables"):
        Helper()  # type: ignore[abstract]


def test_what_says_all_of_it_is_a_widget_like_any_other(qtbot: QtBot) -> None:
    page = QWidget()
    qtbot.addWidget(page)
    field, helper = TextField("name", "Name"), WholeHelper(page)
    field.setParent(page)
    field.put("Wren")
    assert field.value() == "Wren"
    assert page.findChildren(Field) == [field]
    assert page.findChildren(Helper) == [helper]
