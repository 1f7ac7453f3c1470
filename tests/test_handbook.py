"""DEVELOPERS.md and README.md name what is there: every path, every package, and no line is too wide to read."""

from __future__ import annotations

import re
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

ROOT = Path(__file__).parents[1]
HANDBOOK = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
README = (ROOT / "README.md").read_text(encoding="utf-8")
TOUR = HANDBOOK.split("```")[1]
OURS = ("core", "app", "migrations", "assets", "tests", ".ci")
SPAN = re.compile(r"`([^`\n]+)`")
PATH = re.compile(r"[\w.*<>/-]*(?:/[\w.*<>-]*|\.(?:py|json|sql|txt|md))$")
DOTTED = re.compile(r"[a-z_]+(?:\.\w+)+")


def words_of_tour() -> Iterator[str]:
    """Every path of the tour, written out: a second name of a line lies where its first does."""
    for line in TOUR.splitlines():
        left, right = (line[:30], line[30:]) if line[29:30] in ("", " ") else (line, "")
        names = [name.strip() for name in left.split(",") if name.strip()]
        folder = names[0].rstrip("/").rpartition("/")[0] if names else ""
        yield from names[:1]
        yield from (f"{folder}/{name}" for name in names[1:])
        yield from (word for word in re.findall(r"[\w./*-]+", right) if word.endswith((".py", "/")) and word != "/")


def words_of_text() -> Iterator[str]:
    for span in SPAN.findall(HANDBOOK.replace(TOUR, "")):
        yield from (word for word in span.split() if PATH.match(word) and not word.startswith((".venv/", "/")))


def is_there(name: str) -> bool:
    """Tell whether a path is there, from the root, within core, app or the tests, or as a file's own name."""
    pattern = re.sub(r"<\w+>|000N", "*", name.rstrip("/"))
    folders = (ROOT, ROOT / "core", ROOT / "app", ROOT / "tests")
    if any(True for folder in folders for _ in folder.glob(pattern)):
        return True
    return "/" not in pattern and any(True for top in OURS for _ in (ROOT / top).rglob(pattern))


@pytest.mark.parametrize("name", sorted({*words_of_tour(), *words_of_text()}))
def test_what_is_named_is_there(name: str) -> None:
    assert is_there(name)


def test_what_is_not_there_would_be_found() -> None:
    assert {"core/facts.py", "app/people/", "core/mechanics/contact/"} <= set(words_of_tour())
    assert {"app/bench/print_desk.py", "sense.py", "core/calculations/<subject>.py"} <= set(words_of_text())
    assert not any(is_there(name) for name in ("core/fact.py", "app/bench/nothing.py", "tests/nothing/", "no_such.py"))


def test_the_tour_names_every_package_and_module_at_the_top() -> None:
    named = {path for word in words_of_tour() for path in ROOT.glob(word.rstrip("/"))}
    packages = {init.parent for top in ("core", "app") for init in (ROOT / top).glob("*/__init__.py")}
    modules = {path for top in ("core", "app") for path in (ROOT / top).glob("*.py") if path.stem != "__init__"}
    assert {str(path.relative_to(ROOT)) for path in (packages | modules) - named} == set()


def can_be_reached(name: str) -> bool:
    """Tell whether a dotted name leads somewhere; one of ours may leave out where in core it lies."""
    first, *rest = name.split(".")
    homes = [*(ROOT / "core").glob(first), *(ROOT / "core").rglob(f"{first}.py")] if first not in OURS else []
    starts = [home.relative_to(ROOT).with_suffix("").parts for home in homes] or [(first,)]
    return any(leads_on(".".join(start), rest) for start in starts)


def leads_on(module: str, rest: list[str]) -> bool:
    found: Any = import_module(module)
    for part in rest:
        if isinstance(found, ModuleType) and not hasattr(found, part):
            try:
                found = import_module(f"{found.__name__}.{part}")
            except ModuleNotFoundError:
                return False
        elif not hasattr(found, part):
            return False
        else:
            found = getattr(found, part)
    return True


def dotted_names() -> set[str]:
    names = {name for name in SPAN.findall(HANDBOOK) if DOTTED.fullmatch(name)}
    return {name for name in names if Path(name).suffix not in (".py", ".json", ".md", ".txt")}


@pytest.mark.parametrize("name", sorted(dotted_names()))
def test_a_dotted_name_can_be_reached(name: str) -> None:
    assert can_be_reached(name)


def test_a_dotted_name_that_leads_nowhere_would_be_found() -> None:
    assert "core.language.tr" in dotted_names()
    assert not any(map(can_be_reached, ("core.language.nothing", "stages.nothing", "outline.nothing")))


@pytest.mark.parametrize("text", [HANDBOOK, README], ids=["DEVELOPERS.md", "README.md"])
def test_no_line_is_too_wide_to_read(text: str) -> None:
    # A row of a table and a command stay in one line.
    assert [line for line in text.splitlines() if len(line) > 120 and not line.startswith(("|", "    "))] == []
