"""Archives between logbooks, on both engines: all of it arrives, twice is once, and what contradicts is told."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from exchanging import FACTS, LIMITS, NOW, advise, altered, files_of, logbook_of, new_job, picture, read, tell_shop
from sqlalchemy import func, select

from core.errors import AccessError, InputError, NotFoundError
from core.exchange.answer import CONFLICTING, CONTINUED, KNOWN, NEW
from core.facts import CardFact, Limit
from core.quantities import Amount
from core.records import Logbook, open_logbook, tables
from core.records.exchange_out import FIELDS
from core.workshop import Workshop

WREN = "Wren Hask"


@pytest.fixture(autouse=True)
def _no_typesetting(monkeypatch: pytest.MonkeyPatch) -> None:
    """Set no sheets: that takes longer than all the rest, and is tried in test_exchange_in_workshop."""
    monkeypatch.setattr(Workshop, "_sheet", lambda *_: b"%PDF-1.4")


@pytest.fixture
def other(request: pytest.FixtureRequest, logbook: Logbook, made_once: Path, tmp_path: Path) -> Iterator[Logbook]:
    """Yield a second empty logbook on the same engine."""
    server = request.getfixturevalue("server") if "://" in logbook.location else None
    place = server.logbook() if server else shutil.copyfile(made_once, tmp_path / "other.db")
    with open_logbook(place, clock=lambda: NOW) as opened:
        yield opened
    if server:
        server.drop(place)


@pytest.fixture
def shop(logbook: Logbook) -> Workshop:
    """Return a shop with something of everything."""
    with logbook.work(by=WREN, doing="told") as work:
        tell_shop(work)
        work.commit()
    return Workshop(logbook, lambda: NOW)


@pytest.fixture
def empty(other: Logbook) -> Workshop:
    """Return a shop that has only just begun."""
    return Workshop(other, lambda: NOW)


@pytest.fixture
def hand_over(shop: Workshop, tmp_path: Path) -> Callable[..., Path]:
    """Return a function that writes an archive of the shop."""

    def write(name: str = "shop", **which: str) -> Path:
        return shop.export_archive(tmp_path / f"{name}.zip", **which)

    return write


def rows(workshop: Workshop) -> dict[str, int]:
    """Count the rows of every table."""
    with workshop._logbook.look() as work:
        return {
            name: work._row(select(func.count()).select_from(table))[0]  # type: ignore[index]
            for name, table in tables.metadata.tables.items()
        }


def told(workshop: Workshop) -> dict[str, Any]:
    with workshop._logbook.look() as work:
        return work.exported()


def change(workshop: Workshop, act: Callable[[Any, dict[str, int]], object]) -> None:
    """Do something in a shop; jobs are handed over by their numbers."""
    with workshop._logbook.work(by=WREN, doing="test") as work:
        act(work, {job.number: job.id for job in work.jobs()})
        work.commit()


def test_every_column_travels_or_is_knowingly_left_out() -> None:
    """A column added to a table is to be told in archives too, or named here with the reason it stays."""
    own = {"id", "version"}  # this logbook's own
    made = {"name_key", "serial_key", "look_key", "number_key", "family_key", "thumbnail"}  # made anew from the rest
    told_beside = {
        "gauge_id", "part_id", "job_id", "unit_id", "customer_id", "revision_id", "card_id", "reading_id", "photo_id",
        "replaces", "detail", "family", "image",
    }  # fmt: skip
    never = {"pin", "pin_failures", "pin_failed_at"}
    for table in tables.metadata.sorted_tables:
        if table is not tables.trail:
            left = {column.name for column in table.c} - own - made - told_beside - never
            assert left == set(FIELDS.get(table, ())), table.name


# -- everything --------------------------------------------------------------------------------------------------------


def test_everything_arrives_in_an_empty_logbook_and_leaves_it_the_same(
    shop: Workshop, empty: Workshop, hand_over: Callable[..., Path], tmp_path: Path
) -> None:
    archive = hand_over()
    taken = empty.import_archive(archive)
    assert taken.is_kept
    assert taken.conflicts == ()
    assert taken.count(NEW) == 3
    again = empty.export_archive(tmp_path / "again.zip")
    assert files_of(again)["logbook.json"] == files_of(archive)["logbook.json"]
    before, after = rows(shop), rows(empty)
    assert {name: count for name, count in before.items() if name != "trail"} == {
        name: count for name, count in after.items() if name != "trail"
    }
    assert empty.stock_disagreements() == []
    assert empty._logbook.verify().findings == ()


def test_the_drawer_stands_as_it_stood(shop: Workshop, empty: Workshop, hand_over: Callable[..., Path]) -> None:
    empty.import_archive(hand_over())
    for workshop in (shop, empty):
        with workshop._logbook.look() as work:
            held = work.held_by_job(work.find_job("2407").id)  # type: ignore[union-attr]
        assert {entry: hold.part.place for entry, hold in held.holds.items()} == {"ring_gear_side": "A1"}
    assert [(part.place, part.count, part.measured_mm) for part in empty.parts()] == [
        ("C3", 2, (2.498, 2.5, 2.501)),
        ("A1", 3, ()),
    ]


def test_a_signed_job_arrives_signed_with_its_names_and_moments(
    empty: Workshop, hand_over: Callable[..., Path]
) -> None:
    empty.import_archive(hand_over())
    job = empty.job("2407")
    assert (job.signed_by, job.signed_at, job.customer) == ("Tam Ollerby", NOW, "Brackwater Hill-climb Club")
    state = empty.state(job.id)
    assert [(r.text, r.person, r.replaces is not None) for r in state.context.readings][:2] == [
        ("0.2", "Jory Pell", False),
        ("0.08", "Jory Pell", True),
    ]
    photos = empty.photos(job.id)
    assert [(photo.caption, photo.strike_reason) for photo in photos] == [("tooth 1", "blurred"), ("as found", "")]
    with empty._logbook.look() as work:
        assert work.photo_image(photos[0].id) == picture().image
        assert work.thumbnail(photos[0].id)[:2] == b"\xff\xd8"
        assert [job.number for job in work.jobs("brackwater")] == ["2407"]


def test_the_trail_says_who_took_it_in(empty: Workshop, hand_over: Callable[..., Path]) -> None:
    empty.import_archive(hand_over(), WREN)
    trail = tables.trail
    with empty._logbook.look() as work:
        found = work._rows(select(trail.c.person, trail.c.doing, trail.c.at).distinct())
    assert [(row.person, row.doing, row.at) for row in found] == [(WREN, "import", "2026-03-02T08:00:00.000000+00:00")]


def test_a_pin_never_leaves(shop: Workshop, empty: Workshop, hand_over: Callable[..., Path]) -> None:
    change(shop, lambda work, _: work.set_pin(WREN, "", "47110815"))
    archive = hand_over()
    with shop._logbook.look() as work:
        kept = work._row(select(tables.person.c.pin).where(tables.person.c.name == WREN)).pin  # type: ignore[union-attr]
    assert kept
    assert not any(kept.encode() in content or b"47110815" in content for content in files_of(archive).values())
    taken = empty.import_archive(archive)
    assert any("PIN" in note for note in taken.notes)
    assert next((p.name, p.role, p.has_pin, p.is_active) for p in empty.people()) == (WREN, "owner", False, True)


def test_twice_is_once(shop: Workshop, empty: Workshop, hand_over: Callable[..., Path]) -> None:
    archive = hand_over()
    empty.import_archive(archive)
    for workshop in (empty, shop):
        before = rows(workshop)
        taken = workshop.import_archive(archive, WREN)
        assert taken.is_nothing_new
        assert not taken.is_kept
        assert {job.what for job in taken.jobs} == {KNOWN}
        assert "holds all of it already" in taken.summary
        assert rows(workshop) == before


def test_looking_writes_nothing_and_says_the_same(empty: Workshop, hand_over: Callable[..., Path]) -> None:
    archive, before = hand_over(), rows(empty)
    looked = empty.preview_import(archive)
    assert rows(empty) == before
    assert not looked.is_kept
    taken = empty.import_archive(archive)
    assert (looked.jobs, looked.changes, looked.notes) == (taken.jobs, taken.changes, taken.notes)


# -- some jobs ---------------------------------------------------------------------------------------------------------


def test_one_job_carries_only_what_it_rests_on(hand_over: Callable[..., Path]) -> None:
    found = logbook_of(hand_over(job="2408"))
    assert [job["number"] for job in found["jobs"]] == ["2408"]
    assert found["gauges"] == found["parts"] == found["moves"] == found["rules"] == []
    assert found["shop"] is None
    assert {person["name"] for person in found["people"]} == {"Tam Ollerby", "Jory Pell"}
    assert [[one["revision"] for one in card["revisions"]] for card in found["spec_cards"]] == [[2]]
    assert [customer["name"] for customer in found["customers"]] == ["Hill-climb club"]


def test_a_unit_carries_every_visit(hand_over: Callable[..., Path]) -> None:
    found = logbook_of(hand_over(unit="K1183"))
    assert [job["number"] for job in found["jobs"]] == ["2407", "2408"]
    assert [part["place"] for part in found["parts"]] == ["C3", "A1"]


def test_what_is_not_there_is_a_sentence(shop: Workshop, tmp_path: Path) -> None:
    for which in ({"job": "9999"}, {"unit": "X-1"}):
        with pytest.raises(NotFoundError):
            shop.export_archive(tmp_path / "none.zip", **which)
    assert not list(tmp_path.glob("*none*"))


def test_a_job_leaves_the_drawer_and_the_people_to_the_owner(empty: Workshop, hand_over: Callable[..., Path]) -> None:
    taken = empty.import_archive(hand_over(job="2407"))
    assert empty.parts() == []
    assert empty.shop().name == ""
    assert [(person.role, person.is_active) for person in empty.people()] == [("bench", False)] * 2
    assert [note for note in taken.notes if "drawer" in note]
    assert [note for note in taken.notes if "Jory Pell" in note]
    assert "part_move" not in taken.changes


def test_jobs_one_by_one_come_to_the_same_as_the_unit(empty: Workshop, hand_over: Callable[..., Path]) -> None:
    for number in ("2408", "2407"):
        empty.import_archive(hand_over(number, job=number))
    taken = empty.import_archive(hand_over("unit", unit="K-1183"))
    assert {job.what for job in taken.jobs} == {KNOWN}
    with empty._logbook.look() as work:
        assert [job.number for job in work.jobs_of_unit("K1183")] == ["2407", "2408"]


# -- histories ---------------------------------------------------------------------------------------------------------


def test_what_went_on_there_goes_on_here(shop: Workshop, empty: Workshop, hand_over: Callable[..., Path]) -> None:
    empty.import_archive(hand_over("before"))

    def go_on(work: Any, jobs: dict[str, int]) -> None:
        work.reopen(jobs["2407"], "Tam Ollerby", "the customer asked", NOW)
        advise(work, jobs["2407"], 2, chance=0.31)
        read(work, jobs["2407"], "0.09", 0.09, reason="measured again")
        work.change_job(jobs["2407"], "vehicle", "front axle", "Tam Ollerby", "moved", NOW)
        work.change_job(jobs["2407"], "contact", "gate 3", "Tam Ollerby", "", NOW)
        work.add_photo(jobs["2407"], "fill", "", "", 0, None, "as left", picture(200), "Jory Pell", NOW)
        work.strike_photo(work.photos(jobs["2407"])[1].id, "wrong unit", "Jory Pell", NOW)
        work.sign(jobs["2407"], "Jory Pell", NOW)

    change(shop, go_on)
    taken = empty.import_archive(hand_over("after"), WREN)
    assert [job.what for job in taken.jobs] == [CONTINUED, KNOWN, KNOWN]
    assert (taken.jobs[0].readings, taken.jobs[0].photos) == (1, 1)
    assert told(empty)["jobs"] == told(shop)["jobs"]
    job = empty.job("2407")
    assert (job.revision, job.signed_by, job.vehicle, job.contact) == (2, "Jory Pell", "front axle", "gate 3")
    assert empty._logbook.verify().findings == ()
    assert empty.import_archive(hand_over("once more"), WREN).is_nothing_new


def test_what_went_on_here_stays(shop: Workshop, empty: Workshop, hand_over: Callable[..., Path]) -> None:
    archive = hand_over()
    empty.import_archive(archive)
    change(empty, lambda work, jobs: read(work, jobs["2408"], "0.07", 0.07, reason="again"))
    before = told(empty)
    assert empty.import_archive(archive, WREN).is_nothing_new
    assert told(empty) == before


def test_two_benches_that_went_different_ways_are_a_conflict_and_nothing_comes_in(
    shop: Workshop, empty: Workshop, hand_over: Callable[..., Path]
) -> None:
    empty.import_archive(hand_over("before"))
    change(shop, lambda work, jobs: read(work, jobs["2408"], "0.07", 0.07, reason="again"))
    change(shop, lambda work, jobs: read(work, jobs["2409"], "0.05", 0.05))
    change(empty, lambda work, jobs: read(work, jobs["2408"], "0.06", 0.06, reason="again"))
    archive, before = hand_over("after"), rows(empty)
    taken = empty.import_archive(archive, WREN)
    assert taken.is_held_up
    assert not taken.is_kept
    assert [job.what for job in taken.jobs] == [KNOWN, CONFLICTING, CONTINUED]
    (conflict,) = taken.conflicts
    assert conflict.about == "Job 2408"
    assert "0.06" in conflict.ours
    assert "0.07" in conflict.theirs
    assert rows(empty) == before
    left = told(empty)["jobs"][1]
    taken = empty.import_archive(archive, WREN, skip_conflicts=True)
    assert taken.is_kept
    assert taken.conflicts == (conflict,)
    assert told(empty)["jobs"][1] == left
    assert told(empty)["jobs"][2] == told(shop)["jobs"][2]


def test_what_was_advised_arrives_and_goes_on(shop: Workshop, empty: Workshop, hand_over: Callable[..., Path]) -> None:
    empty.import_archive(hand_over("before"))
    change(shop, lambda work, jobs: advise(work, jobs["2408"], person="Wren Hask"))
    taken = empty.import_archive(hand_over("after", job="2408"), WREN)
    assert (taken.jobs[0].what, taken.changes) == (CONTINUED, {"advised": 1})
    for number, said in {"2407": [("C3, A1", 0.84), ("", 1.0)], "2408": [("C3, A1", 0.84)]}.items():
        with empty._logbook.look() as work:
            found = work.advised_of_job(empty.job(number).id)
        assert [(one.places, one.chance) for one in found] == said
    assert {person["name"] for person in logbook_of(hand_over("who", job="2408"))["people"]} >= {"Wren Hask"}
    assert empty.import_archive(hand_over("again"), WREN).is_nothing_new


def test_two_benches_that_were_advised_differently_are_a_conflict(
    shop: Workshop, empty: Workshop, hand_over: Callable[..., Path]
) -> None:
    empty.import_archive(hand_over("before"))
    change(shop, lambda work, jobs: advise(work, jobs["2408"], ring_gear_side_mm=2.52))
    change(empty, lambda work, jobs: advise(work, jobs["2408"]))
    (conflict,) = empty.import_archive(hand_over("after"), WREN).conflicts
    assert (conflict.about, conflict.field) == ("Job 2408", "advice 1")
    assert "2.500 mm" in conflict.ours
    assert "2.520 mm" in conflict.theirs


def test_one_signed_while_the_other_went_on_is_a_conflict(
    shop: Workshop, empty: Workshop, hand_over: Callable[..., Path]
) -> None:
    empty.import_archive(hand_over("before"))
    change(shop, lambda work, jobs: read(work, jobs["2408"], "0.07", 0.07, reason="again"))
    change(empty, lambda work, jobs: work.sign(jobs["2408"], "Tam Ollerby", NOW))
    (conflict,) = empty.import_archive(hand_over("after"), WREN).conflicts
    assert (conflict.field, conflict.ours, conflict.theirs) == ("course", "signed", "more readings: 1")


def test_sheets_issued_on_both_sides_are_no_conflict(
    shop: Workshop, empty: Workshop, hand_over: Callable[..., Path]
) -> None:
    empty.import_archive(hand_over("before"))
    for workshop, print_ in ((shop, "11" * 32), (empty, "22" * 32)):
        change(workshop, lambda work, jobs, p=print_: work.note_sheet(jobs["2407"], "Tam Ollerby", NOW, p, "shop"))
    archive = hand_over("after")
    taken = empty.import_archive(archive, WREN)
    assert [job.what for job in taken.jobs] == [CONTINUED, KNOWN, KNOWN]
    assert taken.changes == {"job_event": 1}
    assert empty.import_archive(archive, WREN).is_nothing_new
    assert empty.check_fingerprint("11" * 32).is_genuine
    assert "taken over from" in empty.check_fingerprint("ab" * 32).sentence
    assert empty.check_fingerprint("ab" * 32).is_genuine


# -- what is the same by another name ----------------------------------------------------------------------------------


def test_customer_unit_and_person_known_here_are_those_of_the_archive(
    shop: Workshop, empty: Workshop, hand_over: Callable[..., Path]
) -> None:
    with empty._logbook.work(by=WREN) as work:
        work.add_person("Jory Pell")
        card = work.add_card_revision("orrin b", LIMITS, (*FACTS, CardFact("note", None, "newer")), "Wren Hask")
        new_job(work, card.id, "12", "K1183", customer="Hill-climb club")
        work.commit()
    taken = empty.import_archive(hand_over(job="2408"))
    assert taken.is_kept
    assert {"unit", "customer", "spec_revision"} & set(taken.changes) == set()
    assert taken.changes["person"] == 1
    with empty._logbook.look() as work:
        assert [job.number for job in work.jobs_of_unit("K-1183")] == ["2408", "12"]
        assert work.find_job("2408").card.revision == 1  # type: ignore[union-attr]
    assert empty.import_archive(hand_over("again", job="2408")).is_nothing_new


def test_the_limits_of_this_shop_stay_the_newest(empty: Workshop, hand_over: Callable[..., Path]) -> None:
    tighter = (Limit("backlash", 0.07, 0.09, "0.07", "0.09 mm", "mm", "shop practice"),)
    with empty._logbook.work(by=WREN) as work:
        work.add_card_revision("Orrin B", tighter, FACTS, WREN)
        work.commit()
    archive = hand_over(job="2407")
    taken = empty.import_archive(archive)
    assert [note for note in taken.notes if "Orrin B" in note]
    (card,) = empty.cards()
    assert (card.revision, card.limits["backlash"].low) == (3, 0.07)
    assert empty.job("2407").card.limits["backlash"].low == 0.06
    assert empty.import_archive(archive).is_nothing_new


def test_revisions_that_follow_on_ours_become_the_newest(
    shop: Workshop, empty: Workshop, hand_over: Callable[..., Path]
) -> None:
    empty.import_archive(hand_over("before"))

    def revise(work: Any, _: dict[str, int]) -> None:
        work.add_card_revision("Orrin B", LIMITS, (*FACTS, CardFact("note", None, "newest")), "Tam Ollerby")

    change(shop, revise)
    empty.import_archive(hand_over("after"), WREN)
    assert [(card.revision, card.text("note")) for card in empty.cards()] == [(3, "newest")]


def test_another_gauge_of_the_same_name_is_a_conflict_and_so_is_what_rests_on_it(
    empty: Workshop, hand_over: Callable[..., Path]
) -> None:
    with empty._logbook.work(by=WREN) as work:
        work.add_gauge("Dial gauge 1", "dial", "length", 0.001, 0.002)
        work.commit()
    archive = hand_over("unit", unit="K-1183")
    taken = empty.import_archive(archive)
    assert taken.is_held_up
    fields = [(conflict.about, conflict.field) for conflict in taken.conflicts]
    assert ("Gauge Dial gauge 1", "resolution") in fields
    assert ("Gauge Dial gauge 1", "stated error") in fields
    assert ("Gauge Dial gauge 1", "checks") in fields
    assert ("Job 2407", "what it rests on") in fields
    taken = empty.import_archive(archive, skip_conflicts=True)
    assert [job.what for job in taken.jobs] == [CONFLICTING, NEW]
    assert "gauge" not in taken.changes
    assert [card.revision for card in empty.cards()] == [2], "the revision only the first job rests on stays out"
    with empty._logbook.look() as work:
        assert work.find_job("2407") is None
        assert "Brackwater Hill-climb Club" not in [one["name"] for one in work.exported()["customers"]]


def test_calibrations_of_the_same_gauge_are_brought_together(
    shop: Workshop, empty: Workshop, hand_over: Callable[..., Path]
) -> None:
    empty.import_archive(hand_over("before"))
    change(shop, lambda work, _: work.calibrate(work.gauges()[0].id, date(2026, 2, 1), is_good=True))
    change(empty, lambda work, _: work.calibrate(work.gauges()[0].id, date(2026, 2, 2), is_good=True))
    taken = empty.import_archive(hand_over("after"), WREN)
    assert taken.changes == {"gauge_check": 1}
    assert len(empty.gauges()[0].calibrations) == 3


def test_a_number_taken_by_another_job_is_a_conflict_with_a_way_out(
    empty: Workshop, hand_over: Callable[..., Path]
) -> None:
    with empty._logbook.work(by=WREN) as work:
        card = work.add_card_revision("Kelda 3", LIMITS, FACTS, "Tam Ollerby")
        new_job(work, card.id, "2407", "Z-1")
        work.commit()
    archive = hand_over("unit", unit="K-1183")
    taken = empty.import_archive(archive)
    (conflict,) = taken.conflicts
    assert (conflict.about, conflict.field) == ("Job 2407", "job number")
    assert "Z-1" in conflict.ours
    assert "K-1183" in conflict.theirs
    assert "2409" in conflict.remedy
    taken = empty.import_archive(archive, renumber=True)
    assert [(job.number, job.what) for job in taken.jobs] == [("2409", NEW), ("2408", NEW)]
    assert empty.job("2409").serial == "K-1183"
    assert empty.job("2407").serial == "Z-1"
    assert empty.import_archive(archive).is_nothing_new


def test_a_name_that_changed_is_a_conflict_about_the_person_alone(
    shop: Workshop, empty: Workshop, hand_over: Callable[..., Path], tmp_path: Path
) -> None:
    empty.import_archive(hand_over("before"))

    def rename(logbook: dict[str, Any]) -> None:
        logbook["people"][2]["name"] = "Jory Pellow"

    other = altered(hand_over("after"), tmp_path / "renamed.zip", rename)
    taken = empty.import_archive(other, WREN)
    assert [(conflict.about, conflict.ours, conflict.theirs) for conflict in taken.conflicts] == [
        ("Person Jory Pell", "Jory Pell", "Jory Pellow")
    ]
    assert empty.import_archive(other, WREN, skip_conflicts=True).changes == {}


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("ring_gear_teeth", 41),
        ("pinion_teeth", 9),
        ("tag_ratio", 4.1),
        ("is_limited_slip", False),
        ("vehicle", "boat"),
        ("asked_for", "more"),
    ],
)
def test_a_job_told_otherwise_is_a_conflict_in_that_field(
    shop: Workshop, hand_over: Callable[..., Path], tmp_path: Path, field: str, value: object
) -> None:
    other = altered(hand_over(), tmp_path / "other.zip", lambda logbook: logbook["jobs"][0].update({field: value}))
    (conflict,) = shop.import_archive(other, WREN).conflicts
    assert conflict.about == "Job 2407"
    assert conflict.ours != conflict.theirs


def test_a_photo_of_another_job_is_a_conflict(
    shop: Workshop, empty: Workshop, hand_over: Callable[..., Path], tmp_path: Path
) -> None:
    empty.import_archive(hand_over())

    def another(logbook: dict[str, Any]) -> None:
        logbook["jobs"][0].update(uid="0" * 8 + "-0000-4000-8000-" + "0" * 12, number="77")
        for move in logbook["moves"]:
            move["job"] = logbook["jobs"][0]["uid"] if move["job"] else None

    other = altered(hand_over("one", job="2407"), tmp_path / "other.zip", another)
    (conflict,) = empty.import_archive(other, WREN).conflicts
    assert (conflict.about, conflict.field) == ("Job 77", "photos")


# -- who may, and what is refused --------------------------------------------------------------------------------------


def test_only_an_owner_takes_in(shop: Workshop, hand_over: Callable[..., Path]) -> None:
    archive, before = hand_over(), rows(shop)
    for name in ("", "Jory Pell"):
        with pytest.raises(AccessError):
            shop.import_archive(archive, name)
    assert rows(shop) == before


def test_readings_no_rule_can_judge_are_refused_whole(
    shop: Workshop, empty: Workshop, hand_over: Callable[..., Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    from core.workshop import exchange

    archive, before = hand_over(), rows(empty)

    def broken(_: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr(exchange, "evaluate_job", broken)
    with pytest.raises(InputError, match="make no sense"):
        empty.import_archive(archive)
    assert rows(empty) == before


def test_stock_that_does_not_add_up_is_refused_whole(
    empty: Workshop, hand_over: Callable[..., Path], tmp_path: Path
) -> None:
    other = altered(hand_over(), tmp_path / "other.zip", lambda logbook: logbook["parts"][0].update(count=7))
    before = rows(empty)
    with pytest.raises(InputError, match="C3"):
        empty.import_archive(other)
    assert rows(empty) == before


def test_an_archive_from_tomorrow_is_refused(hand_over: Callable[..., Path], other: Logbook) -> None:
    yesterday = Workshop(other, lambda: NOW - timedelta(days=1))
    with pytest.raises(InputError, match="lies in the future"):
        yesterday.import_archive(hand_over())


def test_what_the_database_alone_would_refuse_is_a_sentence_too(
    empty: Workshop, hand_over: Callable[..., Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    from core.exchange import read as reading

    monkeypatch.setattr(reading, "need_sense", lambda *_: None)
    archive, before = hand_over(), rows(empty)
    with reading.Archive(archive, NOW) as opened, empty._logbook.work(by=WREN) as work:
        opened.logbook["units"].append({**opened.logbook["units"][0], "uid": "f" * 8 + "-0000-4000-8000-" + "0" * 12})
        with pytest.raises(InputError, match="contradicts itself"):
            work.take_in(opened.logbook, lambda uid: (opened.photo(uid), b"small"))
    assert rows(empty) == before


def test_quantities_are_kept_to_the_last_bit(shop: Workshop, empty: Workshop, hand_over: Callable[..., Path]) -> None:
    odd = 0.1 + 0.2
    change(
        shop,
        lambda work, jobs: read(
            work, jobs["2409"], "0.3", odd, amount=Amount("length", odd, "0.3", "mm"), position="at_045"
        ),
    )
    empty.import_archive(hand_over())
    assert empty.state(empty.job("2409").id).context.readings[-1].value == odd
