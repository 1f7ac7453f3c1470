"""Every word a person sees passes the one translation function: in a made-up language no English is left.

The made-up language puts each text between brackets. What stands outside brackets must be data (names, serials,
what was typed), a number or a unit.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from calculation_cases import CASES
from PySide6.QtCore import Qt
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QAbstractButton, QApplication, QLabel, QLineEdit, QTableView, QWidget
from pytestqt.qtbot import QtBot
from told import course
from tooth_renderer import Scene, render

from app import theme
from app.keeping.keeper import at_once
from app.keeping.way_back import WayBackPage
from app.owner.taught import TaughtSection
from app.settings import Settings
from app.window import Window
from core import language
from core.calculations import CALCULATIONS, calculation
from core.demo import LOGBOOK_NAME
from core.drafts import JobDraft
from core.mechanics.pattern import MANUALS
from core.practice import Level
from core.quantities import KINDS
from core.records import open_logbook
from core.shop_inputs import LimitText
from core.stages import STAGES
from core.workshop import Workshop

BRACKETED = re.compile(r"⟦[^⟦⟧]*⟧")
UNITS = sorted({unit.label for kind in KINDS.values() for unit in kind.units if unit.label}, key=len, reverse=True)
NO_WORDS = re.compile(r"[\d\s.,:;=+−–\-±%°()·/×&|#'\"“”…≤≥<>A-G]*")


def bracket(text: str) -> str:
    return f"⟦{text}⟧"


@pytest.fixture
def made_up_language() -> Iterator[None]:
    language.use_translation(bracket)
    yield
    language.use_translation(None)


@pytest.fixture
def window(workshop: Any, job: Any, qtbot: QtBot, tmp_path: Path) -> Iterator[Window]:
    for (stage, entry, position, trial), text in course("orrin").items():
        if stage in ("teardown", "housing_prep", "preload"):
            workshop.record(job.id, stage, entry, text, position=position, trial=trial, person="Jory Pell")
    language.use_translation(bracket)
    theme.apply(QApplication.instance(), "light")
    made = Window(workshop, Settings(person="Tam Ollerby", path=None))
    qtbot.addWidget(made)
    made.show()
    yield made
    made.close()
    language.use_translation(None)


def shown_texts(root: QWidget) -> Iterator[str]:
    for widget in root.findChildren(QWidget):
        if isinstance(widget, QLabel | QAbstractButton):
            yield widget.text()
        if isinstance(widget, QLineEdit):
            yield widget.placeholderText()
        if isinstance(widget, QTableView) and widget.model() is not None:
            model = widget.model()
            for column in range(model.columnCount()):
                yield str(model.headerData(column, Qt.Orientation.Horizontal) or "")
                if model.rowCount():
                    yield str(model.index(0, column).data(Qt.ItemDataRole.AccessibleTextRole) or "")
        yield widget.accessibleName()
        yield widget.accessibleDescription()
        yield widget.toolTip()


def data_words(workshop: Any) -> list[str]:
    """Everything that was typed by somebody: it is shown as it is."""
    words = {
        "Pinionbook",
        "K-1183",
        "2407",
        "Brackwater Hill-climb Club",
        "hill-climb special, rear axle",
        workshop.location,
    }
    words |= {"Fit the limited-slip carrier from another unit.", "PageUp", "Ctrl", "Alt"}
    words |= {person.name for person in workshop.people()} | {gauge.name for gauge in workshop.gauges()}
    words |= set(course("orrin").values()) | {text for part in workshop.parts() for text in (part.place, part.name)}
    shop = workshop.shop()
    words |= {shop.name, shop.address}
    for card in workshop.cards():
        words |= {card.family, *(limit.source for limit in card.limits.values())}
        words |= {fact.text for fact in card.facts.values()}
        words |= {text for limit in card.limits.values() for text in (limit.low_text, limit.high_text)}
    return sorted((word for word in words if word), key=len, reverse=True)


def left_over(text: str, data: list[str]) -> str:
    """Return what of a text is neither translated, nor data, nor a number with its unit."""
    # Innermost brackets first: a translated sentence may carry a translated word.
    while BRACKETED.search(text):
        text = BRACKETED.sub(" ", text)
    for word in (*data, *UNITS):
        text = text.replace(word, " ")
    return "" if NO_WORDS.fullmatch(text) else text.strip()


def escaped(root: QWidget, data: list[str]) -> dict[str, str]:
    found = {text: left_over(text, data) for text in shown_texts(root) if text}
    return {text: rest for text, rest in found.items() if rest}


def test_no_word_escapes_on_any_page(window: Window, workshop: Any, job: Any, qtbot: QtBot) -> None:
    data = data_words(workshop)
    found: dict[str, dict[str, str]] = {}
    for show in (window.show_desk, window.show_new_job, window.show_shop, window.show_exchange):
        show()
        qtbot.wait(200)
        found[show.__name__] = escaped(window.pages.currentWidget(), data)
    window.show_owner()
    qtbot.waitUntil(lambda: window.owner.jobs.rows_model.rowCount() == 1)
    for section in ("jobs", "comebacks", "care", "charts", "taught"):
        window.owner.turn_to(section)
        qtbot.wait(50)
        found[section] = escaped(window.owner, data)
    window.open_job(job.id)
    for stage in STAGES:
        window.bench.turn_to(stage.key)
        qtbot.wait(50)
        qtbot.waitUntil(lambda: not window.bench.desks.advice.is_asking)
        found[stage.key] = escaped(window.bench, data)
    assert {page: words for page, words in found.items() if words} == {}


def test_no_word_escapes_of_what_if_the_gears_were_moved(window: Window, workshop: Any, job: Any, qtbot: QtBot) -> None:
    data = data_words(workshop)
    window.open_job(job.id)
    window.bench.turn_to("contact_pattern")
    desk = window.bench.desks.what_if
    for is_read in (False, True):
        if is_read:
            for (stage, entry, position, trial), text in course("orrin").items():
                if stage in ("backlash", "contact_pattern") and entry != "accepted":
                    workshop.record(job.id, stage, entry, text, position=position, trial=trial, person="Jory Pell")
            workshop.record(job.id, "backlash", "accepted", "yes", trial=2, person="Jory Pell")
            window.bench.look_again()
        desk.open_view()
        qtbot.waitUntil(lambda: not desk.is_asking, timeout=30_000)
        for move_mm in (0.0, 0.2, -0.2):
            desk.view.pinion.moved.emit(move_mm)
            desk.view.gear.moved.emit(move_mm)
            qtbot.wait(50)
            assert escaped(window.bench, data) == {}
        desk.close_view()


def test_no_word_escapes_of_a_print_read_from_a_photo(window: Window, workshop: Any, job: Any, qtbot: QtBot) -> None:
    drawn = render(Scene(size=(800, 600), bow=0.0, oil=0, glare=0))
    photo = workshop.add_photo(job.id, drawn.jpeg, stage="contact_pattern", person="Tam Ollerby")
    data = data_words(workshop)
    window.open_job(job.id)
    window.bench.turn_to("contact_pattern")
    pane, desk = window.bench._page.aside.photos, window.bench.desks.prints
    qtbot.waitUntil(lambda: pane.thumbnail(photo.id) is not None)
    pane.thumbnail(photo.id).click()
    window.bench.desks.photos.view.read.click()
    assert escaped(desk.view, data) == {}
    desk.view.picture.corners = list(drawn.corners[:3])
    for corner in ((0.0, 0.0), drawn.corners[3]):
        desk.view.picture.corners[3:] = [corner]
        desk.view.picture.changed.emit()
        desk.view.read.click()
        assert escaped(desk.view, data) == {}
        qtbot.waitUntil(lambda: not desk.is_reading, timeout=30_000)
        assert escaped(desk.view, data) == {}
    assert desk.view.found is not None
    desk.view.keep.click()
    assert desk.view.refusal.isVisible()
    assert escaped(desk.view, data) == {}


@pytest.mark.usefixtures("made_up_language")
def test_no_word_escapes_of_what_jobs_have_taught(told_demo: Path, qtbot: QtBot) -> None:
    with open_logbook(told_demo / LOGBOOK_NAME) as logbook:
        workshop = Workshop(logbook)
        section = TaughtSection(workshop, at_once)
        qtbot.addWidget(section)
        section.show()
        section.refresh()
        families = workshop.charted_families()
        for family in families:
            section.form.fields["family"]._buttons[family].click()
            assert escaped(section, [*data_words(workshop), *families]) == {}
            for view in (section.taught, section.starts, section.scores):
                told = [text for row in view.rows_model.rows for text in vars(row).values()]
                assert {text for text in told if left_over(text, [])} == set()


def test_no_word_escapes_among_corrections_and_on_the_page_of_a_unit(
    window: Window, workshop: Any, job: Any, qtbot: QtBot, tmp_path: Path
) -> None:
    for text in ("0.9", "0.09"):
        workshop.record(job.id, "teardown", "runout_found", text, person="Tam Ollerby", reason="slipped")
    workshop.record(job.id, "teardown", "oil_found", "milky", person="Tam Ollerby")
    workshop.withdraw(job.id, "teardown", "oil_found", person="Tam Ollerby", reason="slipped")
    workshop.change_job(job.id, "vehicle", "trailer", "Tam Ollerby", "slipped")
    workshop.write_sheet(job.id, tmp_path / "sheet.pdf", person="Tam Ollerby")
    sheet = next(event for event in workshop.events(job.id) if event.what == "sheet")
    card = next(card.id for card in workshop.cards() if card.family == "Orrin B")
    again = workshop.new_job(
        JobDraft("2611", "K-1183", "Brackwater Hill-climb Club", "", "trailer", "", "43", "11", "", False, card)
    )
    workshop.record(again.id, "teardown", "runout_found", "0.05", person="Tam Ollerby")
    data = sorted(["2611", "trailer", "slipped", sheet.detail["fingerprint"][:12], *data_words(workshop)], key=len)
    window.open_job(job.id)
    window.bench.turn_to("teardown")
    qtbot.wait(50)
    found = {"bench": escaped(window.bench, data[::-1])}
    window.show_unit_of(again.id)
    qtbot.waitUntil(lambda: window.unit.area.table is not None)
    qtbot.wait(50)
    found["unit"] = escaped(window.unit, data[::-1])
    assert {page: words for page, words in found.items() if words} == {}


def test_no_word_escapes_among_the_backups_and_the_revisions_of_a_card(
    window: Window, workshop: Any, qtbot: QtBot, tmp_path: Path
) -> None:
    (card,) = (card for card in workshop.cards() if card.family == "Orrin B")
    limits = {key: LimitText(limit.low_text, limit.high_text, limit.source) for key, limit in card.limits.items()}
    facts = {key: fact.text for key, fact in card.facts.items()}
    limits["backlash"] = LimitText("0.05 mm", "0.11 mm", "shop practice")
    workshop.save_card("Orrin B", limits, facts | {"setting_method": "shims_under_cup"}, "Tam Ollerby")
    workshop.back_up()
    texts = ["0.05 mm", "0.11 mm", "0.06 mm", "0.10 mm", str(tmp_path / "backups"), "2026-03-01 "]
    data = [*texts, *data_words(workshop)]
    window.show_shop()
    window.shop.show_section(window.shop.backups)
    qtbot.waitUntil(lambda: window.shop.backups.list.rows_model.rowCount() == 1)
    found = {"backups": escaped(window.shop.backups, [*data, *window.shop.backups.list.rows_model.rows[0].cells])}
    window.shop.show_section(window.shop.cards)
    window.shop.cards.list.choose(1)
    found["revisions"] = escaped(window.shop.cards.history, data)
    assert window.shop.cards.history.list.rows_model.rowCount() == 2
    way_back = WayBackPage(workshop.place, "", "", at_once)
    qtbot.addWidget(way_back)
    way_back.look()
    assert way_back.way is not None
    found["way back"] = escaped(way_back, [str(way_back.way.backup), *data])
    assert {page: words for page, words in found.items() if words} == {}


def test_no_word_escapes_among_the_calculations(window: Window, qtbot: QtBot) -> None:
    # Names of threads and property classes are the standards' own.
    data = [key for c in CALCULATIONS for i in c.inputs if i.kind == "text" for key, _ in i.choices]
    window.show_calculators()
    found = {"": escaped(window.calculators, data)}
    for declared in CALCULATIONS:
        window.calculators.open(declared)
        found[declared.key] = escaped(window.calculators, data)
    for case in CASES:
        window.calculators.open(calculation(case.key))
        assert window.calculators.inputs is not None
        window.calculators.inputs.form.put(case.typed)
        window.calculators.show_calculation(CALCULATIONS[0])
        window.calculators.show_calculation(calculation(case.key))
        # What was shown before goes with the next turn of the events.
        qtbot.wait(1)
        found[f"{case.key}, worked out"] = escaped(window.calculators, data)
    assert {page: words for page, words in found.items() if words} == {}


def test_no_word_escapes_of_the_reading_practice(window: Window, qtbot: QtBot) -> None:
    page = window.practice
    window.show_practice()
    found: dict[str, dict[str, str]] = {}
    for level in Level:
        page.sitting = page.sitting.at_level(level)
        page.ask()
        qtbot.waitUntil(lambda: page.question is not None)
        for number in (2, 3, 4, 5, 2):
            page.form.choose(number)
        found[level.name] = escaped(page, list(MANUALS))
        page.enter()
        assert page.graded is not None
        qtbot.wait(20)
        found[f"{level.name}, answered"] = escaped(page, list(MANUALS))
    assert {page: words for page, words in found.items() if words} == {}


def test_no_word_escapes_in_the_menus(window: Window, workshop: Any) -> None:
    data = data_words(workshop)
    words = [action.text() for action in window.findChildren(QAction) if action.text()]
    assert len(words) > 12
    assert [word for word in words if left_over(word, data)] == []
