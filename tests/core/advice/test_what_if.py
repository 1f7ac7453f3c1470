"""What if: moves are answered as the model moves, the present setting as it is, and never with more than is known."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from contact_sets import random_set
from told import demo_data

from core.advice import Known, advise
from core.advice.what_if import After, WhatIf, what_if
from core.advice.what_if_words import in_words, source_words
from core.drafts import JobDraft
from core.errors import RangeError
from core.facts import CardFact, Limit, Part
from core.mechanics.contact import Cut
from core.mechanics.outline import measure
from core.shop_inputs import read_card
from core.verdict import Answer

Paper = Callable[..., Any]
KEYS = ("drive_along", "drive_depth", "coast_along", "coast_depth")
HIGH = ("48", "70", "48", "68")


def fact(key: str, text: str) -> dict[str, CardFact]:
    return {key: CardFact(key, None, text)}


def rings(*sizes_mm: float) -> list[Part]:
    return [Part(at, "ring", "", f"T{at}", size, 1, measured_mm=(size,)) for at, size in enumerate(sizes_mm, start=1)]


def read(job: Any, *centres: str, trial: int = 1, shim: str = "") -> Any:
    for key, text in zip(KEYS, centres, strict=True):
        job.read("contact_pattern", key, text, trial=trial)
    if shim:
        job.read("contact_pattern", "pinion_shim", shim, trial=trial)
    return job


@pytest.fixture
def told(paper: Paper) -> Callable[..., Any]:
    """Return a maker of jobs with backlash accepted at 0.08 mm, rings 2.600 and 2.450 mm, and a high print."""

    def make(centres: tuple[str, ...] = HIGH, shim: str = "1.30", **changes: Any) -> Any:
        changes.setdefault("facts", fact("pinion_shim_effect", "in"))
        return read(paper(**changes).tell("orrin", upto="backlash"), *centres, shim=shim)

    return make


def asked(job: Any, *parts: Part) -> WhatIf:
    return what_if(job.context, Known(parts))


def words(job: Any, pinion_mm: float, gear_mm: float, *parts: Part, unit: str = "mm") -> str:
    found = asked(job, *parts)
    return " ".join(in_words(found.after(pinion_mm, gear_mm), found, unit))


def centres(after: After) -> list[float]:
    return [share for expected in after.prints for share in (expected.along, expected.depth)]


def test_as_it_stands_the_prints_are_about_where_they_were_read_and_the_backlash_is_the_one_read(told: Any) -> None:
    after = asked(told()).after(0.0, 0.0)
    assert centres(after) == pytest.approx([0.48, 0.70, 0.48, 0.68], abs=0.04)
    assert after.backlash_mm == pytest.approx(0.08), "the mean of the eight places"
    assert (after.shim_mm, after.shim_change_mm, after.fit) == (1.30, 0.0, None)


def test_prints_and_outlines_go_where_the_belief_says_from_where_they_were_read(told: Any) -> None:
    found = asked(told())
    for pinion_mm, gear_mm in ((0.0, 0.0), (-0.1, 0.0), (0.0, 0.06), (-0.12, 0.06)):
        after = found.after(pinion_mm, gear_mm)
        offs = found.own.after(pinion_mm, gear_mm, found.belief.slopes(pinion_mm, gear_mm))[0]
        assert centres(after) == pytest.approx(list(found.belief.centres(pinion_mm, gear_mm) + offs), abs=0.005)
        for expected in after.prints:
            drawn = measure(expected.rings)
            assert (drawn.along, drawn.depth) == pytest.approx((expected.along, expected.depth), abs=0.02)


@pytest.mark.parametrize("read_at", [("66", "52", "63", "49"), ("40", "36", "62", "66"), ("70", "70", "30", "30")])
def test_a_print_the_card_cannot_explain_is_drawn_near_where_it_was_read(told: Any, read_at: tuple[str, ...]) -> None:
    found = asked(told(read_at))
    read_shares = np.array([float(text) / 100.0 for text in read_at])
    believed = np.abs(found.belief.centres(0.0, 0.0) - read_shares)
    expected = found.after(0.0, 0.0)
    drawn = np.abs(np.array(centres(expected)) - read_shares)
    assert believed.max() > 0.08, "the belief alone would draw it elsewhere"
    assert (drawn <= 1.5 * found.own.reading_sds).all()
    assert drawn.max() < 0.7 * believed.max()
    doubts = [doubt for at in expected.prints for doubt in (at.along_doubt, at.depth_doubt)]
    assert (np.array(doubts) <= 2.0 * found.own.reading_sds).all()
    assert "taken as this set's own" in " ".join(source_words(found))
    assert "taken as this set's own" not in " ".join(source_words(asked(told(("50", "52", "50", "49")))))


def test_the_likelier_of_sound_and_odd_is_asked_as_the_advice_does(told: Any) -> None:
    sound = asked(told(("50", "52", "50", "49")))
    assert sound.belief is sound.seen.belief
    odd = asked(told(("80", "25", "25", "80")))
    assert odd.belief is odd.seen.odd


def test_the_pinion_away_lifts_both_prints_and_the_ring_gear_away_takes_drive_to_the_heel(told: Any) -> None:
    found = asked(told(("50", "50", "50", "50")))
    here, out, away = (found.after(*move) for move in ((0.0, 0.0), (0.08, 0.0), (0.0, 0.08)))
    assert out.prints[0].depth > here.prints[0].depth + 0.03
    assert out.prints[1].depth > here.prints[1].depth + 0.03
    assert away.prints[0].along > here.prints[0].along + 0.01


def test_where_the_concave_flank_drives_the_sides_change_places(told: Any) -> None:
    facts = fact("pinion_shim_effect", "in") | fact("drive_flank", "concave")
    usual = asked(told(("62", "70", "42", "66"))).after(-0.05, 0.03)
    other = asked(told(("42", "66", "62", "70"), facts=facts)).after(-0.05, 0.03)
    assert centres(usual)[:2] == pytest.approx(centres(other)[2:])
    assert [expected.side for expected in other.prints] == ["drive", "coast"]


def test_the_doubt_grows_with_the_move_and_shrinks_with_a_real_one(told: Any) -> None:
    job = told()
    found = asked(job)
    here, far = found.after(0.0, 0.0), found.after(-0.2, 0.0)
    assert far.prints[0].depth_doubt > here.prints[0].depth_doubt >= 0.06
    read(job, "50", "55", "47", "53", trial=2, shim="1.38")
    assert asked(job).after(-0.1, 0.0).prints[0].depth_doubt < found.after(-0.18, 0.0).prints[0].depth_doubt


def random_set_on_card(seed: int) -> dict[str, Any]:
    """Return the changes to a job whose card and teeth say what a random set is."""
    drawn = random_set(np.random.default_rng(seed), is_hypoid=bool(seed % 2), cut=list(Cut)[seed % 2])
    lengths_mm = {
        "gear_outer_diameter": drawn.outer_diameter_mm,
        "face_width": drawn.face_width_mm,
        "pinion_offset": drawn.offset_mm,
        "cutter_radius": drawn.cutter_radius_mm,
    }
    typed = {key: f"{size_mm:.2f} mm" for key, size_mm in lengths_mm.items()}
    typed |= {"spiral_angle": f"{drawn.spiral_angle_deg:.1f}°", "gear_cut": drawn.cut.value}
    said = {said.key: said for said in read_card({}, typed)[1]} | fact("pinion_shim_effect", "in")
    facts: dict[str, CardFact | None] = {**said, "working_depth": None}
    return {"facts": facts, "ring_gear_teeth": drawn.ring_gear_teeth, "pinion_teeth": drawn.pinion_teeth}


def test_between_the_knots_the_doubt_is_about_that_of_the_slopes_themselves(told: Any) -> None:
    rng = np.random.default_rng(11)
    off: list[float] = []
    for seed in range(6):
        found = asked(told(("55", "62", "46", "60"), **random_set_on_card(seed)))
        for pinion_mm, gear_mm in rng.uniform(-found.reach_mm, found.reach_mm, (8, 2)):
            doubts = [
                doubt for at in found.after(pinion_mm, gear_mm).prints for doubt in (at.along_doubt, at.depth_doubt)
            ]
            slopes = found.belief.slopes(pinion_mm, gear_mm)
            off += list(np.abs(np.log(doubts / (2.0 * found.own.after(pinion_mm, gear_mm, slopes)[1]))))
    assert np.quantile(off, 0.9) < 0.1
    assert max(off) < 0.5


def test_backlash_moves_the_ring_gear_and_back(told: Any) -> None:
    found = asked(told())
    gear_mm = found.gear_for(0.10, -0.05)
    assert found.after(-0.05, gear_mm).backlash_mm == pytest.approx(0.10)
    assert found.gear_for(found.backlash_mm(0.0, 0.0), 0.0) == pytest.approx(0.0)
    assert found.backlash_mm(0.0, 0.1) - found.backlash_mm(0.0, 0.0) == pytest.approx(0.07, abs=0.01)


@pytest.mark.parametrize(
    ("limit", "gear_mm", "answer", "said"),
    [
        (Limit("backlash", 0.06, 0.10), 0.0, Answer.CONFORMS, "within the limit (0.060 to 0.100 mm)"),
        (Limit("backlash", 0.06, 0.10), 0.1, Answer.DOES_NOT_CONFORM, "above the limit (0.060 to 0.100 mm)"),
        (Limit("backlash", 0.06, 0.10), -0.06, Answer.DOES_NOT_CONFORM, "below the limit (0.060 to 0.100 mm)"),
        (Limit("backlash", 0.06, None), 0.2, Answer.CONFORMS, "within the limit (at least 0.060 mm)"),
        (Limit("backlash", None, 0.10), 0.1, Answer.DOES_NOT_CONFORM, "above the limit (at most 0.100 mm)"),
        (None, 0.1, Answer.MISSING, "the card gives no limits for it"),
    ],
)
def test_backlash_is_told_with_how_it_lies_to_the_limits(
    told: Any, limit: Limit | None, gear_mm: float, answer: Answer, said: str
) -> None:
    job = told(limits={"backlash": limit})
    assert asked(job).after(0.0, gear_mm).backlash is answer
    assert said in words(job, 0.0, gear_mm)


@pytest.mark.parametrize(
    ("effect", "shim", "said"),
    [
        ("in", "1.30", "Pinion shim 1.400 mm instead of 1.300 mm."),
        ("out", "1.30", "Pinion shim 1.200 mm instead of 1.300 mm."),
        ("out", "0.08", "No shim is thin enough: 0.080 mm is in."),
        ("in", "", "A pinion shim thicker by 0.100 mm."),
        ("out", "", "A pinion shim thinner by 0.100 mm."),
        ("", "1.30", "which of them depends on where it sits"),
    ],
)
def test_the_shim_is_told_as_far_as_it_is_known(told: Any, effect: str, shim: str, said: str) -> None:
    facts = fact("pinion_shim_effect", effect) if effect else {"pinion_shim_effect": None}
    assert said in words(told(shim=shim, facts=facts), -0.1, 0.0)


def test_the_rings_that_keep_the_sum_are_named_with_their_places(told: Any) -> None:
    drawer = rings(2.60, 2.45, 2.55, 2.50, 2.70)
    job = told()
    fit = asked(job, *drawer).after(0.0, 0.05).fit
    assert fit is not None and fit.parts is not None
    assert fit.thickness_mm == (2.55, 2.50)
    assert [part.place for part in fit.parts] == ["T3", "T4"]
    assert fit.moves_mm == pytest.approx(0.05)
    said = words(job, 0.0, 0.05, *drawer)
    assert "Rings 2.550 mm on the ring-gear side and 2.500 mm opposite, from T3 and T4." in said
    assert "which move it 0.050 mm away" in words(job, 0.0, 0.04, *drawer)


def test_no_pair_is_named_that_is_in_already_or_does_not_come_near(told: Any) -> None:
    job = told()
    assert "The rings stay." in words(job, -0.1, 0.0, *rings(2.60, 2.45))
    for gear_mm in (0.01, 0.05, -0.05):
        assert "The drawer has no pair near it" in words(job, 0.0, gear_mm, *rings(2.60, 2.45))


def test_before_backlash_is_accepted_no_pair_can_be_named(paper: Paper) -> None:
    job = read(paper(), *HIGH)
    assert "once a trial of backlash is accepted" in words(job, 0.0, 0.05, *rings(2.55, 2.50))
    assert "No backlash was read" in " ".join(source_words(asked(job)))


def test_a_backlash_that_nobody_read_is_not_judged(paper: Paper, told: Any) -> None:
    job = read(paper(), *HIGH)
    for gear_mm in (0.0, 0.3):
        assert asked(job).after(0.0, gear_mm).backlash is Answer.MISSING
        assert "none was read, so it is not judged" in words(job, 0.0, gear_mm)
    job.read("contact_pattern", "backlash_now", "0.08", trial=1)
    assert asked(job).after(0.0, 0.0).backlash is Answer.CONFORMS
    assert "not judged" not in words(told(), 0.0, 0.0)


def test_the_box_is_where_the_centre_is_to_lie_on_its_own_side(told: Any, paper: Paper) -> None:
    limits = {"contact_along": Limit("contact_along", 0.40, 0.55), "contact_depth": Limit("contact_depth", 0.45, 0.6)}
    found = asked(read(paper(limits=limits), *HIGH))
    for side in ("drive", "coast"):
        corners = ((0.40, 0.45), (0.55, 0.45), (0.55, 0.60), (0.40, 0.60))
        assert np.array(found.boxes[side]) == pytest.approx(np.array(corners))
    assert found.centres_read == {"drive": (0.48, 0.70), "coast": (0.48, 0.68)}
    job = told(facts=fact("drive_flank", "concave"))
    for key, text in (("drive_along", "40"), ("drive_depth", "55"), ("coast_along", "60"), ("coast_depth", "45")):
        job.read("teardown", f"contact_{key}", text)
    used = asked(job).boxes
    assert [sum(x for x, _ in used[side]) / 4 for side in ("drive", "coast")] == pytest.approx([0.40, 0.60])


def test_nuts_are_told_in_notches(paper: Paper) -> None:
    job = read(paper("Vask T", is_limited_slip=False).tell("vask", upto="backlash"), *HIGH)
    said = words(job, 0.0, 0.1)
    assert "Notches" in said and "Rings" not in said
    assert "The notches stay." in words(job, 0.1, 0.0)


def test_before_any_print_the_card_alone_is_asked_and_it_is_said(paper: Paper) -> None:
    found = asked(paper())
    after = found.after(0.0, 0.0)
    assert found.trial == 0 and found.advised is None
    assert centres(after) == pytest.approx([0.5] * 4, abs=0.02)
    assert min(expected.depth_doubt for expected in after.prints) > 0.2, "how it stands is not known"
    assert "No print was read yet" in source_words(found)[0]


def test_one_flank_alone_says_what_it_can_of_both_and_it_is_said(told: Any, paper: Paper) -> None:
    one = paper(facts=fact("pinion_shim_effect", "in")).tell("orrin", upto="backlash")
    none = asked(one).after(0.0, 0.0)
    for key, text in (("drive_along", "48"), ("drive_depth", "70")):
        one.read("contact_pattern", key, text, trial=1)
    found = asked(one)
    after = found.after(0.0, 0.0)
    assert (found.trial, found.centres_read, found.advised) == (1, {"drive": (0.48, 0.70)}, None)
    assert (after.prints[0].along, after.prints[0].depth) == pytest.approx((0.48, 0.70), abs=0.05)
    assert after.prints[1].depth > none.prints[1].depth + 0.05, "the pinion that lifts one flank lifts the other"
    both = asked(told()).after(0.0, 0.0)
    for at, (less, more) in enumerate([(none, after), (after, both)]):
        assert more.prints[1].depth_doubt < less.prints[1].depth_doubt, at
    said = " ".join(source_words(found))
    assert "the one flank that was read" in said
    assert "read both flanks of trial 1" in said


def test_what_was_taken_as_usual_is_named(told: Any) -> None:
    said = " ".join(source_words(asked(told(facts={"cutter_radius": None, "gear_cut": None}))))
    assert "taken as usual: cutter radius" in said and "the last is trial 1" in said


def test_the_advised_setting_is_the_one_the_advice_names(told: Any) -> None:
    job = told()
    found = asked(job)
    assert found.advised is not None and found.advised[0] < -0.03
    advice = advise("contact_pattern", job.state(), Known())
    assert advice is not None
    after = found.after(*found.advised)
    assert f"a shim of {after.shim_mm:.3f} mm instead of 1.300 mm" in advice.text
    assert any(f"backlash about {after.backlash_mm:.3f} mm" in note for note in advice.notes)
    assert after.backlash is Answer.CONFORMS
    assert max(abs(share - 0.5) for share in centres(after)) < 0.1


def shims(*sizes_mm: float) -> list[Part]:
    return [Part(at, "shim", "", f"S{at}", size, 1, measured_mm=(size,)) for at, size in enumerate(sizes_mm, start=11)]


@pytest.mark.parametrize(
    ("drawer", "said"),
    [
        (shims(1.40), "Under the pinion a shim of 1.400 mm instead of 1.300 mm; the drawer has one at S11."),
        (shims(1.37), ": that moves it 0.070 mm nearer."),
        (shims(0.10), "leave the shim of 1.300 mm in and lay 0.100 mm from S11 to it."),
        (shims(1.02, 0.38), "two shims of 1.400 mm together instead of 1.300 mm"),
        (shims(1.20, 2.00), "The drawer has none near it."),
        ([], "The drawer has none near it."),
    ],
)
def test_the_shims_of_the_drawer_are_named_where_one_comes_near(told: Any, drawer: list[Part], said: str) -> None:
    found = what_if(told().context, Known(shims=drawer))
    assert found.after(0.0, 0.0).under is None
    told_words = " ".join(in_words(found.after(-0.1, 0.0), found, "mm"))
    assert said in told_words
    assert "1.400 mm" in told_words
    assert told_words.count("instead of 1.300 mm") == 1, "nothing is said twice"


def test_a_centred_print_is_advised_to_stay_and_an_accepted_one_is_not_advised_on(paper: Paper) -> None:
    job = read(paper(), "46", "52", "48", "49")
    assert asked(job).advised == (0.0, 0.0)
    for key in ("drive_length", "drive_height", "coast_length", "coast_height"):
        job.read("contact_pattern", key, "55", trial=1)
    job.read("contact_pattern", "accepted", "yes", trial=1)
    assert asked(job).advised is None
    assert asked(job).after(0.05, 0.0).prints


def test_moves_count_from_where_the_gears_stand_after_a_real_move(told: Any) -> None:
    job = told()
    read(job, "50", "58", "47", "56", trial=2, shim="1.36")
    job.read("contact_pattern", "backlash_now", "0.09", trial=2)
    found = asked(job)
    assert found.trial == 2
    assert found.after(0.0, 0.0).backlash_mm == pytest.approx(0.09)
    assert found.after(-0.04, 0.0).shim_mm == pytest.approx(1.40)
    assert centres(found.after(0.0, 0.0)) == pytest.approx([0.50, 0.58, 0.47, 0.56], abs=0.06)


def test_the_job_is_answered_in_the_unit_it_was_read_in(told: Any) -> None:
    job = told(shim="0.0512 in")
    assert asked(job).unit == "in"
    assert "Pinion shim 0.0551 in instead of 0.0512 in." in words(job, -0.1, 0.0, unit="in")


def test_a_print_that_runs_off_the_tooth_is_said_to(told: Any) -> None:
    said = words(told(), 0.25, 0.0)
    assert "running off at face" in said


def test_sizes_no_set_can_have_are_refused(told: Any) -> None:
    with pytest.raises(RangeError):
        asked(told(facts={"gear_outer_diameter": CardFact("gear_outer_diameter", 20.0, "20", "mm")}))


def test_all_that_can_be_reached_is_answered_and_quickly(told: Any) -> None:
    found = asked(told(("30", "85", "70", "80")))
    reach_mm = found.reach_mm
    took = []
    for at in range(81):
        started = time.perf_counter()
        after = found.after(reach_mm * (at % 9 - 4) / 4, reach_mm * (at // 9 - 4) / 4)
        took.append(time.perf_counter() - started)
        assert all(expected.rings for expected in after.prints)
    # A shared machine may stop in the middle of any one of them, hence the quickest quarter.
    assert sorted(took)[20] < 0.005


def end_of_trail(workshop: Any) -> tuple[int, str]:
    with workshop._logbook.look() as work:
        return tuple(work.head())


def test_the_workshop_answers_and_writes_nothing(workshop: Any, job: Any) -> None:
    for key, text in zip(KEYS, HIGH, strict=True):
        workshop.record(job.id, "contact_pattern", key, text, trial=1, person="Tam Ollerby")
    before = end_of_trail(workshop)
    found, why_not = workshop.what_if(job.id)
    assert found is not None and not why_not
    assert found.after(0.02, -0.02).prints[0].rings
    assert end_of_trail(workshop) == before


def test_the_workshop_says_why_nothing_can_be_predicted(workshop: Any) -> None:
    facts = next(card["facts"] for card in demo_data("spec_cards") if card["family"] == "Orrin B")
    card = workshop.save_card("Odd 1", {}, facts | {"cutter_radius": "30 mm"})
    draft = JobDraft(
        number="2411",
        serial="K-1",
        customer="Brackwater",
        vehicle="special",
        asked_for="A look.",
        ring_gear_teeth="41",
        pinion_teeth="9",
        card_id=card.id,
    )
    found, why_not = workshop.what_if(workshop.new_job(draft, "Tam Ollerby").id)
    assert found is None
    assert why_not.startswith("The sizes on the card fit no set of gears:") and "cutter" in why_not
