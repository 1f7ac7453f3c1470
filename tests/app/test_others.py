"""Two benches on one logbook: what one writes is shown at the other, and nobody overwrites what he has not seen."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from pytestqt.qtbot import QtBot

from app.settings import Settings
from app.window import Window
from core.records import open_logbook
from core.shop_inputs import LimitText
from core.workshop import Workshop

OWNER = "Wren Hask"


@pytest.fixture
def window(qtbot: QtBot, workshop: Any, job: Any) -> Iterator[Window]:
    made = Window(workshop, Settings(person="Tam Ollerby"))
    qtbot.addWidget(made)
    made.show()
    made.open_job(job.id)
    yield made
    made.close()


@pytest.fixture
def other(workshop: Any, clock: Any) -> Iterator[Workshop]:
    """Yield the same logbook as another bench has it open."""
    with open_logbook(Path(workshop.location), clock=clock) as logbook:
        yield Workshop(logbook, clock)


def test_a_reading_of_another_bench_appears_while_what_is_typed_here_stays(
    qtbot: QtBot, window: Window, other: Workshop, job: Any
) -> None:
    bench = window.bench
    bench.turn_to("teardown")
    fields = {field.key: field for field in bench.column.fields()}
    typed, watched = list(fields.values())[:2]
    typed.put_draft("0.14")
    entry, position, _ = watched.key
    other.record(job.id, "teardown", entry, "0.17", position=position, person="Jory Pell")
    qtbot.waitUntil(lambda: watched.text() == "0.17", timeout=10_000)
    assert typed.text() == "0.14"
    assert "Jory Pell wrote in job 2407 at another bench" in window.message.sentence.text()


def test_the_desk_shows_a_job_another_bench_opened(qtbot: QtBot, window: Window, other: Workshop, job: Any) -> None:
    window.show_desk()
    other.change_job(job.id, "customer", "Aldmoor Quarry", "Jory Pell", "sold on")
    qtbot.waitUntil(lambda: "Aldmoor Quarry" in shown(window), timeout=10_000)


def shown(window: Window) -> str:
    model = window.desk.jobs.model()
    return " ".join(
        str(model.index(row, column).data()) for row in range(model.rowCount()) for column in range(model.columnCount())
    )


def test_what_is_written_here_is_no_news(qtbot: QtBot, window: Window, workshop: Any, job: Any) -> None:
    heard: list[Any] = []
    window.others.wrote.connect(heard.append)
    workshop.record(job.id, "teardown", "runout_found", "0.03", person="Tam Ollerby")
    qtbot.wait(1500)
    assert heard == []


def rows(view: Any) -> list[Any]:
    return list(view.rows_model.rows)


def test_the_drawer_shows_pieces_another_bench_received_while_a_form_stays(
    qtbot: QtBot, window: Window, other: Workshop
) -> None:
    section, part = drawer_with_a_form(window, "receive", "pieces", "7")
    written = section.chosen.open
    other.receive(part.id, "2", "a delivery", "Jory Pell")
    qtbot.waitUntil(lambda: section.list.current().part.count == part.count + 2, timeout=10_000)
    assert section.list.current().part.id == part.id
    assert section.chosen.open is written
    assert written.form.values()["pieces"] == "7"


def test_a_piece_another_bench_gave_up_stays_while_somebody_writes_about_it(
    qtbot: QtBot, window: Window, other: Workshop
) -> None:
    section, part = drawer_with_a_form(window, "receive", "pieces", "7")
    other.scrap(part.id, str(part.count), "bent", OWNER)
    other.retire_part(part.id, OWNER)
    qtbot.waitUntil(lambda: section.list.current().part.is_retired, timeout=10_000)
    assert section.list.current().part.id == part.id
    assert section.chosen.open.form.values()["pieces"] == "7"
    section.chosen.put_away()
    section.refresh()
    assert part.id not in [line.id for line in rows(section.list)]


def test_what_another_bench_changed_is_named_before_it_is_written_over(
    qtbot: QtBot, window: Window, other: Workshop, workshop: Any
) -> None:
    section, part = drawer_with_a_form(window, "change", "place", "Z9")
    other.change_part(part, part.name, "Y8", str(part.reorder_level), "Jory Pell")
    qtbot.waitUntil(lambda: section.list.current().part.place == "Y8", timeout=10_000)
    form = section.chosen.open
    form.push.click()
    assert "meanwhile" in form.answer.text()
    assert place_of(workshop, part) == "Y8"
    form.push.click()
    assert place_of(workshop, part) == "Z9"


def drawer_with_a_form(window: Window, act: str, field: str, text: str) -> tuple[Any, Any]:
    """Return the drawer with a form about the chosen piece open and typed into, and the piece."""
    window.show_shop()
    section = window.shop.parts
    section.chosen.pushes[act].click()
    section.chosen.open.form.fields[field].put(text)
    return section, section.list.current().part


def place_of(workshop: Workshop, part: Any) -> str:
    return next(one.place for one in workshop.parts() if one.id == part.id)


def test_the_trail_tells_what_another_bench_does_and_keeps_the_line_that_is_read(
    qtbot: QtBot, window: Window, other: Workshop, job: Any
) -> None:
    window.show_shop()
    trail = window.shop.trail
    window.shop.show_section(trail)
    trail.list.choose(1)
    read, before = trail.list.current(), rows(trail.list)
    other.record(job.id, "teardown", "runout_found", "0.03", person="Jory Pell")
    qtbot.waitUntil(lambda: len(rows(trail.list)) > len(before), timeout=10_000)
    assert rows(trail.list)[0].who == "Jory Pell"
    assert rows(trail.list)[-len(before) :] == before
    assert trail.list.current() == read


def test_a_card_another_bench_revised_is_shown_so_unless_it_is_being_written(
    qtbot: QtBot, window: Window, other: Workshop
) -> None:
    window.show_shop()
    cards = window.shop.cards
    window.shop.show_section(cards)
    family = rows(cards.list)[0].id
    cards.list.choose(0)
    revise(other, family, "0.11 mm")
    qtbot.waitUntil(lambda: "Revision 2 is in force" in cards.what_saving_does.text(), timeout=10_000)
    assert cards.card.texts().limits["backlash"].high == "0.11 mm"
    cards.card.form.fields["common_source"].editor.setFocus()
    qtbot.keyClicks(cards.card.form.fields["common_source"].editor, "by hand")
    revise(other, family, "0.12 mm")
    qtbot.waitUntil(lambda: "Revision 3 is in force" in cards.what_saving_does.text(), timeout=10_000)
    assert cards.card.texts().limits["backlash"].high == "0.11 mm"
    assert cards.card.texts().common_source == "by hand"


def revise(workshop: Workshop, family: str, most: str) -> None:
    facts = next(card for card in workshop.cards() if card.family == family).facts
    limits = {"backlash": LimitText("0.06 mm", most, "manual")}
    workshop.save_card(family, limits, {key: fact.text for key, fact in facts.items()}, "Jory Pell")
