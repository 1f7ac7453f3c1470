"""What is advised is kept before a trial begins: taken or not, once, and never at the cost of a reading."""

from __future__ import annotations

import logging
from typing import Any

import pytest

from core.advice.answer import Offer
from core.drafts import JobDraft
from core.errors import InputError, LogbookError
from core.facts import Advised
from core.workshop import Workshop
from core.workshop.bench import Typed

TAM = "Tam Ollerby"
ONE, OTHER = "ring_gear_side", "opposite_side"


def opened(workshop: Workshop, family: str = "Orrin B", number: str = "2407") -> int:
    card = next(card for card in workshop.cards() if card.family == family)
    draft = JobDraft(number, f"K-{number}", "Pim Averlock", ring_gear_teeth="43", pinion_teeth="11", card_id=card.id)
    return workshop.new_job(draft, TAM).id


def read(workshop: Workshop, job_id: int, stage: str, trial: int = 0, **texts: str) -> None:
    for entry, text in texts.items():
        workshop.record(job_id, stage, entry, text, trial=trial, person=TAM)


def begun(workshop: Workshop, family: str = "Orrin B") -> int:
    """Return a job whose rings as found are known, so that a first pair is advised."""
    job_id = opened(workshop, family)
    read(
        workshop,
        job_id,
        "teardown",
        rings_found_ring_gear_side="2.52",
        rings_found_opposite_side="2.50",
    )
    read(workshop, job_id, "preload", pairs_kept="yes", out_of_mesh="yes")
    return job_id


def advised(workshop: Workshop, job_id: int) -> list[Advised]:
    with workshop._logbook.look() as work:
        return work.advised_of_job(job_id)


def offer_of(workshop: Workshop, job_id: int, stage: str = "preload") -> Offer:
    said = workshop.advice(job_id, stage)
    assert said is not None
    assert said.offer is not None
    return said.offer


def assert_says(noted: Advised, offer: Offer, stage: str, trial: int) -> None:
    assert (noted.stage, noted.trial, noted.person) == (stage, trial, TAM)
    assert (noted.ring_gear_side_mm, noted.opposite_side_mm) == pytest.approx(
        (offer.pair.ring_gear_side_mm, offer.pair.opposite_side_mm)
    )
    assert (noted.chance, noted.expected, noted.low, noted.high) == pytest.approx(
        (offer.chance, offer.expected, offer.low, offer.high)
    )


@pytest.mark.parametrize("way", ["typed", "several at once", "from the drawer", "taken"])
def test_what_was_advised_is_kept_however_the_trial_begins(workshop: Workshop, way: str) -> None:
    job_id = begun(workshop)
    offer = offer_of(workshop, job_id)
    assert advised(workshop, job_id) == []
    if way == "typed":
        read(workshop, job_id, "preload", 1, ring_gear_side="2.40", opposite_side="2.40", torque_forward="0.05")
    elif way == "several at once":
        workshop.record_all(job_id, "preload", (Typed(ONE, "2.40"), Typed(OTHER, "2.40")), trial=1, person=TAM)
    elif way == "from the drawer":
        part = workshop.offers(job_id, "preload", OTHER, 1)[-1].part
        workshop.take_from_drawer(job_id, "preload", OTHER, 1, part.id, TAM)
    else:
        workshop.take_advice(job_id, "preload", TAM)
    (noted,) = advised(workshop, job_id)
    assert_says(noted, offer, "preload", 1)
    assert offer.parts is not None
    assert noted.places == " · ".join(part.place for part in offer.parts)


def test_each_trial_has_its_own_and_backlash_too(workshop: Workshop) -> None:
    job_id = begun(workshop)
    read(workshop, job_id, "preload", 1, ring_gear_side="2.50", opposite_side="2.50", torque_forward="0.05")
    read(workshop, job_id, "preload", 1, torque_back="0.05")
    second = offer_of(workshop, job_id)
    read(workshop, job_id, "preload", 2, ring_gear_side="2.52", opposite_side="2.53", torque_forward="0.7")
    read(workshop, job_id, "preload", 2, torque_back="0.7", accepted="yes")
    third = offer_of(workshop, job_id, "backlash")
    read(workshop, job_id, "backlash", 1, ring_gear_side="2.52", opposite_side="2.53")
    kept = advised(workshop, job_id)
    assert [(one.stage, one.trial) for one in kept] == [("preload", 1), ("preload", 2), ("backlash", 1)]
    assert_says(kept[1], second, "preload", 2)
    assert_says(kept[2], third, "backlash", 1)
    assert kept[2].expected < 0.5


def test_notches_are_kept_as_notches(workshop: Workshop) -> None:
    job_id = opened(workshop, "Vask T")
    read(workshop, job_id, "preload", pairs_kept="yes", out_of_mesh="yes")
    offer = offer_of(workshop, job_id)
    read(workshop, job_id, "preload", 1, nut_ring_gear_side="12", nut_opposite_side="12")
    (noted,) = advised(workshop, job_id)
    assert_says(noted, offer, "preload", 1)
    assert offer.notches is not None
    assert noted.places == f"{offer.notches[0]} · {offer.notches[1]}"


def test_nuts_that_hardly_touch_are_advised_on(workshop: Workshop) -> None:
    job_id = opened(workshop, "Vask T")
    read(workshop, job_id, "preload", 1, nut_ring_gear_side="12", nut_opposite_side="12", torque_forward="30 Nm")
    assert workshop.advice(job_id, "preload") is not None


def test_nothing_is_kept_where_nothing_is_offered(workshop: Workshop) -> None:
    job_id = begun(workshop)
    read(workshop, job_id, "preload", 1, ring_gear_side="2.52", opposite_side="2.53", torque_forward="0.7")
    read(workshop, job_id, "preload", 1, torque_back="0.7")
    # A trial that conforms asks for no other.
    said = workshop.advice(job_id, "preload")
    assert said is not None
    assert (said.title, said.offer) == ("Trial 1 conforms", None)
    read(workshop, job_id, "preload", 2, ring_gear_side="2.50", opposite_side="2.53")
    assert [(one.stage, one.trial) for one in advised(workshop, job_id)] == [("preload", 1)]


def test_a_refused_reading_leaves_nothing_noted(workshop: Workshop) -> None:
    job_id = begun(workshop)
    with pytest.raises(InputError):
        workshop.record(job_id, "preload", ONE, "two", trial=1, person=TAM)
    assert advised(workshop, job_id) == []


def test_what_is_taken_over_another_pair_is_said_anew_and_the_last_counts(workshop: Workshop) -> None:
    job_id = begun(workshop)
    read(workshop, job_id, "preload", 1, ring_gear_side="2.40", opposite_side="2.40")
    workshop.take_advice(job_id, "preload", TAM)
    # Nothing was learned meanwhile, so it was the same that was said.
    assert len(advised(workshop, job_id)) == 1
    part = next(part for part in workshop.parts() if part.place == advised(workshop, job_id)[0].places.split(" · ")[0])
    owner = next(person.name for person in workshop.people() if person.role == "owner")
    read(workshop, job_id, "preload", 1, ring_gear_side="2.40", opposite_side="2.40")
    free = next(one.count for one in workshop.parts() if one.id == part.id)
    workshop.scrap(part.id, str(free), "bent", owner)
    workshop.take_advice(job_id, "preload", TAM)
    first, last = advised(workshop, job_id)
    assert (first.trial, last.trial) == (1, 1)
    assert first.places != last.places


@pytest.mark.parametrize("broken", ["core.workshop.advising.advise", "core.workshop.advising.lesson_of"])
def test_advice_that_fails_keeps_no_reading_from_being_written(
    workshop: Workshop, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture, broken: str
) -> None:
    job_id = begun(workshop)

    def fail(*_: Any, **__: Any) -> None:
        raise ZeroDivisionError("a job nobody thought of")

    monkeypatch.setattr(broken, fail)
    if broken.endswith("lesson_of"):
        monkeypatch.setattr(Workshop, "_taught", fail)
    with caplog.at_level(logging.ERROR):
        read(workshop, job_id, "preload", 1, ring_gear_side="2.40")
    assert "no advice could be noted" in caplog.text
    assert workshop.state(job_id, {"preload": 1}).context.value("preload", ONE, trial=1) == pytest.approx(2.40)
    assert advised(workshop, job_id) == []


def test_what_cannot_be_noted_keeps_no_reading_from_being_written(
    workshop: Workshop, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    job_id = begun(workshop)
    offer = offer_of(workshop, job_id)
    said = workshop.advice(job_id, "preload")

    def skewed(*_: Any) -> Any:
        from dataclasses import replace

        return replace(said, offer=replace(offer, low=offer.expected + 1.0))  # type: ignore[type-var]

    monkeypatch.setattr("core.workshop.advising.advise", skewed)
    read(workshop, job_id, "teardown", runout_found="0.03")
    with caplog.at_level(logging.ERROR):
        read(workshop, job_id, "preload", 1, ring_gear_side="2.40")
    assert "could not be noted" in caplog.text
    assert workshop.state(job_id, {"preload": 1}).context.value("preload", ONE, trial=1) == pytest.approx(2.40)


def test_a_disk_that_is_gone_is_not_taken_for_advice_that_failed(
    workshop: Workshop, monkeypatch: pytest.MonkeyPatch
) -> None:
    job_id = begun(workshop)

    def gone(*_: Any) -> None:
        raise LogbookError("The disk did not answer.", "Check the cable.")

    monkeypatch.setattr("core.workshop.advising.advise", gone)
    with pytest.raises(LogbookError):
        read(workshop, job_id, "preload", 1, ring_gear_side="2.40")


def test_a_reading_does_not_wait_until_a_long_history_was_gone_through(
    workshop: Workshop, monkeypatch: pytest.MonkeyPatch
) -> None:
    job_id = begun(workshop)
    monkeypatch.setattr("core.workshop.advising._signed", lambda *_: [object()] * 31)
    monkeypatch.setattr(Workshop, "_undrawn", lambda self, lines: list(lines))
    read(workshop, job_id, "preload", 1, ring_gear_side="2.40")
    assert advised(workshop, job_id) == []
    monkeypatch.undo()
    # Once the advice was looked at it is known what the family taught, and the next trial has its own.
    read(workshop, job_id, "preload", 1, opposite_side="2.40", torque_forward="0.05", torque_back="0.05")
    read(workshop, job_id, "preload", 2, ring_gear_side="2.45")
    assert [one.trial for one in advised(workshop, job_id)] == [2]
