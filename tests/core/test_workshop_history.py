"""Searching, the history of a unit and guarded corrections, through the workshop."""

from __future__ import annotations

from typing import Any

import pytest

from core.drafts import JobDraft
from core.errors import ConflictError, InputError, NotFoundError

TAM, JORY = "Tam Ollerby", "Jory Pell"
PLACE = {"position": "at_000"}


def intake(workshop: Any, number: str, serial: str, **more: str) -> Any:
    card = next(card.id for card in workshop.cards() if card.family == "Orrin B")
    told = {"customer": "Dunmarrow Farm", "ring_gear_teeth": "43", "pinion_teeth": "11", **more}
    return workshop.new_job(JobDraft(number=number, serial=serial, card_id=card, **told), TAM)


@pytest.fixture
def jobs(workshop: Any) -> dict[str, Any]:
    """Return jobs by number: two visits of one unit among others."""
    return {
        number: intake(workshop, number, serial, **more)
        for number, serial, more in (
            ("2407", "K-1183", {"asked_for": "Fit the carrier."}),
            ("2433", "M 77-205", {"asked_for": "Quieten it."}),
            ("2611", "k1183", {"asked_for": "Whine on the overrun."}),
            ("1183", "Q-9", {}),
        )
    }


def numbers(found: Any) -> list[str]:
    return [row.job.number for row in found.rows]


def test_a_search_says_how_many_it_found_and_judges_only_what_it_shows(workshop: Any, jobs: dict[str, Any]) -> None:
    found = workshop.search_jobs("", 3)
    assert (len(found.rows), found.count) == (3, 4)
    assert workshop.search_jobs("dunmarrow").count == 4
    assert numbers(workshop.search_jobs("1183")) == ["1183", "2611", "2407"]
    assert numbers(workshop.search_jobs("K 1I83", 1)) == ["2611"]
    assert workshop.search_jobs("K 1I83", 1).count == 2
    assert workshop.search_jobs("zzz").rows == ()


def test_without_a_word_the_last_touched_is_on_top(workshop: Any, jobs: dict[str, Any]) -> None:
    workshop.record(jobs["2407"].id, "teardown", "note", "One thread stripped.", person=TAM)
    assert numbers(workshop.search_jobs("", 2)) == ["2407", "1183"]
    assert numbers(workshop.search_jobs("stripped")) == ["2407"]


def test_the_history_of_a_unit_however_it_is_spelt(workshop: Any, jobs: dict[str, Any]) -> None:
    for serial in ("K-1183", "k 1183", "K-I183", "kll83"):
        history = workshop.unit_history(serial)
        assert history.serial == "K-1183"
        assert [one.job.number for one in history.visits] == ["2407", "2611"]
    assert workshop.history_of_job(jobs["2433"].id).serial == "M 77-205"


def test_an_unknown_unit_is_a_sentence_that_names_what_looks_like_it(workshop: Any, jobs: dict[str, Any]) -> None:
    intake(workshop, "3001", "K-I183")
    with pytest.raises(NotFoundError, match=r"Did you mean one of these: K-1183, K-I183\?"):
        workshop.unit_history("kl183")
    with pytest.raises(NotFoundError, match="no unit X-1"):
        workshop.unit_history("X-1")
    for none in ("", "x" * 1000):
        with pytest.raises(InputError):
            workshop.unit_history(none)
    with pytest.raises(NotFoundError):
        workshop.history_of_job(999)


def test_an_intake_asks_about_a_serial_that_looks_like_a_known_one(workshop: Any, jobs: dict[str, Any]) -> None:
    (remark,) = workshop.draft_remarks(JobDraft(serial="K-1I83"))
    assert remark.is_warning
    assert "K-1183" in remark.text
    (remark,) = workshop.draft_remarks(JobDraft(serial="K1183"))
    assert not remark.is_warning


def test_nobody_replaces_or_takes_back_what_he_has_not_seen(workshop: Any, jobs: dict[str, Any]) -> None:
    job = jobs["2407"]
    workshop.record(job.id, "teardown", "backlash_found", "0.14", **PLACE, person=JORY, seen=0)
    first = workshop.state(job.id).context.reading("teardown", "backlash_found", "at_000")
    workshop.record(job.id, "teardown", "backlash_found", "0.15", **PLACE, person=JORY, reason="again", seen=first.id)
    with pytest.raises(ConflictError, match=r"Jory Pell entered 0\.15 here meanwhile"):
        workshop.withdraw(
            job.id, "teardown", "backlash_found", **PLACE, person=TAM, reason="wrong tooth", seen=first.id
        )
    with pytest.raises(ConflictError):
        workshop.record(job.id, "teardown", "backlash_found", "0.16", **PLACE, person=TAM, seen=first.id)
    assert workshop.state(job.id).context.text("teardown", "backlash_found", "at_000") == "0.15"


def test_the_words_of_a_job_are_guarded_by_its_version(workshop: Any, jobs: dict[str, Any]) -> None:
    job = jobs["2407"]
    changed = workshop.change_job(job.id, "vehicle", "trailer", TAM, "", seen=job.version)
    with pytest.raises(ConflictError, match="Tam Ollerby changed this meanwhile"):
        workshop.change_job(job.id, "vehicle", "tow car", JORY, "", seen=job.version)
    workshop.change_job(job.id, "vehicle", "tow car", JORY, "", seen=changed.version)
    assert workshop.job("2407").vehicle == "tow car"
