"""The verdict: boundaries in both systems, the reason's words, choices, and the worst of several."""

from __future__ import annotations

import math

import pytest

from core.facts import Gauge, Limit
from core.quantities import from_unit, to_unit
from core.stages.entry import YES_NO_GOOD, Choice
from core.verdict import ANSWER_WORDS, Answer, Verdict, judge, judge_choice, overall

DIAL = Gauge(1, "dial 1", "dial", "length", 0.01, 0.015)
BACKLASH = Limit("backlash", 0.06, 0.10)
OUT, IN = Answer.DOES_NOT_CONFORM, Answer.CONFORMS

TRIOS = [
    # (kind, unit, low, high, one step of a gauge in that unit)
    ("length", "mm", 0.06, 0.10, 0.001),
    ("length", "in", 0.0024, 0.004, 0.0001),
    ("length", "thou", 2.4, 4.0, 0.1),
    ("torque", "n_m", 0.5, 1.0, 0.01),
    ("torque", "lbf_in", 4.5, 9.0, 0.1),
    ("torque", "lbf_ft", 105.0, 115.0, 0.1),
    ("torque", "kgf_cm", 5.0, 10.0, 0.1),
    ("temperature", "deg_f", 180.0, 210.0, 0.1),
    ("volume", "us_qt", 1.1, 1.2, 0.01),
    ("ratio", "percent", 40.0, 60.0, 0.1),
]


@pytest.mark.parametrize(("kind", "unit", "low", "high", "step"), TRIOS)
def test_boundary_trio(kind: str, unit: str, low: float, high: float, step: float) -> None:
    limit = Limit("any", from_unit(kind, low, unit), from_unit(kind, high, unit))
    expected = [(low - step, OUT), (low, IN), (low + step, IN), (high - step, IN), (high, IN), (high + step, OUT)]
    for typed, answer in expected:
        assert judge(from_unit(kind, round(typed, 6), unit), limit, None, kind, unit).answer is answer, typed


@pytest.mark.parametrize(
    ("kind", "metric", "inch", "values"),
    [
        ("length", "mm", "in", (0.0508, 0.0762, 0.1016, 0.1270)),
        ("length", "mm", "thou", (0.0508, 0.0762, 0.1016, 0.1270)),
        ("torque", "n_m", "lbf_in", tuple(n * 0.1129848290276167 for n in (4.0, 4.5, 9.0, 9.5))),
    ],
)
def test_the_same_job_in_both_systems(kind: str, metric: str, inch: str, values: tuple[float, ...]) -> None:
    for low in values:
        for high in values:
            for value in values:
                there = [from_unit(kind, round(to_unit(kind, v, inch), 9), inch) for v in (low, high, value)]
                here = judge(value, Limit("any", low, high), None, kind, metric)
                assert judge(there[2], Limit("any", there[0], there[1]), None, kind, inch).answer is here.answer


def test_the_gauge_counts_the_same_in_both_systems() -> None:
    # 0.0005 in on a gauge of 0.0005 in: the same numbers in millimetres.
    inch = Gauge(1, "dial", "dial", "length", from_unit("length", 0.0005, "in"), from_unit("length", 0.0005, "in"))
    metric = Gauge(2, "dial", "dial", "length", 0.0127, 0.0127)
    for tenths in range(100):
        value = from_unit("length", tenths / 10_000, "in")
        limit = Limit("backlash", from_unit("length", 0.003, "in"), from_unit("length", 0.006, "in"))
        one = judge(value, limit, inch, "length", "in")
        other = judge(round(tenths * 0.00254, 9), Limit("backlash", 0.0762, 0.1524), metric, "length", "mm")
        assert one.answer is other.answer


def test_float_noise_does_not_decide() -> None:
    assert judge(0.1 + 0.2 - 0.2, Limit("any", 0.1, None), None, "length", "mm").answer is IN
    assert judge(0.1 + 1e-12, Limit("any", None, 0.1), None, "length", "mm").answer is IN
    assert judge(0.1 + 2e-9, Limit("any", None, 0.1), None, "length", "mm").answer is OUT


@pytest.mark.parametrize(
    ("value", "limit", "answer"),
    [
        (0.039, Limit("variation", None, 0.04), IN),
        (0.041, Limit("variation", None, 0.04), OUT),
        (-5.0, Limit("variation", None, 0.04), IN),
        (0.79, Limit("clearance", 0.8, None), OUT),
        (0.80, Limit("clearance", 0.8, None), IN),
        (1e9, Limit("clearance", 0.8, None), IN),
        (3.2, Limit("exactly", 3.2, 3.2), IN),
        (3.201, Limit("exactly", 3.2, 3.2), OUT),
    ],
)
def test_one_side_open(value: float, limit: Limit, answer: Answer) -> None:
    assert judge(value, limit, None, "length", "mm").answer is answer


def test_missing() -> None:
    verdict = judge(None, BACKLASH, DIAL, "length", "mm")
    assert verdict == Verdict(Answer.MISSING, "There is no reading yet; the limit is 0.060 to 0.100 mm.")
    assert judge(0.08, Limit("any", None, None), DIAL, "length", "mm").answer is Answer.MISSING
    assert "no limit" in judge(None, Limit("any", None, None), None, "length", "mm").reason


@pytest.mark.parametrize(
    ("value", "limit", "gauge", "unit", "reason"),
    [
        (0.08, BACKLASH, None, "mm", "0.080 mm is within the limit (0.060 to 0.100 mm); no gauge is named, so no "
         "uncertainty is counted."),
        (0.08, BACKLASH, DIAL, "mm", "0.080 mm is within the limit (0.060 to 0.100 mm); the gauge is uncertain by "
         "±0.018 mm (k = 2)."),
        (0.0762, Limit("any", 0.0508, 0.127), DIAL, "in", "0.0030 in is within the limit (0.0020 to 0.0050 in); the "
         "gauge is uncertain by ±0.00072 in (k = 2)."),
        (0.135, BACKLASH, DIAL, "mm", "0.135 mm is above the limit (0.060 to 0.100 mm); the gauge is uncertain by "
         "±0.018 mm (k = 2)."),
        (0.03, BACKLASH, DIAL, "mm", "0.030 mm is below the limit (0.060 to 0.100 mm); the gauge is uncertain by "
         "±0.018 mm (k = 2)."),
        (0.09, BACKLASH, DIAL, "mm", "0.090 mm is too near the limit (0.060 to 0.100 mm) to tell: the gauge is "
         "uncertain by ±0.018 mm (k = 2), which leaves 0.015 mm either side of it open."),
        (0.05, Limit("runout", None, 0.05), DIAL, "mm", "0.050 mm is too near the limit (at most 0.050 mm) to tell: "
         "the gauge is uncertain by ±0.018 mm (k = 2), which leaves 0.015 mm either side of it open."),
        (0.9, Limit("clearance", 0.8, None), None, "mm", "0.900 mm is within the limit (at least 0.800 mm); no gauge "
         "is named, so no uncertainty is counted."),
        (0.07, Limit("tight", 0.06, 0.08), DIAL, "mm", "0.070 mm cannot be judged by the limit (0.060 to 0.080 mm): "
         "the gauge is uncertain by ±0.018 mm (k = 2), so no reading can conform; take a finer gauge."),
        (0.08, BACKLASH, Gauge(2, "perfect", "dial", "length", 0.0, 0.0), "mm", "0.080 mm is within the limit (0.060 "
         "to 0.100 mm); the gauge states no error, so no uncertainty is counted."),
    ],
)  # fmt: skip
def test_the_reason(value: float, limit: Limit, gauge: Gauge | None, unit: str, reason: str) -> None:
    assert judge(value, limit, gauge, "length", unit).reason == reason


def test_a_value_just_off_the_limit_is_not_shown_as_on_it() -> None:
    assert "0.1004 mm is above the limit (0.0600 to 0.1000 mm)" in judge(0.1004, BACKLASH, None, "length", "mm").reason
    # Closer than anybody reads: the comparison stands, the decimals stop.
    beyond = judge(20.0000000021, Limit("any", None, 20.0), None, "temperature", "deg_f")
    assert beyond.answer is OUT
    assert "68.0000000 °F is above the limit (at most 68.0000000 °F)" in beyond.reason


def test_two_guards_as_wide_as_the_tolerance() -> None:
    # 2 g = tolerance: only the middle itself would be left, which no reading can be proved to be.
    guard = judge(0.0, BACKLASH, DIAL, "length", "mm").guard
    assert guard is not None
    tight = Limit("tight", 1.0 - guard, 1.0 + guard)
    assert judge(1.0, tight, DIAL, "length", "mm").answer is Answer.UNCERTAIN
    assert judge(1.0, Limit("wider", 1.0 - guard, 1.0 + guard + 1e-6), DIAL, "length", "mm").answer is Answer.CONFORMS
    # What lies beyond the limits pushed out is still proved not to conform.
    assert judge(2.0, tight, DIAL, "length", "mm").answer is Answer.DOES_NOT_CONFORM


def test_a_perfect_gauge_and_no_gauge_differ_only_in_what_they_say() -> None:
    perfect = judge(0.10, BACKLASH, Gauge(2, "perfect", "dial", "length", 0.0, 0.0), "length", "mm")
    unknown = judge(0.10, BACKLASH, None, "length", "mm")
    assert perfect.answer is unknown.answer is Answer.CONFORMS
    assert (perfect.guard, perfect.expanded) == (0.0, 0.0)
    assert (unknown.guard, unknown.expanded) == (None, None)


def test_a_gauge_of_another_kind_says_nothing() -> None:
    assert judge(0.08, BACKLASH, Gauge(3, "wrench", "torque", "torque", 1.0, 5.0), "length", "mm").guard is None


def test_a_thermometer_is_uncertain_by_a_difference() -> None:
    thermometer = Gauge(4, "probe", "thermometer", "temperature", 1.0, 1.0)
    reason = judge(95.0, Limit("cone", 80.0, 110.0), thermometer, "temperature", "deg_f").reason
    assert reason.startswith("203.0 °F is within the limit (176.0 to 230.0 °F)")
    assert "±2.3 °F" in reason  # 2 √(1/12 + 1/3) K = 1.291 K


def test_not_a_number_never_conforms() -> None:
    assert judge(math.nan, BACKLASH, None, "length", "mm").answer is not Answer.CONFORMS


def test_choices() -> None:
    good, bad, noted = Choice("fit", "fit", True), Choice("worn", "worn out", False), Choice("old", "old", None)
    assert judge_choice("fit", (good, bad)) == Verdict(Answer.CONFORMS, "“fit” conforms.")
    assert judge_choice("worn", (good, bad)) == Verdict(Answer.DOES_NOT_CONFORM, "“worn out” does not conform.")
    assert judge_choice("old", (good, noted)) is None
    assert judge_choice("old", (noted,)) is None
    assert judge_choice("", (noted,)) is None
    assert judge_choice("", ()) is None
    missing = judge_choice("", YES_NO_GOOD)
    assert missing is not None
    assert missing.answer is Answer.MISSING
    unknown = judge_choice("written by another version", YES_NO_GOOD)
    assert unknown is not None
    assert unknown.answer is Answer.UNCERTAIN


def test_the_worst_of_several() -> None:
    worst_first = [Answer.DOES_NOT_CONFORM, Answer.MISSING, Answer.UNCERTAIN, Answer.CONFORMS]
    for i, answer in enumerate(worst_first):
        verdicts = [Verdict(a, "") for a in worst_first[i:]]
        assert overall(verdicts) is answer
        assert overall(reversed(verdicts)) is answer
    assert overall([]) is Answer.MISSING


def test_every_answer_has_its_word() -> None:
    assert set(ANSWER_WORDS) == set(Answer)
    assert [str(answer) for answer in Answer] == ["does_not_conform", "missing", "uncertain", "conforms"]
