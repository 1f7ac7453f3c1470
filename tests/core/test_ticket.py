"""The bench ticket, read back: what to fit where, what it promises, and room to write."""

from __future__ import annotations

from io import BytesIO
from typing import Any

import pytest
from pypdf import PdfReader

from core.advice.answer import percent
from core.drafts import JobDraft
from core.errors import RuleError
from core.facts import RIGHT, Shop
from core.sheet.ticket import A6_LANDSCAPE
from core.stages import stage as stage_of

TAM = "Tam Ollerby"
SIDES = ("ring_gear_side", "opposite_side")


def tell(workshop: Any, job: Any, trial: int, one: str, other: str, torque: str) -> None:
    for entry, text in zip((*SIDES, "torque_forward", "torque_back"), (one, other, torque, torque), strict=True):
        workshop.record(job.id, "preload", entry, text, trial=trial, person=TAM)


def printed(content: bytes) -> str:
    reader = PdfReader(BytesIO(content))
    assert len(reader.pages) == 1
    page = reader.pages[0]
    assert (float(page.mediabox.width), float(page.mediabox.height)) == A6_LANDSCAPE
    return " ".join(page.extract_text().split())


def test_the_pair_advised_is_on_it(workshop: Any, job: Any) -> None:
    tell(workshop, job, 1, "2.50", "2.50", "0.05")
    said = printed(workshop.bench_ticket(job.id, "preload"))
    offer = workshop.advice(job.id, "preload").offer
    for part in offer.parts:
        assert f"{part.thickness_mm:.3f} mm" in said
        assert f"from {part.place}" in said
    for word in (
        "2407 · K-1183",
        workshop.shop().name,
        "Preload, trial 2",
        "Left, ring-gear side",
        "Right, opposite side",
        "left and right as seen from the pinion",
        f"Expected {offer.expected:.2f} N·m ({offer.low:.2f} – {offer.high:.2f})",
        "Limits 0.50 – 1.00 N·m",
        f"Chance {percent(offer.chance)}",
        "Turning torque, forward",
        "Turning torque, back",
        "End play, if it is loose",
        "Date",
        "Person",
        "Bench ticket, 2 March 2026",
    ):
        assert word in said, word


def test_a_pair_that_was_taken_keeps_its_trial_and_its_promise(workshop: Any, job: Any) -> None:
    tell(workshop, job, 1, "2.50", "2.50", "0.05")
    offer = workshop.advice(job.id, "preload").offer
    workshop.take_advice(job.id, "preload", TAM)
    said = printed(workshop.bench_ticket(job.id, "preload"))
    assert "Preload, trial 2" in said
    assert all(f"from {part.place}" in said for part in offer.parts)
    # Read and found good, nothing is advised any more: the ticket is the last trial's, with what was promised of it.
    for entry in ("torque_forward", "torque_back"):
        workshop.record(job.id, "preload", entry, "0.75", trial=2, person=TAM)
    assert workshop.advice(job.id, "preload").offer is None
    again = printed(workshop.bench_ticket(job.id, "preload"))
    assert "Preload, trial 2" in again
    assert all(f"from {part.place}" in again for part in offer.parts)
    assert f"Chance {percent(offer.chance)}" in again


def test_a_pair_of_ones_own_promises_nothing(workshop: Any, job: Any) -> None:
    tell(workshop, job, 1, "2.537", "2.537", "0.75")
    said = printed(workshop.bench_ticket(job.id, "preload"))
    assert "Preload, trial 1" in said
    assert said.count("2.537 mm") == 2
    assert "Expected" not in said
    assert "Chance" not in said
    assert "Limits 0.50 – 1.00 N·m" in said


def test_backlash_has_a_box_for_each_place(workshop: Any, job: Any) -> None:
    tell(workshop, job, 1, "2.52", "2.52", "0.70")
    workshop.record(job.id, "preload", stage_of("preload").accept, "yes", trial=1, person=TAM)
    for entry, text in zip(SIDES, ("2.52", "2.52"), strict=True):
        workshop.record(job.id, "backlash", entry, text, trial=1, person=TAM)
    for place in stage_of("backlash").entry("backlash").positions:
        workshop.record(job.id, "backlash", "backlash", "0.14", position=place.key, trial=1, person=TAM)
    said = printed(workshop.bench_ticket(job.id, "backlash"))
    assert "Backlash, trial 2" in said
    assert "0° in mm 45° 90° 135° 180° 225° 270° 315°" in said
    assert "Limits 0.060 – 0.100 mm" in said


def test_the_left_side_stands_left(workshop: Any, job: Any) -> None:
    """On a casing whose ring gear sits on the right, the opposite side's ring is printed first."""
    card = next(card for card in workshop.cards() if card.text("ring_gear_side") == RIGHT)
    other = workshop.new_job(
        JobDraft("2501", "S-1", "Pim Averlock", ring_gear_teeth="43", pinion_teeth="11", card_id=card.id), TAM
    )
    if card.text("setting_method") == "adjuster_nuts":
        sides, sizes, words = ("nut_ring_gear_side", "nut_opposite_side"), ("12", "8"), ("12 notches", "8 notches")
    else:
        sides, sizes, words = SIDES, ("6.110 mm", "5.940 mm"), ("6.110 mm", "5.940 mm")
    for entry, text in zip(sides, sizes, strict=True):
        workshop.record(other.id, "preload", entry, text, trial=1, person=TAM)
    said = printed(workshop.bench_ticket(other.id, "preload"))
    assert said.index("Left, opposite side") < said.index("Right, ring-gear side")
    assert said.index(words[1]) < said.index(words[0])


def test_nasty_names_are_printed_as_they_are(workshop: Any, job: Any) -> None:
    shop = workshop.shop()
    workshop.save_shop(Shop("<b>&amp; 中</b>" + "W" * 180, "", shop.units, shop.version))
    tell(workshop, job, 1, "2.50", "2.50", "0.05")
    said = printed(workshop.bench_ticket(job.id, "preload"))
    assert "<b>&amp; [U+4E2D]</b>WW" in said
    assert "…" in said


def test_the_same_ticket_has_the_same_bytes(workshop: Any, job: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    tell(workshop, job, 1, "2.50", "2.50", "0.05")
    now = workshop._clock()
    monkeypatch.setattr(workshop, "_clock", lambda: now)
    assert workshop.bench_ticket(job.id, "preload") == workshop.bench_ticket(job.id, "preload")


@pytest.mark.parametrize("stage", ["backlash", "teardown", "contact_pattern"])
def test_without_a_pair_there_is_no_ticket(workshop: Any, job: Any, stage: str) -> None:
    with pytest.raises(RuleError, match="no pair to put on a ticket"):
        workshop.bench_ticket(job.id, stage)


def test_asked_again_the_answer_is_not_worked_out_twice(workshop: Any, job: Any) -> None:
    tell(workshop, job, 1, "2.50", "2.50", "0.05")
    first = workshop.advice(job.id, "preload")
    assert workshop.advice(job.id, "preload") is first
    workshop.record(job.id, "preload", "torque_back", "0.06", trial=1, person=TAM, reason="slip")
    assert workshop.advice(job.id, "preload") is not first
