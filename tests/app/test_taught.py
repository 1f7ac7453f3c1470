"""The section on what jobs have taught: rows and sentences of the chosen family, gone through by keyboard."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from audit import assert_accessible, assert_nothing_cut_off, tab_chain, visible_texts
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app import theme
from app.jobs.rows import RowsModel, RowsView
from app.owner.taught import SCORE_COLUMNS, START_COLUMNS, TAUGHT_COLUMNS, TaughtSection
from core.advice.record_words import bound_sentence, score_rows, score_sentences, start_rows, taught_rows
from core.demo import LOGBOOK_NAME
from core.errors import NotFoundError
from core.records import open_logbook
from core.workshop import Workshop


def at_once(work: Callable[[], Any], done: Callable[[Any], None]) -> None:
    done(work())


@pytest.fixture(scope="module")
def demo(told_demo: Path) -> Iterator[Workshop]:
    workshop = Workshop(open_logbook(told_demo / LOGBOOK_NAME))
    yield workshop
    workshop.close()


@pytest.fixture
def show(qtbot: Any) -> Iterator[Callable[..., TaughtSection]]:
    theme.apply(QApplication.instance(), "light")

    def made(workshop: Any) -> TaughtSection:
        section = TaughtSection(workshop, at_once)
        section.resize(1300, 700)
        qtbot.addWidget(section)
        with qtbot.waitExposed(section):
            section.show()
        section.activateWindow()
        section.refresh()
        # Tables and labels come to stand with the next turn of the events.
        QApplication.processEvents()
        return section

    yield made
    theme.apply(QApplication.instance(), "light")


@pytest.fixture
def section(show: Callable[..., TaughtSection], demo: Workshop) -> TaughtSection:
    return show(demo)


def choose(section: TaughtSection, family: str) -> None:
    section.form.fields["family"]._buttons[family].click()
    QApplication.processEvents()


def cells(view: RowsView) -> list[list[str]]:
    model = view.rows_model
    return [
        [str(model.index(row, column).data()) for column in range(model.columnCount())]
        for row in range(model.rowCount())
    ]


@pytest.mark.parametrize("family", ["Kelda 3", "Orrin B", "Vask T"])
def test_it_shows_what_the_family_has_taught(section: TaughtSection, demo: Workshop, family: str) -> None:
    choose(section, family)
    record = demo.family_record(family)
    assert section.shown == record
    assert cells(section.taught) == [[r.what, r.usual, r.scatter, r.jobs] for r in taught_rows(record, "metric")]
    assert cells(section.starts) == [[r.what, r.known, r.chance] for r in start_rows(record, "metric")]
    rows = score_rows(record)
    assert section.scores.isVisible() == section.counts.isVisible() == bool(rows)
    assert cells(section.scores) == [[r.stage, r.stated, r.trials, r.mean, r.share] for r in rows]
    texts = visible_texts(section)
    assert bound_sentence(record, "metric") in texts
    assert "\n".join(score_sentences(record)) in texts


@pytest.mark.parametrize("columns", [TAUGHT_COLUMNS, START_COLUMNS, SCORE_COLUMNS], ids=range(3))
def test_the_models_are_sound_tables(qtmodeltester: Any, section: TaughtSection, columns: Any) -> None:
    choose(section, "Orrin B")
    views = {TAUGHT_COLUMNS: section.taught, START_COLUMNS: section.starts, SCORE_COLUMNS: section.scores}
    model = RowsModel(columns)
    model.show_rows(views[columns].rows_model.rows)
    qtmodeltester.check(model, force_py=True)


def test_it_is_gone_through_by_keyboard_alone(section: TaughtSection) -> None:
    section.form.fields["family"].setFocus(Qt.FocusReason.TabFocusReason)
    QTest.keyClick(section.window().focusWidget(), Qt.Key.Key_Right)
    assert section.shown is not None
    assert section.shown.family == "Orrin B"
    QTest.keyClick(section.window().focusWidget(), Qt.Key.Key_Return)
    assert section.window().focusWidget() is section.taught
    QTest.keyClick(section.taught, Qt.Key.Key_Down)
    assert section.taught.current().what == "Ring sum at no clearance"
    chain = [widget for widget in tab_chain(section) if isinstance(widget, RowsView)]
    assert chain[:2] == [section.taught, section.starts]


def test_the_chosen_family_stays_chosen(section: TaughtSection) -> None:
    choose(section, "Vask T")
    section.refresh()
    assert section.shown is not None
    assert section.shown.family == section.form.values()["family"] == "Vask T"


@pytest.mark.parametrize("scale", [100, 150, 200])
@pytest.mark.parametrize("scheme", ["light", "dark", "contrast"])
def test_it_can_be_read(section: TaughtSection, qtbot: Any, scheme: str, scale: int) -> None:
    theme.apply(QApplication.instance(), scheme, scale)
    section.theme_changed()
    choose(section, "Orrin B")
    qtbot.wait(20)
    assert_accessible(section)
    assert_nothing_cut_off(section)
    for view in (section.taught, section.starts):
        assert view.verticalScrollBar().maximum() == 0, "all rows are in sight"


def test_a_job_reopened_that_very_moment_is_no_fault(
    show: Callable[..., TaughtSection], demo: Workshop, monkeypatch: pytest.MonkeyPatch
) -> None:
    def gone(*_: Any) -> None:
        raise NotFoundError("No job of Kelda 3 is signed yet.", "Sign one.")

    monkeypatch.setattr(demo, "family_record", gone, raising=False)
    section = show(demo)
    assert section.shown is None
    assert not section.taught.rows_model.rows


def test_an_empty_shop_says_so(show: Callable[..., TaughtSection], empty_workshop: Any) -> None:
    section = show(empty_workshop)
    assert visible_texts(section) == ["No job is signed yet; the first one teaches the family most."]
