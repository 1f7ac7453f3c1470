"""A unit's visits: what was found and left, what wore, what was corrected; judged from jobs on paper."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from core.facts import Gauge, Hold, JobEvent, JobParts, Part, Photo, Reading, UsedPart
from core.history import (
    Dossier,
    UnitHistory,
    changes_since,
    replaced_by_place,
    replaced_readings,
    unit_history,
)
from core.history_words import (
    change_lines,
    change_words,
    doubt_words,
    history_lines,
    part_words,
    photo_words,
    place_words,
    replaced_words,
    sheet_words,
    standing_words,
    typed_words,
)
from core.stages import stage

LONG_AGO = datetime(2024, 3, 4, 8, 0, tzinfo=UTC)
NOW = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)
DIAL = Gauge(1, "dial gauge 1", "dial", "length", 0.01, 0.005)
FINE = replace(DIAL, id=2, name="dial gauge 2", resolution=0.001, stated_error=0.001)
WRENCH = Gauge(3, "beam wrench 2", "torque", "torque", 0.05, 0.05)

Make = Callable[..., Any]


@pytest.fixture
def visit(paper: Make) -> Make:
    """Return a maker of visits: what was found and left of the backlash, with a gauge or without."""

    def make(
        number: str,
        opened: datetime,
        found: float | None = None,
        left: float | None = None,
        gauge: Gauge | None = DIAL,
        signed: datetime | None = None,
        **more: Any,
    ) -> Dossier:
        job = paper(id=int(number), number=number, opened_at=opened, signed_at=signed, gauges=[DIAL, FINE, WRENCH])
        used = None if gauge is None else gauge.id
        if found is not None:
            job.read_all("teardown", "backlash_found", [f"{found}"] * 8, gauge=used)
        if left is not None:
            job.preload()
            job.bolt_on()
            job.backlash_trial("2.60", "2.45", f"{left}")
            job.readings = [replace(r, gauge_id=used) if r.entry == "backlash" else r for r in job.readings]
            job.read("backlash", "accepted", "yes", trial=1)
        job.readings = [replace(r, job_id=job.job.id, taken_at=opened + timedelta(minutes=r.id)) for r in job.readings]
        return Dossier(job.state(), **more)

    return make


def wear(history: UnitHistory, at: int = 1, key: str = "backlash_mean") -> Any:
    return history.visits[at].wear.get(key)


# -- visits in a row ---------------------------------------------------------------------------------------------------


def test_visits_stand_in_the_order_of_time_whatever_the_order_they_came_in(visit: Make) -> None:
    first = visit("2407", LONG_AGO, 0.16, 0.08, signed=LONG_AGO + timedelta(days=3))
    again = visit("2611", NOW, 0.12)
    history = unit_history("K-1183", [again, first])
    assert [one.job.number for one in history.visits] == ["2407", "2611"]
    assert [one.days_since for one in history.visits] == [None, (NOW - LONG_AGO).days - 3]


def test_wear_is_found_now_less_left_before_where_both_are_known(visit: Make) -> None:
    history = unit_history("K-1183", [visit("1", LONG_AGO, 0.16, 0.08), visit("2", NOW, 0.12)])
    assert wear(history).change == pytest.approx(0.04)
    assert wear(history).days == (NOW - LONG_AGO).days
    assert not wear(history).is_within_doubt
    assert history.visits[0].wear == {}
    assert "final_turning_torque" not in history.visits[1].wear


@pytest.mark.parametrize(
    ("first", "second"), [((0.16, None), (0.12, None)), ((None, 0.08), (None, 0.09)), ((None, None), (0.1, 0.1))]
)
def test_without_both_values_there_is_no_wear(visit: Make, first: Any, second: Any) -> None:
    history = unit_history("K-1183", [visit("1", LONG_AGO, *first), visit("2", NOW, *second)])
    assert wear(history) is None


def test_wear_is_told_from_the_very_visit_before(visit: Make) -> None:
    between = LONG_AGO + timedelta(days=300)
    visits = [visit("1", LONG_AGO, 0.16, 0.08), visit("2", between, 0.09), visit("3", NOW, 0.12)]
    history = unit_history("K-1183", visits)
    assert wear(history, 1).change == pytest.approx(0.01)
    # The second visit left nothing: what happened to the unit there is not known.
    assert wear(history, 2) is None


@pytest.mark.parametrize(("found", "gauge", "is_within"), [(0.09, DIAL, True), (0.09, FINE, False), (0.1, DIAL, False)])
def test_the_gauges_say_whether_a_change_means_anything(
    visit: Make, found: float, gauge: Gauge, is_within: bool
) -> None:
    history = unit_history("K-1183", [visit("1", LONG_AGO, None, 0.08, gauge), visit("2", NOW, found, gauge=gauge)])
    told = wear(history)
    # u = √((r/√12)² + (e/√3)²) each, expanded by 2, added in quadrature (GUM 5.1.2, F.2.2.1).
    u = ((gauge.resolution / 12**0.5) ** 2 + (gauge.stated_error / 3**0.5) ** 2) ** 0.5
    assert told.doubt == pytest.approx(2 * u * 2**0.5)
    assert told.is_within_doubt is is_within
    assert ("within what the gauges can tell" in doubt_words(told, "metric")) is is_within


@pytest.mark.parametrize(("one", "other"), [(None, DIAL), (DIAL, None), (None, None)])
def test_without_a_gauge_on_both_sides_nobody_can_say(visit: Make, one: Any, other: Any) -> None:
    history = unit_history("K-1183", [visit("1", LONG_AGO, None, 0.08, one), visit("2", NOW, 0.08, gauge=other)])
    assert wear(history).doubt is None
    assert not wear(history).is_within_doubt
    assert "not both name a gauge" in doubt_words(wear(history), "metric")


def test_changes_are_told_in_the_shop_s_units_with_their_sign(visit: Make) -> None:
    history = unit_history("K-1183", [visit("1", LONG_AGO, None, 0.0762), visit("2", NOW, 0.1016)])
    assert change_words(wear(history), "metric") == "+0.025 mm"
    assert change_words(wear(history), "inch") == "+0.0010 in"
    less = unit_history("K-1183", [visit("1", LONG_AGO, None, 0.1), visit("2", NOW, 0.08)])
    assert change_words(wear(less), "metric") == "-0.020 mm"
    same = unit_history("K-1183", [visit("1", LONG_AGO, None, 0.1), visit("2", NOW, 0.1)])
    assert change_words(wear(same), "metric") == "0.000 mm"


def test_what_is_followed_stands_in_the_order_of_work(visit: Make) -> None:
    history = unit_history("K-1183", [visit("1", LONG_AGO, 0.16, 0.08), visit("2", NOW, 0.12)])
    keys = [worth.key for worth in history.followed]
    assert keys.index("backlash_mean") < keys.index("ring_sum")
    assert len(keys) == len(set(keys))


# -- what was corrected ------------------------------------------------------------------------------------------------


def reading(number: int, text: str, minutes: int = 0, **more: Any) -> Reading:
    place = {"stage": "backlash", "entry": "backlash", "position": "at_000", "trial": 1, **more}
    value = float(text) if text and text[0].isdigit() else None
    details = {"value": value, "text": text, "unit": "mm" if value else "", "gauge_id": None, "person": "Jory Pell"}
    return Reading(id=number, job_id=1, taken_at=NOW + timedelta(minutes=minutes), **{**details, **place})


CHAIN = (
    reading(1, "0.9"),
    reading(2, "0.09", replaces=1, reason="decimal point\nslipped"),
    reading(3, "0.08", position="at_045"),
    reading(4, "", replaces=2, reason="wrong tooth"),
    reading(5, "0.07", replaces=4),
)


def test_every_replaced_reading_is_named_with_what_took_its_place() -> None:
    found = replaced_readings(CHAIN)
    assert [(r.before.id, r.after.id, r.is_taken_back) for r in found] == [(1, 2, False), (2, 4, True)]
    assert list(replaced_by_place(CHAIN)) == [("backlash", "backlash", "at_000", 1)]
    told = [replaced_words(r) for r in found]
    assert told[0].startswith("0.9 mm became 0.09 mm; replaced by Jory Pell, ")
    assert told[0].endswith(": decimal point slipped")
    assert told[1].startswith("0.09 mm taken back by Jory Pell")


def test_a_change_is_told_from_what_stood_before_to_what_stands_now() -> None:
    later = [
        reading(6, "0.06", 10, replaces=5),
        reading(7, "0.065", 11, replaces=6),
        reading(8, "", 12, position="at_045", replaces=3),
        reading(9, "0.1", 13, position="at_090"),
        reading(10, "0.2", 14, position="at_135"),
        reading(11, "", 15, position="at_135", replaces=10),
    ]
    found = changes_since([*CHAIN, *later], NOW + timedelta(minutes=5))
    told = [(c.reading.position, c.before and c.before.text, c.now and c.now.text) for c in found]
    # What was added and taken back again since is no change.
    assert told == [("at_000", "0.07", "0.065"), ("at_045", "0.08", None), ("at_090", None, "0.1")]
    assert changes_since(CHAIN, NOW + timedelta(minutes=5)) == ()


def test_readings_are_told_as_they_were_typed() -> None:
    backlash, found = stage("backlash").entry("backlash"), stage("teardown").entry("torque_whole")
    assert typed_words(backlash, reading(1, "0.9")) == "0.9 mm"
    assert typed_words(backlash, replace(reading(1, "0.5"), text="½", unit="in")) == "½ in"
    assert typed_words(found, replace(reading(1, "9.5"), text="9.5 in-lb", unit="lbf_in")) == "9.5 in-lb"
    assert typed_words(stage("teardown").entry("oil_found"), reading(1, "milky")) == "milky: water in it"
    assert typed_words(None, reading(1, "x" * 300)).endswith("x…")
    assert place_words(reading(1, "0.9")) == "Backlash, Backlash, 0°, trial 1"
    assert place_words(reading(1, "0.9", stage="polish", entry="shine")) == "polish, shine, trial 1"
    assert standing_words(backlash, "") == "In the logbook nothing stands here any more."


# -- all of it ---------------------------------------------------------------------------------------------------------


def test_the_whole_history_in_lines(visit: Make) -> None:
    events = [
        JobEvent(2407, "opened", LONG_AGO, "Tam Ollerby"),
        JobEvent(2407, "sheet", LONG_AGO, "Tam Ollerby",
                 {"copy": "customer", "revision": "1", "fingerprint": "ab12" * 16}),
        JobEvent(2407, "reopened", LONG_AGO, "Wren Hask", {"revision": "2", "reason": "name misspelt"}),
        JobEvent(2407, "corrected", LONG_AGO, "",
                 {"field": "customer", "old": "Brakwater", "new": "Brackwater", "reason": ""}),
    ]  # fmt: skip
    ring = Part(1, "ring", "", "C3", 2.6, 4)
    seal = Part(2, "seal", "output seal", "", None, 3)
    parts = JobParts(
        {"ring_gear_side": Hold(ring, "backlash", "ring_gear_side", 1, True),
         "opposite_side": Hold(ring, "backlash", "opposite_side", 1, False)},
        (UsedPart(seal, 2),),
    )  # fmt: skip
    kept = Photo(1, 2407, "teardown", "", "", 0, None, "Worn lip", "d", 10, 10, "Tam Ollerby", LONG_AGO)
    struck = replace(kept, id=2, caption="", struck_at=LONG_AGO, struck_by="Tam Ollerby", strike_reason="blurred")
    first = visit("2407", LONG_AGO, 0.16, 0.08, events=events, parts=parts, photos=[kept, struck])
    history = unit_history("K-1183", [first, visit("2611", NOW, 0.12)])
    one = history.visits[0]
    assert part_words(one) == [ring.called, "2 × output seal"]
    assert sheet_words(one.sheets[0]) == "2024-03-04: customer's copy, revision 1, fingerprint ab12ab12ab12"
    assert change_lines(one)[0] == "2024-03-04, Wren Hask: Reopened as revision 2: name misspelt"
    assert change_lines(one)[1].startswith("2024-03-04, somebody: Corrected customer: “Brakwater”")
    assert [photo_words(photo) for photo in one.photos] == [
        "Worn lip, 2024-03-04",
        "Teardown, 2024-03-04 (struck: blurred)",
    ]
    told = "\n".join(history_lines(history, "metric"))
    for said in (
        "Unit K-1183, 2 visits",
        "Job 2407, since 2024-03-04; Not signed yet",
        "Spec card: Orrin B, revision 1",
        "2 × output seal",
        "fingerprint ab12ab12ab12",
        "728 days after the visit before",
        "+0.040 mm, more than the gauges can be wrong",
        "(struck: blurred)",
    ):
        assert said in told


def test_a_visit_without_a_reading_says_so(visit: Make) -> None:
    told = list(history_lines(unit_history("K-1183", [visit("1", NOW)]), "inch"))
    assert told[0] == "Unit K-1183, first time here"
    assert any("Nothing was measured" in line for line in told)
