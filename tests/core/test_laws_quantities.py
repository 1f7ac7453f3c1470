"""Laws that hold whatever is typed or measured."""

from __future__ import annotations

import math

from hypothesis import assume, example, given
from hypothesis import strategies as st

from core.errors import InputError
from core.facts import Gauge, Limit
from core.mechanics.uncertainty import combined_u, reading_u
from core.quantities import KINDS, Amount, from_unit, number, parse, show, to_unit, unit_for
from core.verdict import Answer, Verdict, judge, overall

UNITS = st.sampled_from([(kind.key, unit.id) for kind in KINDS.values() for unit in kind.units])
SCALED = st.sampled_from([(k.key, u.id) for k in KINDS.values() for u in k.units if k.key != "count"])
VALUES = st.floats(-1e6, 1e6, allow_nan=False)
DIGITS = st.text("0123456789", min_size=1, max_size=6)
LENGTHS = st.sampled_from(["mm", "µm", "cm", "m", "in", "thou", '"', "inch"])
ANSWERS = st.sampled_from(list(Answer))


@given(SCALED, VALUES)
def test_what_is_shown_can_be_typed(place: tuple[str, str], value: float) -> None:
    kind, unit = place
    shown = show(kind, value, unit)
    amount = parse(kind, shown, unit)
    half_a_step = 0.5 * 10.0 ** -KINDS[kind].unit(unit).decimals
    assert amount.unit == unit
    assert amount.value is not None
    assert math.isclose(
        to_unit(kind, amount.value, unit), to_unit(kind, value, unit), rel_tol=1e-12, abs_tol=half_a_step * 1.001
    )
    # Once rounded it stays where it is.
    assert show(kind, amount.value, unit) == shown


@given(SCALED, VALUES)
def test_shown_to_the_last_digit_it_is_the_same_number(place: tuple[str, str], value: float) -> None:
    kind, unit = place
    amount = parse(kind, show(kind, value, unit, 20), unit)
    assert amount.value is not None
    assert math.isclose(amount.value, value, rel_tol=1e-12, abs_tol=1e-12)


@given(st.integers(0, 10**9))
def test_counts_come_back(count: int) -> None:
    assert parse("count", show("count", float(count))).value == count


@given(UNITS, VALUES)
def test_there_and_back(place: tuple[str, str], value: float) -> None:
    kind, unit = place
    # A temperature far below the size of its offset keeps absolute digits only.
    assert math.isclose(from_unit(kind, to_unit(kind, value, unit), unit), value, rel_tol=1e-13, abs_tol=1e-12)


@given(UNITS, VALUES, VALUES)
def test_conversion_keeps_the_order(place: tuple[str, str], one: float, other: float) -> None:
    kind, unit = place
    low, high = sorted((one, other))
    assert to_unit(kind, low, unit) <= to_unit(kind, high, unit)


@given(UNITS, st.sampled_from(["metric", "inch"]))
def test_the_unit_of_a_system_is_its_own(place: tuple[str, str], system: str) -> None:
    kind, unit = place
    there = unit_for(kind, system, unit)
    assert there.system in ("", system)
    assert unit_for(kind, system, there.id) is there


@given(st.sampled_from(list(KINDS)), st.text(max_size=60))
@example("length", "5 \ud800")
@example("length", "1/" + "0" * 50)
@example("ratio", ":1")
@example("text", "\ud800")
def test_any_text_is_read_or_refused_with_a_sentence(kind: str, text: str) -> None:
    unit = KINDS[kind].canonical.id if KINDS[kind].is_number else ""
    try:
        amount = parse(kind, text, unit, choices=("good",))
    except InputError as error:
        assert error.message.endswith(".")
        assert error.remedy.endswith(".")
        assert error.message.isprintable()
    else:
        assert amount.value is None or math.isfinite(amount.value)
        amount.text.encode("utf-8")


@given(st.text("0123456789.,/ +-−eE'½¼mNlbfin·°CF%:", max_size=12), st.sampled_from(["length", "torque", "ratio"]))
def test_near_misses_are_read_or_refused(text: str, kind: str) -> None:
    try:
        amount = parse(kind, text, KINDS[kind].canonical.id)
    except InputError:
        return
    assert amount.value is not None
    assert math.isfinite(amount.value)


@given(st.floats(-1e6, 1e6, allow_nan=False), LENGTHS, st.sampled_from(["", " ", "\u00a0", "  "]))
def test_point_and_comma_are_one(value: float, unit: str, gap: str) -> None:
    digits = number("length", value, "mm", 6)
    point = parse("length", f"{digits}{gap}{unit}")
    comma = parse("length", f"{digits.replace('.', ',')}{gap}{unit}")
    assert (point.value, point.unit) == (comma.value, comma.unit)
    minus = parse("length", f"{digits.replace('-', '−')}{gap}{unit}")
    assert minus.value == point.value


@given(DIGITS, DIGITS, DIGITS, st.sampled_from([".,", ",.", "..", ",,", "''", "__", "  ", ". ", " ,"]))
def test_grouping_is_refused_never_guessed(a: str, b: str, c: str, separators: str) -> None:
    _assert_refused(f"{a}{separators[0]}{b}{separators[1]}{c}")
    _assert_refused(f"{a}{separators[0]}{b}{separators[1]}{c} mm")


@given(
    DIGITS,
    DIGITS,
    st.sampled_from([" ", "-", " - ", "–", " to ", "±", "+", ";", "|", "\t", "\n", "e", "E-", "'", "*", "^"]),
)
def test_two_numbers_are_refused_never_guessed(a: str, b: str, between: str) -> None:
    _assert_refused(f"{a}{between}{b}")
    _assert_refused(f"{a} mm{between}{b} mm")


def _assert_refused(text: str) -> None:
    try:
        amount = parse("length", text, "mm")
    except InputError:
        return
    raise AssertionError(f"{text!r} was taken for {amount}")


@given(
    st.integers(1, 99), st.integers(1, 63), st.sampled_from([2, 4, 8, 16, 32, 64]), st.sampled_from([" ", "-", "  "])
)
def test_fractions_of_an_inch(whole: int, top: int, bottom: int, gap: str) -> None:
    assume(top < bottom)
    mixed = parse("length", f"{whole}{gap}{top}/{bottom} in").value
    assert mixed == (whole * bottom + top) * 25.4 / bottom or math.isclose(mixed or 0.0, (whole + top / bottom) * 25.4)
    alone = parse("length", f'{top}/{bottom}"').value
    assert math.isclose(alone or 0.0, top / bottom * 25.4)


@given(SCALED, SCALED, VALUES)
def test_a_unit_of_another_kind_alone_is_refused(asked: tuple[str, str], typed: tuple[str, str], value: float) -> None:
    label = KINDS[typed[0]].unit(typed[1]).label
    known = {name.casefold() for unit in KINDS[asked[0]].units for name in (unit.label, *unit.aliases)}
    # The degree signs and kilograms that two kinds share are not wrong in either.
    assume(label and label.casefold() not in {name.replace("·", "") for name in known} | known)
    try:
        amount: Amount | None = parse(asked[0], f"{value:.3f} {label}", asked[1])
    except InputError as error:
        assert "asked for" in error.message
        return
    raise AssertionError(amount)


LIMITS = st.tuples(st.floats(0.0, 1.0), st.floats(0.0, 1.0)).map(sorted)
OPEN = st.sampled_from(["both", "low", "high"])
GAUGES = st.one_of(
    st.none(),
    st.builds(
        lambda resolution, error: Gauge(1, "any", "dial", "length", resolution, error),
        st.floats(0.0, 0.1),
        st.floats(0.0, 0.1),
    ),
)
PLACE = {
    "below": {Answer.DOES_NOT_CONFORM: 0, Answer.UNCERTAIN: 1, Answer.CONFORMS: 2},
    "above": {Answer.CONFORMS: 2, Answer.UNCERTAIN: 3, Answer.DOES_NOT_CONFORM: 4},
}


def _limit(edges: list[float], which: str) -> Limit:
    low = edges[0] if which != "high" else None
    high = edges[1] if which != "low" else None
    return Limit("any", low, high)


@given(LIMITS, OPEN, GAUGES, st.lists(st.floats(-0.5, 1.5), min_size=2, max_size=12))
def test_a_verdict_only_changes_in_order(
    edges: list[float], which: str, gauge: Gauge | None, values: list[float]
) -> None:
    """Rising through the band: does not conform, uncertain, conforms, uncertain, does not conform; never back."""
    limit = _limit(edges, which)
    middle = (edges[0] + edges[1]) / 2 if which == "both" else edges[0] + 1e9 if which == "low" else edges[1] - 1e9
    places = []
    for value in sorted(values):
        side = "below" if value < middle else "above"
        places.append(PLACE[side][judge(value, limit, gauge, "length", "mm").answer])
    assert places == sorted(places)


@given(LIMITS, OPEN, GAUGES, st.floats(-0.5, 1.5))
def test_a_gauge_never_makes_proof_out_of_doubt(
    edges: list[float], which: str, gauge: Gauge | None, value: float
) -> None:
    """With a gauge the answer is that without one, or uncertain."""
    limit = _limit(edges, which)
    perfect = judge(value, limit, None, "length", "mm").answer
    assert judge(value, limit, gauge, "length", "mm").answer in (perfect, Answer.UNCERTAIN)
    assert perfect is not Answer.UNCERTAIN


@given(LIMITS, OPEN, GAUGES, st.floats(-0.5, 1.5), st.sampled_from(["um", "in", "thou", "cm"]))
def test_the_unit_it_is_told_in_changes_no_verdict(
    edges: list[float], which: str, gauge: Gauge | None, value: float, unit: str
) -> None:
    limit = _limit(edges, which)
    told = judge(value, limit, gauge, "length", unit)
    assert told.answer is judge(value, limit, gauge, "length", "mm").answer
    assert told.reason.endswith(".")
    assert KINDS["length"].unit(unit).label in told.reason


@given(st.lists(st.floats(0.0, 1e3), max_size=8))
def test_uncertainties_add_up_to_no_less_than_the_largest(components: list[float]) -> None:
    total = combined_u(*components)
    assert max(components, default=0.0) <= total * (1 + 1e-12)
    assert total <= sum(components) * (1 + 1e-12)
    assert math.isclose(combined_u(*reversed(components)), total)


@given(st.floats(0.0, 1.0), st.floats(0.0, 1.0), st.floats(0.0, 1.0), st.integers(1, 1000))
def test_more_readings_are_never_less_sure(resolution: float, error: float, deviation: float, readings: int) -> None:
    more = reading_u(resolution, error, deviation, readings + 1)
    assert more <= reading_u(resolution, error, deviation, readings) * (1 + 1e-12)


@given(st.lists(ANSWERS, max_size=6), st.lists(ANSWERS, max_size=6))
def test_the_worst_of_the_worst_is_the_worst(ones: list[Answer], others: list[Answer]) -> None:
    assume(ones and others)
    first, second = ([Verdict(a, "") for a in part] for part in (ones, others))
    assert overall([*first, *second]) is overall([Verdict(overall(first), ""), Verdict(overall(second), "")])
