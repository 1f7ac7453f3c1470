"""The revisions of a card on its page, sources of facts, and cards out to a file and in from one."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from audit import assert_accessible, assert_nothing_cut_off, visible_texts
from PySide6.QtCore import QCoreApplication, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLineEdit

from app import theme
from app.drawer.card_form import CardTexts, texts_of
from app.drawer.cards import CardsSection
from app.drawer.page import ShopPage
from core.errors import UserError
from core.shop_inputs import LimitText

FACTS = {"ring_gear_side": "left", "setting_method": "outboard_rings", "face_width": "30 mm", "spiral_angle": "35°"}
SOURCES = dict.fromkeys(FACTS, "measured") | {"spiral_angle": "manual"}


@pytest.fixture
def shop(workshop: Any) -> Any:
    """Return a workshop with two revisions of a card that may leave the shop."""
    for high, width in (("0.10 mm", "30 mm"), ("0.12 mm", "31 mm")):
        limits = {"backlash": LimitText("0.06 mm", high, "manual")}
        workshop.save_card("Tollen 2", limits, FACTS | {"face_width": width}, "Tam Ollerby", fact_sources=SOURCES)
    return workshop


@pytest.fixture
def cards(shop: Any, qtbot: Any) -> Iterator[CardsSection]:
    page = ShopPage(shop, lambda: "Wren Hask")
    page.resize(1500, 950)
    qtbot.addWidget(page)
    with qtbot.waitExposed(page):
        page.show()
    page.activateWindow()
    page.show_section(page.cards)
    page.cards.list.choose([row.id for row in page.cards.list.rows_model.rows].index("Tollen 2"))
    yield page.cards


def revisions(cards: CardsSection) -> list[tuple[str, ...]]:
    return [(row.cells[0], *row.cells[2:]) for row in cards.history.list.rows_model.rows]


def lines(area: Any) -> list[str]:
    return visible_texts(area.widget())


def push(button: Any) -> None:
    QTest.mouseClick(button, Qt.MouseButton.LeftButton)


def line(cards: CardsSection, key: str) -> QLineEdit:
    found = cards.findChild(QLineEdit, key)
    assert found is not None
    return found


# -- revisions ---------------------------------------------------------------------------------------------------------


def test_the_newest_revision_tells_what_it_changed(cards: CardsSection) -> None:
    assert revisions(cards) == [("2", "Tam Ollerby", "2 changed"), ("1", "Tam Ollerby", "the first")]
    assert cards.history.heading.text() == "What revision 2 changed"
    assert lines(cards.history.lines) == [
        "Backlash: 0.06 mm to 0.10 mm → 0.06 mm to 0.12 mm",
        "Face width: 30 mm → 31 mm",
    ]
    assert "Face width: 30 mm → 31 mm" in cards.history.lines.accessibleDescription()


def test_an_older_revision_is_chosen_by_keyboard(cards: CardsSection) -> None:
    cards.history.list.setFocus()
    QTest.keyClick(cards.history.list, Qt.Key.Key_Down)
    assert cards.history.heading.text() == "Revision 1 is the first"
    assert lines(cards.history.lines) == ["Limits and facts in it: 5."]


def test_saving_adds_a_revision_and_its_changes(cards: CardsSection) -> None:
    line(cards, "backlash_high").setText("")
    QTest.keyClicks(line(cards, "backlash_high"), "0.11 mm")
    push(cards.save)
    assert revisions(cards)[0] == ("3", "Wren Hask", "1 changed")
    assert lines(cards.history.lines) == ["Backlash: 0.06 mm to 0.12 mm → 0.06 mm to 0.11 mm"]
    push(cards.save)
    assert revisions(cards)[0] == ("4", "Wren Hask", "nothing changed")
    assert lines(cards.history.lines) == ["Nothing changed."]


def test_a_new_card_has_no_revisions_to_show(cards: CardsSection) -> None:
    cards.begin_new()
    assert not cards.history.isVisible()
    assert not cards.file_out.isVisible()


# -- sources of facts --------------------------------------------------------------------------------------------------


def test_one_line_stands_for_the_facts_that_share_a_source(cards: CardsSection, shop: Any) -> None:
    assert line(cards, "fact_source").text() == "measured"
    assert cards.card.form.fields["spiral_angle"].note.text() == "Source: manual"
    push(cards.save)
    (card,) = (card for card in shop.cards() if card.family == "Tollen 2")
    assert {key: fact.source for key, fact in card.facts.items()} == SOURCES


def test_a_fact_typed_anew_is_not_from_its_old_source_any_more(cards: CardsSection, shop: Any) -> None:
    angle = line(cards, "spiral_angle")
    angle.setFocus()
    angle.selectAll()
    QTest.keyClicks(angle, "36°")
    assert "manual" not in cards.card.form.fields["spiral_angle"].note.text()
    line(cards, "fact_source").setText("seen")
    push(cards.save)
    (card,) = (card for card in shop.cards() if card.family == "Tollen 2")
    assert {fact.source for fact in card.facts.values()} == {"seen"}


def test_typing_that_is_kept_keeps_the_sources_too(cards: CardsSection, shop: Any) -> None:
    QTest.keyClicks(line(cards, "note"), "mind the seal")
    cards.list.choose([row.id for row in cards.list.rows_model.rows].index("Orrin B"))
    cards.list.choose([row.id for row in cards.list.rows_model.rows].index("Tollen 2"))
    assert cards.card.form.fields["spiral_angle"].note.text() == "Source: manual"
    push(cards.save)
    (card,) = (card for card in shop.cards() if card.family == "Tollen 2")
    assert card.facts["spiral_angle"].source == "manual"
    assert card.facts["note"].source == "measured"


def test_a_card_without_sources_reads_back_without() -> None:
    assert CardTexts().fact_source == ""


def test_the_source_most_facts_share_is_the_one_in_the_line(shop: Any) -> None:
    (card,) = (card for card in shop.cards() if card.family == "Tollen 2")
    texts = texts_of(card)
    assert texts.fact_source == "measured"
    assert texts.fact_sources == {"spiral_angle": "manual"}


# -- out ---------------------------------------------------------------------------------------------------------------


def test_a_card_is_handed_out(cards: CardsSection, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[str] = []

    def answer(name: str) -> str:
        asked.append(name)
        return str(tmp_path / name)

    monkeypatch.setattr(cards, "ask_target", answer)
    push(cards.file_out)
    assert asked == ["Tollen 2.json"]
    assert cards.answer.text() == f"The card is in {tmp_path / 'Tollen 2.json'}."
    assert json.loads((tmp_path / "Tollen 2.json").read_text(encoding="utf-8"))["revision"] == 2


def test_handing_out_refuses_before_it_asks_for_a_place(cards: CardsSection, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cards, "ask_target", lambda name: pytest.fail("asked for a place"))
    QTest.keyClicks(line(cards, "note"), "typed")
    push(cards.file_out)
    assert "Not saved yet" in cards.answer.text()
    cards.list.choose([row.id for row in cards.list.rows_model.rows].index("Orrin B"))
    push(cards.file_out)
    assert "cannot leave the shop without its sources" in cards.answer.text()
    assert "Face width" in cards.answer.text()


def test_no_place_chosen_writes_nothing(cards: CardsSection, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cards, "ask_target", lambda name: "")
    push(cards.file_out)
    assert not list(tmp_path.glob("*.json"))
    monkeypatch.setattr(cards, "ask_target", lambda name: str(tmp_path / "gone" / name))
    push(cards.file_out)
    assert "cannot be written" in cards.answer.text()


# -- in ----------------------------------------------------------------------------------------------------------------


@pytest.fixture
def offer(
    cards: CardsSection, shop: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Callable[..., CardsSection]:
    """Return a function that looks at a file with a changed card."""

    def look(change: Callable[[dict[str, Any]], object]) -> CardsSection:
        path = tmp_path / "card.json"
        document = json.loads(shop.card_as_file("Tollen 2"))
        change(document)
        path.write_text(json.dumps(document), encoding="utf-8")
        monkeypatch.setattr(cards, "ask_file", lambda: str(path))
        push(cards.file_in)
        return cards

    return look


def wider(document: dict[str, Any]) -> None:
    document["limits"]["backlash"]["high"] = {"typed": "0.13 mm"}


def test_a_file_shows_what_it_would_change_before_it_is_taken_in(
    offer: Callable[..., CardsSection], shop: Any, qtbot: Any
) -> None:
    cards = offer(wider)
    assert cards.taking.heading.text() == "card.json: Tollen 2 against revision 2"
    assert lines(cards.taking.lines) == ["Backlash: 0.06 mm to 0.12 mm → 0.06 mm to 0.13 mm"]
    assert not cards.history.isVisible()
    assert cards.taking.take.text() == "Take it in as revision 3"
    assert len(shop.card_revisions("Tollen 2")) == 2
    with qtbot.waitSignal(cards.kept):
        push(cards.taking.take)
    assert cards.answer.text() == "Taken in as revision 3."
    assert revisions(cards)[0] == ("3", "Wren Hask", "1 changed")
    assert not cards.taking.isVisible()
    assert line(cards, "backlash_high").text() == "0.13 mm"


def test_a_new_family_comes_in_as_its_first_revision(offer: Callable[..., CardsSection], shop: Any) -> None:
    cards = offer(lambda document: document.update(family="Alder 2"))
    assert cards.taking.heading.text() == "card.json: a card for Alder 2, new here"
    push(cards.taking.take)
    assert cards.heading.text() == "Card Alder 2"
    assert [one.made_by for one in shop.card_revisions("Alder 2")] == ["Wren Hask"]


def test_what_says_nothing_new_cannot_be_taken_in(offer: Callable[..., CardsSection], shop: Any) -> None:
    cards = offer(lambda document: None)
    assert lines(cards.taking.lines) == ["Nothing differs."]
    assert not cards.taking.take.isVisible()
    push(cards.taking.leave)
    assert cards.history.isVisible()
    assert len(shop.card_revisions("Tollen 2")) == 2


def test_a_file_that_cannot_be_taken_is_a_sentence(offer: Callable[..., CardsSection]) -> None:
    cards = offer(lambda document: document["limits"]["backlash"].update(low={"typed": "0.2 Nm"}))
    assert cards.answer.text().startswith("card.json, Backlash: ")
    assert not cards.taking.isVisible()


def test_what_the_logbook_refuses_is_said_beside_the_push(
    offer: Callable[..., CardsSection], shop: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise UserError("Only the owner may do this.", "Let an owner come.")

    cards = offer(wider)
    monkeypatch.setattr(shop, "import_card", refuse)
    push(cards.taking.take)
    assert cards.taking.answer.text() == "Only the owner may do this. Let an owner come."
    assert cards.taking.isVisible()


def test_no_file_chosen_changes_nothing(cards: CardsSection, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cards, "ask_file", lambda: "")
    push(cards.file_in)
    assert cards.history.isVisible()
    assert not cards.taking.isVisible()


@pytest.fixture(params=[100, 200])
def text_scale(qapp: Any, request: pytest.FixtureRequest) -> Iterator[int]:
    """Put the light theme in force at a text size."""
    theme.apply(qapp, "light", request.param)
    yield request.param
    theme.apply(qapp, "light")


@pytest.mark.usefixtures("text_scale")
def test_history_and_file_pass_the_audit(offer: Callable[..., CardsSection]) -> None:
    cards = offer(wider)
    QCoreApplication.processEvents()
    assert_accessible(cards)
    assert_nothing_cut_off(cards)
    push(cards.taking.leave)
    QCoreApplication.processEvents()
    assert_accessible(cards)
    assert_nothing_cut_off(cards)
