"""The worked examples in the docstrings are run as tests, on the package that is installed."""

from __future__ import annotations

import doctest
import importlib
import pkgutil

import pytest

import core

MODULES = [module.name for module in pkgutil.walk_packages(core.__path__, "core.")]


@pytest.mark.parametrize("name", MODULES)
def test_examples_hold(name: str) -> None:
    failed, _ = doctest.testmod(importlib.import_module(name), optionflags=doctest.NORMALIZE_WHITESPACE)
    assert failed == 0


def test_there_are_examples_at_all() -> None:
    finder = doctest.DocTestFinder(exclude_empty=True)
    tests = [test for name in MODULES for test in finder.find(importlib.import_module(name)) if test.examples]
    assert len(tests) > 40
