"""The declarations of the six stages: every rule a declaration must keep, tried on each of them."""

from __future__ import annotations

from collections import Counter
from typing import Any

import pytest

from core.quantities import KINDS, show
from core.sheet.figures import FIGURES
from core.shop_inputs import GAUGE_KINDS
from core.stages import STAGES, register, stage
from core.stages.card import FACT_SPECS, FACTS_BY_KEY, LIMIT_SPECS, LIMITS_BY_KEY
from core.stages.conditions import MAKER_FIRST
from core.stages.entry import FOUND, GAUGE_USES, LEFT_AS, Derived, Entry, Stage, around, numbered

ORDER = ["teardown", "housing_prep", "preload", "backlash", "contact_pattern", "fill"]
ENTRIES = [pytest.param(e, id=f"{s.key}-{e.key}") for s in STAGES for e in s.entries]
DERIVED = [pytest.param(s, d, id=f"{s.key}-{d.key}") for s in STAGES for d in s.derived]


def test_the_stages_stand_in_the_order_of_work() -> None:
    assert [s.key for s in STAGES] == ORDER
    assert [stage(key).key for key in ORDER] == ORDER


def test_an_unknown_stage_entry_or_position_is_a_key_error() -> None:
    with pytest.raises(KeyError, match="no stage 'paint'"):
        stage("paint")
    with pytest.raises(KeyError, match="no entry 'colour'"):
        stage("fill").entry("colour")
    with pytest.raises(KeyError, match="no position 'middle'"):
        stage("fill").entry("seal_fitted").position("middle")


@pytest.mark.parametrize("declared", STAGES, ids=ORDER)
def test_keys_are_unique_within_a_stage_and_lower_snake_case(declared: Stage) -> None:
    keys = [e.key for e in declared.entries] + [d.key for d in declared.derived]
    assert [key for key, times in Counter(keys).items() if times > 1] == []
    assert all(key.isascii() and key.isidentifier() and key == key.lower() for key in keys)


@pytest.mark.parametrize("declared", STAGES, ids=ORDER)
def test_each_stage_is_labelled_and_puts_the_maker_first(declared: Stage) -> None:
    assert declared.label
    assert declared.cautions[0] == MAKER_FIRST
    assert len(set(declared.cautions)) == len(declared.cautions) > 2
    assert all(caution.endswith(".") for caution in declared.cautions)
    assert declared.figure in {"", *FIGURES}


@pytest.mark.parametrize("declared", STAGES, ids=ORDER)
def test_each_stage_ends_with_an_optional_note(declared: Stage) -> None:
    last = declared.entries[-1]
    assert (last.key, last.kind, last.needed_positions) == ("note", "text", 0)


@pytest.mark.parametrize("declared", STAGES, ids=ORDER)
def test_a_stage_in_trials_is_accepted_by_an_entry_of_its_own(declared: Stage) -> None:
    if not declared.has_trials:
        assert declared.key in ("teardown", "housing_prep", "fill")
        assert not any(e.is_trial for e in declared.entries)
        return
    accept = declared.entry(declared.accept)
    assert (accept.kind, accept.is_trial, accept.needed_positions) == ("yes_no", True, 0)
    assert next(c for c in accept.choices if c.key == "no").is_good is None, "turning a trial down is no fault"


@pytest.mark.parametrize("declared", STAGES, ids=ORDER)
def test_entries_of_one_group_stand_together(declared: Stage) -> None:
    groups = [e.group for e in declared.entries]
    changes = [group for before, group in zip(["", *groups], groups, strict=False) if group != before]
    assert all(groups)
    assert len(changes) == len(set(groups))


@pytest.mark.parametrize("entry", ENTRIES)
def test_an_entry_is_soundly_declared(entry: Entry) -> None:
    check_names_only_what_exists(entry)
    check_says_what_to_do(entry)
    check_choices_differ(entry)
    check_positions_can_be_met(entry)
    check_bounds_are_possible(entry)


def check_names_only_what_exists(entry: Entry) -> None:
    kind = KINDS[entry.kind]
    assert entry.unit in ({u.id for u in kind.units} | {""})
    if kind.is_number and entry.kind != "count":
        assert entry.unit, "a bare number needs a unit to be taken in"
    if entry.limit:
        assert LIMITS_BY_KEY[entry.limit].kind == entry.kind
    if entry.gauge:
        assert entry.gauge in GAUGE_USES
        assert GAUGE_KINDS[entry.gauge][0] == entry.kind
    assert entry.moment in ("", FOUND, LEFT_AS)


def check_says_what_to_do(entry: Entry) -> None:
    assert entry.label
    assert not entry.label.endswith(".")
    assert entry.help.endswith(".")


def check_choices_differ(entry: Entry) -> None:
    keys = [c.key for c in entry.choices]
    assert bool(keys) == (entry.kind in ("choice", "yes_no"))
    assert len(set(keys)) == len(keys)
    assert len({c.label for c in entry.choices}) == len(keys)
    if entry.kind == "yes_no":
        assert keys == ["yes", "no"]


def check_positions_can_be_met(entry: Entry) -> None:
    keys = [p.key for p in entry.positions]
    assert len(set(keys)) == len(keys) >= 1
    assert 0 <= entry.needed_positions <= len(keys)
    if len(keys) > 1:
        assert all(p.key and p.label for p in entry.positions)


def check_bounds_are_possible(entry: Entry) -> None:
    for bound in (entry.lowest, entry.highest):
        if bound is not None:
            assert KINDS[entry.kind].is_number
            assert show(entry.kind, bound, entry.unit)
    if entry.lowest is not None and entry.highest is not None:
        assert entry.lowest < entry.highest
    if entry.kind in ("length", "torque", "volume"):
        assert entry.lowest is not None, "a size below nothing must be refused"
        # A mark etched on a pinion is a deviation and has a sign; a cup may stand short of its cone as well as beyond.
        assert entry.lowest >= 0 or entry.key.startswith("etched_") or entry.key == "cup_stand"
        assert entry.highest is not None


@pytest.mark.parametrize(("declared", "derived"), DERIVED)
def test_a_computed_value_names_only_what_exists(declared: Stage, derived: Derived) -> None:
    assert derived.label
    assert KINDS[derived.kind].unit(derived.unit)
    if derived.limit:
        assert LIMITS_BY_KEY[derived.limit].kind == derived.kind
    if derived.gauge_entry:
        gauged = declared.entry(derived.gauge_entry)
        assert gauged.gauge
        assert gauged.is_trial == derived.is_trial
    assert derived.moment in ("", FOUND, LEFT_AS)


def test_found_and_left_are_set_beside_each_other_only_in_one_kind() -> None:
    pairs: dict[str, list[Any]] = {}
    for declared in STAGES:
        for part in (*declared.entries, *declared.derived):
            if part.compares:
                pairs.setdefault(part.compares, []).append(part)
    assert {"backlash_mean", "ring_sum", "runout", "final_turning_torque", "contact_drive_along"} <= set(pairs)
    for key, parts in pairs.items():
        assert len({p.kind for p in parts}) == 1, key
        assert sorted({p.moment for p in parts}) == [FOUND, LEFT_AS], key
        assert [p.moment for p in parts].count(FOUND) == 1, key
        assert len({p.sheet_label for p in parts}) == 1, key


def test_a_field_of_a_card_names_only_what_exists() -> None:
    for spec in (*LIMIT_SPECS, *FACT_SPECS):
        kind = KINDS[spec.kind]
        assert spec.label, spec.key
        if kind.is_number and spec.kind != "count":
            assert kind.unit(spec.unit), spec.key
        assert bool(getattr(spec, "choices", ())) == (spec.kind == "choice"), spec.key


def test_keys_of_a_card_are_unique() -> None:
    assert len(LIMITS_BY_KEY) == len(LIMIT_SPECS)
    assert len(FACTS_BY_KEY) == len(FACT_SPECS)
    assert [s.key for s in FACT_SPECS if s.is_needed] == ["ring_gear_side", "setting_method"]


@pytest.mark.parametrize("family", ["Orrin B", "Kelda 3", "Vask T"])
@pytest.mark.parametrize("is_limited_slip", [True, False])
def test_every_job_is_asked_for_what_sits_on_both_sides(paper: Any, family: str, is_limited_slip: bool) -> None:
    job = paper(family, is_limited_slip=is_limited_slip).job
    for key in ("preload", "backlash"):
        sides = [e.key for e in stage(key).entries if "_side" in e.key and e.applies(job)]
        nut = "nut_" if family == "Vask T" else ""
        assert sides == [f"{nut}ring_gear_side", f"{nut}opposite_side"]
    found = [e.key for e in stage("teardown").entries if e.key.startswith("rings_found") and e.applies(job)]
    assert bool(found) == (family != "Vask T")
    for where, key in (
        ("teardown", "clutch_pack"),
        ("teardown", "plate_thickness"),
        ("teardown", "breakaway_torque"),
        ("fill", "friction_modifier"),
    ):
        assert stage(where).entry(key).applies(job) == is_limited_slip


def test_every_limit_of_a_card_is_answered_by_some_reading() -> None:
    answered = {part.limit for s in STAGES for part in (*s.entries, *s.derived)}
    assert set(LIMITS_BY_KEY) - answered == set()


def test_every_use_of_a_gauge_has_a_kind() -> None:
    assert list(GAUGE_KINDS) == list(GAUGE_USES)
    for kind, unit in GAUGE_KINDS.values():
        assert KINDS[kind].unit(unit)


def test_places_around_the_gear_are_evenly_spread() -> None:
    assert [p.key for p in around(8)] == [f"at_{a:03}" for a in range(0, 360, 45)]
    assert [p.angle_deg for p in around(4)] == [0.0, 90.0, 180.0, 270.0]
    assert around(8)[1].label == "45°"
    assert [p.label for p in numbered(2, "plate")] == ["plate 1", "plate 2"]


def test_registering_replaces_a_stage_in_its_place_and_appends_a_new_one() -> None:
    fill = stage("fill")
    before = list(STAGES)
    painted = Stage("paint", "Paint", (), ())
    try:
        register(Stage("fill", "Fill again", fill.entries, fill.cautions))
        register(painted)
        assert [s.label for s in STAGES[-2:]] == ["Fill again", "Paint"]
        assert stage("paint") is painted
    finally:
        STAGES[:] = before
    assert stage("fill") is fill
