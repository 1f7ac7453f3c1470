"""Spec cards in the workshop: revisions compared, handed out and taken in."""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from told import demo_data

from core.card_changes import in_words
from core.errors import AccessError, InputError, NotFoundError, RuleError, UserError
from core.records import open_logbook
from core.shop_inputs import LimitText
from core.workshop import Workshop

LIMITS = {"backlash": LimitText("0.06", "0.10 mm", "manual")}
FACTS = {"ring_gear_side": "left", "setting_method": "outboard_rings", "face_width": "30 mm"}
SOURCES = dict.fromkeys(FACTS, "measured")


@pytest.fixture
def told(made_once: Path, tmp_path: Path, clock: Any) -> Iterator[Workshop]:
    """Yield the workshop of a second shop, with two revisions of a card."""
    with open_logbook(shutil.copyfile(made_once, tmp_path / "second.db"), clock=clock) as logbook:
        made = Workshop(logbook, clock)
        made.save_card("Tollen 2", LIMITS, FACTS, "Tam Ollerby", fact_sources=SOURCES)
        wider = {"backlash": LimitText("0.06", "0.12 mm", "shop practice")}
        made.save_card("Tollen 2", wider, FACTS | {"note": "mind the seal"}, "Jory Pell", fact_sources=SOURCES)
        yield made


def test_facts_keep_their_sources(told: Workshop) -> None:
    (card,) = told.cards()
    assert {fact.source for key, fact in card.facts.items() if key != "note"} == {"measured"}
    assert card.facts["note"].source == ""


def test_each_revision_tells_what_it_changed(told: Workshop) -> None:
    found = told.card_changes("tollen 2")
    assert [len(changes) for _, changes in sorted(found.items())] == [4, 2]
    assert [in_words(change) for change in found[2]] == [
        "Backlash: 0.06 mm to 0.10 mm → 0.06 mm to 0.12 mm; source: manual → shop practice",
        "Note: added, mind the seal (no source)",
    ]
    assert told.card_changes("Nowhere") == {}
    assert [(one.revision, one.made_by) for one in told.card_revisions("Tollen 2")] == [
        (2, "Jory Pell"),
        (1, "Tam Ollerby"),
    ]


def test_any_two_revisions_are_compared(told: Workshop) -> None:
    before, after, found = told.compare_cards("Tollen 2")
    assert (before.revision, after.revision, len(found)) == (1, 2, 2)
    assert told.compare_cards("Tollen 2", 2, 1)[2][0].new == "0.06 mm to 0.10 mm"
    assert told.compare_cards("Tollen 2", 2, 2)[2] == ()
    assert told.compare_cards("Tollen 2", 1, 1)[2] == ()
    for start, end in ((0, 2), (1, 3), (None, 9)):
        with pytest.raises(NotFoundError, match="has no revision"):
            told.compare_cards("Tollen 2", start, end)
    with pytest.raises(NotFoundError, match=r"no spec card Nowhere.*Tollen 2"):
        told.compare_cards("Nowhere")


def test_a_card_of_one_revision_is_compared_with_itself(empty_workshop: Workshop) -> None:
    empty_workshop.save_card("Tollen 2", LIMITS, FACTS)
    before, after, found = empty_workshop.compare_cards("Tollen 2")
    assert (before, found) == (after, ())


def test_a_card_goes_to_another_shop_and_only_news_makes_a_revision(
    told: Workshop, workshop: Workshop, tmp_path: Path
) -> None:
    path = told.export_card("Tollen 2", tmp_path / "card.json")
    assert [entry.name for entry in tmp_path.glob("card.json*")] == ["card.json"]
    preview = workshop.preview_card(path)
    assert (preview.family, preview.newest, preview.card, preview.has_news) == ("Tollen 2", None, None, True)
    assert "Tollen 2" not in [card.family for card in workshop.cards()]
    taken = workshop.import_card(path, "Wren Hask")
    assert taken.card is not None and taken.card.revision == 1
    assert dict(taken.card.limits) == dict(told.cards()[0].limits)
    again = workshop.import_card(path, "Wren Hask")
    assert (again.has_news, again.card, again.changes) == (False, None, ())
    assert [one.made_by for one in workshop.card_revisions("Tollen 2")] == ["Wren Hask"]
    # Handed out again it is the same, but for the count and the day.
    ours = json.loads(workshop.card_as_file("Tollen 2"))
    theirs = json.loads(path.read_text(encoding="utf-8"))
    assert {key for key in theirs if ours[key] != theirs[key]} == {"revision", "made_at"}


TYPED = (
    ("backlash", "0.06", " 0.10  mm "),
    ("groove_safety", "1.2", ""),
    ("contact_along", "40", "60 %"),
    ("cone_temperature", "", "250 °F"),
    ("turning_torque", "6 in-lb", "1,1"),
    ("runout", "", '.002"'),
)
"""Limits written in ways a logbook tidies: the unit left out, spaces, other units."""


@pytest.mark.parametrize(("key", "low", "high"), TYPED)
def test_taking_in_what_was_handed_out_changes_nothing(
    told: Workshop, tmp_path: Path, key: str, low: str, high: str
) -> None:
    facts = FACTS | {"face_width": "1 1/4", "spiral_angle": " 35 ", "bolt_friction": "0,14", "side_bearing": "45 × 75"}
    told.save_card(
        "Tollen 2", {key: LimitText(low, high, " the  manual ")}, facts, fact_sources=dict.fromkeys(facts, "x")
    )
    path = told.export_card("Tollen 2", tmp_path / "card.json")
    assert told.preview_card(path).changes == ()
    document = json.loads(path.read_text(encoding="utf-8"))
    # As somebody would write it by hand: only what is typed, as it was typed.
    document["limits"][key] = {side: {"typed": text} for side, text in (("low", low), ("high", high)) if text} | {
        "source": " the  manual "
    }
    document["facts"] = {name: {"typed": text, "source": "x"} for name, text in facts.items()}
    path.write_text(json.dumps(document), encoding="utf-8")
    assert told.preview_card(path).changes == ()
    assert told.import_card(path).card is None


def test_the_whole_demo_is_handed_out_and_taken_in(told: Workshop, tmp_path: Path) -> None:
    for card in demo_data("spec_cards"):
        limits = {key: LimitText(**text) for key, text in card["limits"].items()}
        sources = dict.fromkeys(card["facts"], "measured")
        told.save_card(card["family"], limits, card["facts"], fact_sources=sources)
        path = told.export_card(card["family"], tmp_path / "card.json")
        assert told.import_card(path).card is None


def test_what_differs_makes_the_next_revision(told: Workshop, tmp_path: Path) -> None:
    path = told.export_card("Tollen 2", tmp_path / "card.json")
    document = json.loads(path.read_text(encoding="utf-8"))
    document["limits"]["backlash"]["high"] = {"typed": "0.11 mm"}
    document["family"] = "TOLLEN 2"
    path.write_text(json.dumps(document), encoding="utf-8")
    preview = told.preview_card(path)
    assert [in_words(change) for change in preview.changes] == ["Backlash: 0.06 mm to 0.12 mm → 0.06 mm to 0.11 mm"]
    taken = told.import_card(path)
    assert taken.card is not None
    assert (taken.card.family, taken.card.revision) == ("Tollen 2", 3)
    assert taken.newest is not None and taken.newest.revision == 2


def test_only_an_owner_takes_a_card_in(told: Workshop, workshop: Workshop, tmp_path: Path) -> None:
    path = told.export_card("Tollen 2", tmp_path / "card.json")
    before = workshop.cards()
    for person in ("", "Jory Pell", "Nobody"):
        with pytest.raises(AccessError):
            workshop.import_card(path, person)
    assert workshop.cards() == before


def test_a_card_without_sources_stays(told: Workshop, tmp_path: Path) -> None:
    told.save_card("Alder 2", LIMITS, FACTS)
    with pytest.raises(RuleError, match=r"Ring-gear side, seen from the pinion, How the side .*, Face width\."):
        told.export_card("Alder 2", tmp_path / "card.json")
    assert not list(tmp_path.glob("card*"))
    with pytest.raises(NotFoundError, match="Tollen 2"):
        told.export_card("Nowhere", tmp_path / "card.json")


def test_a_file_that_cannot_be_taken_changes_nothing(told: Workshop, tmp_path: Path) -> None:
    path = tmp_path / "card.json"
    path.write_text("{", encoding="utf-8")
    for act in (told.preview_card, told.import_card):
        with pytest.raises(InputError):
            act(path)
    assert told.cards()[0].revision == 2


def test_a_place_that_cannot_be_written_is_a_sentence(told: Workshop, tmp_path: Path) -> None:
    with pytest.raises(UserError, match="cannot be written"):
        told.export_card("Tollen 2", tmp_path / "gone" / "card.json")
    (tmp_path / "folder").mkdir()
    with pytest.raises(UserError, match="cannot be written"):
        told.export_card("Tollen 2", tmp_path / "folder")
    assert sorted(os.listdir(tmp_path / "folder")) == []
    assert not list(tmp_path.glob("*.partial"))


def test_what_was_there_is_replaced_whole(told: Workshop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "card.json"
    path.write_text("before", encoding="utf-8")

    def full(*_: Any) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("core.workshop.cards.settle", full)
    with pytest.raises(UserError, match="No space left"):
        told.export_card("Tollen 2", path)
    assert path.read_text(encoding="utf-8") == "before"
    monkeypatch.undo()
    told.export_card("Tollen 2", path)
    assert path.read_text(encoding="utf-8") == told.card_as_file("Tollen 2")
