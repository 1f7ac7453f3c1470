"""Widgets that leave something for their subclasses to say."""

from __future__ import annotations

from abc import ABCMeta
from typing import Any

from PySide6.QtWidgets import QWidget


class AbstractWidget(ABCMeta, type(QWidget)):  # type: ignore[misc]
    """The metaclass of widgets with abstract methods.

    Qt's classes have a metaclass of their own and make their objects past Python's check, so it is made here: what
    leaves out a method that all of its kind must have is refused when it is to be made.
    """

    def __call__(cls, *args: Any, **kwargs: Any) -> Any:
        if cls.__abstractmethods__:
            raise TypeError(f"{cls.__name__} does not say how to: {', '.join(sorted(cls.__abstractmethods__))}")
        return super().__call__(*args, **kwargs)
