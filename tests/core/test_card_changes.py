"""What changed between two revisions of a card, and how it is said."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from core.card_changes import FACT, LIMIT, CardChange, changes, count_in_words, fact_text, in_words, limit_text
from core.facts import CardFact, Limit, SpecCard
from core.stages.card import FACT_SPECS, LIMIT_SPECS

BACKLASH = Limit("backlash", 0.06, 0.10, "0.06 mm", "0.10 mm", "mm", "manual")
RUNOUT = Limit("runout", None, 0.05, "", "0.05 mm", "mm", "shop practice")
SIDE = CardFact("ring_gear_side", None, "left", "", "seen")
WIDTH = CardFact("face_width", 30.0, "30 mm", "mm", "measured")


def card(*values: Limit | CardFact, revision: int = 1) -> SpecCard:
    limits = {value.key: value for value in values if isinstance(value, Limit)}
    facts = {value.key: value for value in values if isinstance(value, CardFact)}
    return SpecCard(revision, "Orrin B", revision, limits, facts)


def test_what_is_equal_did_not_change() -> None:
    assert changes(card(BACKLASH, SIDE), card(BACKLASH, SIDE, revision=2)) == ()


def test_added_removed_and_changed_come_in_the_order_of_the_card_page() -> None:
    wider = replace(BACKLASH, high=0.12, high_text="0.12 mm")
    found = changes(card(WIDTH, BACKLASH), card(SIDE, wider, RUNOUT))
    assert found == (
        CardChange(LIMIT, "backlash", "0.06 mm to 0.10 mm", "0.06 mm to 0.12 mm", "manual", "manual"),
        CardChange(LIMIT, "runout", "", "at most 0.05 mm", "", "shop practice"),
        CardChange(FACT, "ring_gear_side", "", "left", "", "seen"),
        CardChange(FACT, "face_width", "30 mm", "", "measured", ""),
    )
    assert [in_words(change) for change in found] == [
        "Backlash: 0.06 mm to 0.10 mm → 0.06 mm to 0.12 mm",
        "Ring-gear back-face runout: added, at most 0.05 mm (shop practice)",
        "Ring-gear side, seen from the pinion: added, left (seen)",
        "Face width: taken out, was 30 mm",
    ]
    assert count_in_words(found) == "4 changed"
    assert count_in_words(()) == "nothing changed"


def test_a_source_that_changed_is_a_change_of_its_own() -> None:
    (moved,) = changes(card(BACKLASH), card(replace(BACKLASH, source="shop practice")))
    assert (moved.is_value_changed, moved.is_source_changed) == (False, True)
    assert in_words(moved) == "Backlash: 0.06 mm to 0.10 mm stays; source: manual → shop practice"
    (both,) = changes(card(WIDTH), card(CardFact("face_width", 31.0, "31 mm", "mm", "")))
    assert in_words(both) == "Face width: 30 mm → 31 mm; source: measured → no source"


def test_against_nothing_everything_was_added() -> None:
    assert {change.key for change in changes(None, card(BACKLASH, SIDE))} == {"backlash", "ring_gear_side"}
    assert all(change.old == "" for change in changes(None, card(BACKLASH, SIDE)))


def test_the_same_value_with_and_without_its_unit_is_the_same() -> None:
    assert changes(card(WIDTH), card(replace(WIDTH, text="30"))) == ()
    assert changes(card(WIDTH), card(replace(WIDTH, text="30.0", value=30.0))) != ()


def test_a_choice_is_said_by_its_label() -> None:
    by_rings, by_nuts = (card(CardFact("setting_method", None, how)) for how in ("outboard_rings", "adjuster_nuts"))
    (change,) = changes(by_rings, by_nuts)
    assert in_words(change) == "How the side bearings are set: outboard rings → adjuster nuts"


def test_what_this_program_does_not_know_is_still_told() -> None:
    (change,) = changes(card(Limit("wobble", None, 1.0, "", "1 mm", "mm", "x")), card())
    assert in_words(change) == "wobble: taken out, was at most 1 mm"
    (change,) = changes(card(), card(CardFact("hue", 3.0, "3", "mm", "x")))
    assert in_words(change) == "hue: added, 3 (x)"


def test_texts_of_limits_and_facts() -> None:
    assert limit_text(None) == fact_text(None) == ""
    assert limit_text(Limit("runout", 1.0, None, "1 mm")) == "at least 1 mm"
    assert limit_text(Limit("runout", None, None)) == ""
    assert fact_text(CardFact("spiral_angle", 35.0, "35°", "deg")) == "35°"
    assert fact_text(CardFact("bolt_friction", 0.14, "0.14", "one")) == "0.14"
    assert fact_text(CardFact("bolt_thread", None, "M12x1.25")) == "M12x1.25"


CARDS = st.builds(
    lambda limits, facts: card(*limits, *facts),
    st.lists(
        st.builds(
            lambda spec, high, source: Limit(spec.key, None, float(high), "", f"{high}", spec.unit, source),
            st.sampled_from(LIMIT_SPECS),
            st.integers(0, 3),
            st.sampled_from(["a", "b"]),
        ),
        max_size=5,
    ),
    st.lists(
        st.builds(
            lambda spec, text, source: CardFact(spec.key, None, text, "", source),
            st.sampled_from(FACT_SPECS),
            st.sampled_from(["x", "y"]),
            st.sampled_from(["", "b"]),
        ),
        max_size=5,
    ),
)


@given(CARDS, CARDS)
def test_there_and_back_is_the_same_the_other_way_round(one: SpecCard, other: SpecCard) -> None:
    there, back = changes(one, other), changes(other, one)
    assert [(c.what, c.key, c.old, c.new, c.old_source, c.new_source) for c in there] == [
        (c.what, c.key, c.new, c.old, c.new_source, c.old_source) for c in back
    ]
    assert all(in_words(change) for change in there)


@given(CARDS, CARDS)
def test_changes_name_what_differs_and_nothing_else(one: SpecCard, other: SpecCard) -> None:
    named = {(change.what, change.key) for change in changes(one, other)}
    differing = {(LIMIT, key) for key in {*one.limits, *other.limits} if one.limits.get(key) != other.limits.get(key)}
    differing |= {(FACT, key) for key in {*one.facts, *other.facts} if one.facts.get(key) != other.facts.get(key)}
    assert named == differing
