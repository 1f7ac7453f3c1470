"""What people type: taken in exactly one way, or refused with a sentence."""

from __future__ import annotations

import subprocess
import sys
import unicodedata

import pytest

from core.errors import InputError
from core.outlines import LONGEST_OUTLINE
from core.quantities import (
    KINDS,
    LONGEST_LINE,
    LONGEST_TEXT,
    Amount,
    Kind,
    from_unit,
    number,
    parse,
    show,
    to_unit,
    unit_for,
    width_of,
)
from core.units import named_unit

TAKEN = [
    # (kind, text, unit of the field, value in the canonical unit, unit it was taken in)
    ("length", "0.08", "mm", 0.08, "mm"),
    ("length", "0.003", "in", 0.0762, "in"),
    ("length", "0,08", "mm", 0.08, "mm"),
    ("length", "0,08 mm", "in", 0.08, "mm"),
    ("length", "0.08mm", "in", 0.08, "mm"),
    ("length", ".003\"", "mm", 0.0762, "in"),
    ("length", ",08", "mm", 0.08, "mm"),
    ("length", "0.0030 in", "mm", 0.0762, "in"),
    ("length", "0.003 in.", "mm", 0.0762, "in"),
    ("length", "0.003 Inches", "mm", 0.0762, "in"),
    ("length", "3 thou", "mm", 0.0762, "thou"),
    ("length", "3 THOU", "mm", 0.0762, "thou"),
    ("length", "3 1/4 in", "mm", 82.55, "in"),
    ("length", "3-1/4 in", "mm", 82.55, "in"),
    ("length", "-3 1/4 in", "mm", -82.55, "in"),
    ("length", "3  1/4\"", "mm", 82.55, "in"),
    ("length", "1/4\"", "mm", 6.35, "in"),
    ("length", "5/4\"", "mm", 31.75, "in"),
    ("length", "1/4 ″", "mm", 6.35, "in"),
    ("length", "1/4''", "mm", 6.35, "in"),
    ("length", "1/4”", "mm", 6.35, "in"),
    ("length", "1⁄4 in", "mm", 6.35, "in"),
    ("length", "½ in", "mm", 12.7, "in"),
    ("length", "½in", "mm", 12.7, "in"),
    ("length", "-½ in", "mm", -12.7, "in"),
    ("length", "3½ in", "mm", 88.9, "in"),
    ("length", "3 ½ in", "mm", 88.9, "in"),
    ("length", "⅜", "in", 9.525, "in"),
    ("length", "12 µm", "mm", 0.012, "um"),  # MICRO SIGN
    ("length", "12 μm", "mm", 0.012, "um"),  # GREEK SMALL LETTER MU
    ("length", "12 um", "mm", 0.012, "um"),
    ("length", "7,5 cm", "mm", 75.0, "cm"),
    ("length", "1.2 m", "mm", 1200.0, "m"),
    ("length", "0.08 MM", "in", 0.08, "mm"),
    ("length", "0.08 ㎜", "in", 0.08, "mm"),
    ("length", "−0.02", "mm", -0.02, "mm"),
    ("length", "- 0.02", "mm", -0.02, "mm"),
    ("length", "+0.02", "mm", 0.02, "mm"),
    ("length", "-0", "mm", 0.0, "mm"),
    ("length", "1,234", "mm", 1.234, "mm"),
    ("length", "007", "mm", 7.0, "mm"),
    ("length", " \t0.08 mm\r\n", "in", 0.08, "mm"),
    ("length", "\u30000.08\u00a0mm\u2009", "in", 0.08, "mm"),
    ("length", "0.08\u202fmm", "in", 0.08, "mm"),
    ("torque", "6 in-lb", "n_m", 0.6779089741657002, "lbf_in"),
    ("torque", "6 in·lb", "n_m", 0.6779089741657002, "lbf_in"),
    ("torque", "6 in lb", "n_m", 0.6779089741657002, "lbf_in"),
    ("torque", "6 inlb", "n_m", 0.6779089741657002, "lbf_in"),
    ("torque", "6 in.lb", "n_m", 0.6779089741657002, "lbf_in"),
    ("torque", "6 in.-lbs.", "n_m", 0.6779089741657002, "lbf_in"),
    ("torque", "6 lb-in", "n_m", 0.6779089741657002, "lbf_in"),
    ("torque", "6 lb·in", "n_m", 0.6779089741657002, "lbf_in"),
    ("torque", "6 lbf·in", "n_m", 0.6779089741657002, "lbf_in"),
    ("torque", "6 lbf⋅in", "n_m", 0.6779089741657002, "lbf_in"),
    ("torque", "6 lbf-in", "n_m", 0.6779089741657002, "lbf_in"),
    ("torque", "6 in*lb", "n_m", 0.6779089741657002, "lbf_in"),
    ("torque", "6 inch pounds", "n_m", 0.6779089741657002, "lbf_in"),
    ("torque", "6 pound-inches", "n_m", 0.6779089741657002, "lbf_in"),
    ("torque", "40 ft-lb", "n_m", 54.23271793325602, "lbf_ft"),
    ("torque", "40 lb.ft", "n_m", 54.23271793325602, "lbf_ft"),
    ("torque", "40 foot-pounds", "n_m", 54.23271793325602, "lbf_ft"),
    ("torque", "40 lbf ft", "n_m", 54.23271793325602, "lbf_ft"),
    ("torque", "40 FT-LBS", "n_m", 54.23271793325602, "lbf_ft"),
    ("torque", "0.7 Nm", "lbf_in", 0.7, "n_m"),
    ("torque", "0.7 nm", "lbf_in", 0.7, "n_m"),
    ("torque", "0.7 NM", "lbf_in", 0.7, "n_m"),
    ("torque", "0.7 N m", "lbf_in", 0.7, "n_m"),
    ("torque", "150 N·m", "lbf_in", 150.0, "n_m"),
    ("torque", "150 N-m", "lbf_in", 150.0, "n_m"),
    ("torque", "150N.m", "lbf_in", 150.0, "n_m"),
    ("torque", "70 Ncm", "n_m", 0.7, "n_cm"),
    ("torque", "100 oz-in", "n_m", 0.706155181422604375, "ozf_in"),
    ("torque", "10 kg-cm", "n_m", 0.980665, "kgf_cm"),
    ("torque", "10 kgf·m", "n_m", 98.0665, "kgf_m"),
    ("force", "5 lb", "n", 22.2411080763025, "lbf"),
    ("force", "5 lbf", "n", 22.2411080763025, "lbf"),
    ("force", "2 kg", "n", 19.6133, "kgf"),
    ("force", "12 kN", "n", 12000.0, "kn"),
    ("angle", "45°", "rad", 45.0, "deg"),
    ("angle", "45 deg", "rad", 45.0, "deg"),
    ("volume", "1.2 L", "us_qt", 1.2, "l"),
    ("volume", "1.2l", "us_qt", 1.2, "l"),
    ("volume", "500 cm³", "l", 0.5, "ml"),
    ("volume", "500 cc", "l", 0.5, "ml"),
    ("volume", "1 qt", "l", 0.946352946, "us_qt"),
    ("volume", "1 US qt", "l", 0.946352946, "us_qt"),
    ("volume", "1 pt", "l", 0.473176473, "us_pt"),
    ("volume", "1 imp qt", "l", 1.1365225, "imp_qt"),
    ("volume", "1 Imp. pt.", "l", 0.56826125, "imp_pt"),
    ("temperature", "20 °C", "deg_f", 20.0, "deg_c"),
    ("temperature", "20℃", "deg_f", 20.0, "deg_c"),
    ("temperature", "20 ºC", "deg_f", 20.0, "deg_c"),
    ("temperature", "68F", "deg_c", 20.0, "deg_f"),
    ("temperature", "−40 °F", "deg_c", -40.0, "deg_f"),
    ("temperature", "273.15 K", "deg_c", 0.0, "k"),
    ("temperature_difference", "18 °F", "k_diff", 10.0, "f_diff"),
    ("temperature_difference", "10 °C", "k_diff", 10.0, "c_diff"),
    ("mass", "1 lb", "kg", 0.45359237, "lb"),
    ("mass", "500 g", "kg", 0.5, "g"),
    ("viscosity", "14.5 mm²/s", "cst", 14.5, "mm2_s"),
    ("viscosity", "14.5 mm2 / s", "cst", 14.5, "mm2_s"),
    ("viscosity", "14.5 cSt", "mm2_s", 14.5, "cst"),
    ("area", "84.3 mm²", "in2", 84.3, "mm2"),
    ("area", "0.1 sq in", "mm2", 64.516, "in2"),
    ("stress", "207 GPa", "mpa", 207000.0, "gpa"),
    ("stress", "940 N/mm2", "gpa", 940.0, "n_mm2"),
    ("stress", "940 mpa", "gpa", 940.0, "mpa"),
    ("stress", "100 psi", "mpa", 0.6894757293168361, "psi"),
    ("stress", "30 ksi", "mpa", 206.84271879505084, "ksi"),
    ("stress", "100 lb/in^2", "mpa", 0.6894757293168361, "psi"),
    ("stiffness", "100 kN/mm", "n_mm", 100000.0, "kn_mm"),
    ("stiffness", "1000 lb/in", "n_mm", 175.12683524647638, "lbf_in"),
    ("expansion", "0.000012", "one_k", 0.000012, "one_k"),
    ("expansion", "12 1/K", "one_k", 12.0, "one_k"),
    ("expansion", "10.91 µm/(m·K)", "one_k", 0.00001091, "ppm_k"),
    ("expansion", "12 ppm/K", "one_k", 0.000012, "ppm_k"),
    ("expansion", "6.5 µin/in·°F", "one_k", 0.0000117, "ppm_f"),
    ("count", "11", "", 11.0, "one"),
    ("count", "+11", "one", 11.0, "one"),
    ("ratio", "3.909", "", 3.909, "one"),
    ("ratio", "3.909", "one", 3.909, "one"),
    ("ratio", "3.91:1", "", 3.91, "one"),
    ("ratio", "3.91 : 1", "", 3.91, "one"),
    ("ratio", "46 %", "one", 0.46, "percent"),
    ("ratio", "46", "percent", 0.46, "percent"),
]  # fmt: skip


@pytest.mark.parametrize(("kind", "text", "field_unit", "value", "taken_in"), TAKEN)
def test_what_is_taken(kind: str, text: str, field_unit: str, value: float, taken_in: str) -> None:
    amount = parse(kind, text, field_unit)
    assert amount == Amount(kind, value, text.strip(), taken_in)
    assert str(amount.value) != "-0.0"


REFUSED = [
    # (kind, text, words of the sentence)
    ("length", "", "Nothing was typed"),
    ("length", " \u00a0\n", "Nothing was typed"),
    ("length", "1.234,5", "not one plain number"),
    ("length", "1,234.5", "not one plain number"),
    ("length", "1,234,567", "not one plain number"),
    ("length", "1.2.3", "not one plain number"),
    ("length", "1'000", "not one plain number"),
    ("length", "1’000", "not one plain number"),
    ("length", "1_000", "not one plain number"),
    ("length", "0, 08", "not one plain number"),
    ("length", "5.", "not one plain number"),
    ("length", "5,", "not one plain number"),
    ("length", "3' 2\"", "not one plain number"),
    ("length", "1 000", "more than one number"),
    ("length", "1\u202f000", "more than one number"),
    ("length", "0.08 0.09", "more than one number"),
    ("length", "0.08 mm 0.09 mm", "more than one number"),
    ("length", "5 mm + 2 in", "more than one number"),
    ("length", "0.06-0.10", "more than one number"),
    ("length", "0.06–0.10 mm", "more than one number"),
    ("length", "5±0.1 mm", "more than one number"),
    ("length", "3.5½", "more than one number"),
    ("length", "½5", "more than one number"),
    ("length", "½½", "more than one number"),
    ("length", "1/2/3", "more than one number"),
    ("length", "0.08 (2)", "more than one number"),
    ("ratio", "43:11", "more than one number"),
    ("length", "1e3", "power of ten"),
    ("length", "1E-3 mm", "power of ten"),
    ("length", "2.5×10^3", "power of ten"),
    ("length", "2.5 x 10³", "power of ten"),
    ("length", "2.5*10-3", "power of ten"),
    ("length", "1/0", "not a proper fraction"),
    ("length", "3 1/0 in", "not a proper fraction"),
    ("length", "3 5/4 in", "not a proper fraction"),
    ("length", "3 0/4 in", "not a proper fraction"),
    ("length", "0-1/4 in", "not a proper fraction"),
    ("length", "nan", "does not begin with a number"),
    ("length", "NaN mm", "does not begin with a number"),
    ("length", "inf", "does not begin with a number"),
    ("length", "-infinity", "does not begin with a number"),
    ("length", "∞", "does not begin with a number"),
    ("length", "mm", "does not begin with a number"),
    ("length", "--5", "does not begin with a number"),
    ("length", "+-5", "does not begin with a number"),
    ("length", "–5", "does not begin with a number"),
    ("length", "~5", "does not begin with a number"),
    ("length", "<0.05", "does not begin with a number"),
    ("length", "=1+1", "does not begin with a number"),
    ("length", "<b>5</b>", "does not begin with a number"),
    ("length", "á ř í", "does not begin with a number"),
    ("length", "five", "does not begin with a number"),
    ("length", "0x10", "more than one number|not a unit"),
    ("length", "５", "other digits than 0 to 9"),
    ("length", "٥ mm", "other digits than 0 to 9"),
    ("length", "5 mm⁴", "other digits than 0 to 9"),
    ("length", "Ⅳ", "other digits than 0 to 9"),
    ("length", "5\x00", "hidden character"),
    ("length", "5\tmm", "hidden character"),
    ("length", "5\nmm", "hidden character"),
    ("length", "5\x1bmm", "hidden character"),
    ("length", "5\u200bmm", "hidden character"),
    ("length", "\ufeff5 mm", "hidden character"),
    ("length", "5\u2028mm", "hidden character"),
    ("length", "\u202e5 mm", "hidden character"),
    ("length", "5 \ud800", "hidden character"),
    ("length", "5 mil", "not a unit of length here"),
    ("length", "5 ft", "not a unit of length here"),
    ("length", "5 m m", "not a unit of length here"),
    ("length", "5 mm2", "is an area; a length is asked for"),
    ("length", "12 1/K", "is a thermal expansion; a length is asked for"),
    ("stress", "5 N/mm", "is a stiffness; a stress is asked for"),
    ("stress", "207e9 Pa", "power of ten"),
    ("length", "5²", "not a unit of length here"),
    ("length", "5 mm/s", "not a unit of length here"),
    ("length", "5 -mm", "not a unit of length here"),
    ("length", "5 mm, cold", "not a unit of length here"),
    ("length", "5 😀", "not a unit of length here"),
    ("length", "5 mm<script>", "not a unit of length here"),
    ("torque", "5 J", "not a unit of torque here"),
    ("torque", "5 in/lb", "not a unit of torque here"),
    ("volume", "1 imp gal", "not a unit of volume here"),
    ("torque", "0.6 mm", "is a length; a torque is asked for"),
    ("torque", "5 kg", "is a mass; a torque is asked for"),
    ("torque", "5 N", "is a force; a torque is asked for"),
    ("length", "0.7 Nm", "is a torque; a length is asked for"),
    ("length", "46 %", "is a ratio; a length is asked for"),
    ("angle", "20 °C", "is a temperature; an angle is asked for"),
    ("temperature", "5 mm", "is a length; a temperature is asked for"),
    ("ratio", "5 mm", "is a length; a ratio is asked for"),
    ("count", "11 mm", "not a whole number"),
    ("count", "11.0", "not a whole number"),
    ("count", "-1", "not a whole number"),
    ("count", "½", "not a whole number"),
    ("count", "1 000", "not a whole number"),
    ("count", "٣", "not a whole number"),
    ("yes_no", "maybe", "neither yes nor no"),
    ("yes_no", "", "Nothing was typed"),
    ("choice", "Worn", "not one of the answers"),
    ("choice", "", "Nothing was typed"),
    ("text", "", "Nothing was typed"),
    ("text", " \n\u3000", "Nothing was typed"),
    ("text", "\u200b\u2060", "Nothing was typed"),
    ("text", "a\x00b", "control character"),
    ("text", "a\tb", "control character"),
    ("text", "a\ud83d", "control character"),
    ("text", "a\x1c", "control character"),
]  # fmt: skip


@pytest.mark.parametrize(("kind", "text", "words"), REFUSED)
def test_what_is_refused(kind: str, text: str, words: str) -> None:
    unit = KINDS[kind].canonical.id if KINDS[kind].is_number else ""
    with pytest.raises(InputError, match=words) as refusal:
        parse(kind, text, unit, choices=("worn", "good"))
    _assert_is_a_sentence_and_a_remedy(refusal.value)


def _assert_is_a_sentence_and_a_remedy(error: InputError) -> None:
    assert error.remedy
    for sentence in (error.message, error.remedy):
        assert sentence.endswith(".")
        assert all(c.isprintable() for c in sentence), "it is shown in a window and printed"
        assert len(sentence) < 200


def test_a_wrong_unit_names_the_right_ones() -> None:
    with pytest.raises(InputError) as refusal:
        parse("torque", "0.6 mm", "n_m")
    assert refusal.value.message == "“0.6 mm” is a length; a torque is asked for."
    assert refusal.value.remedy == "Use one of: N·m, N·cm, lbf·in, lbf·ft, ozf·in, kgf·cm, kgf·m."


def test_a_bare_number_needs_the_unit_of_a_field() -> None:
    with pytest.raises(InputError, match="has no unit"):
        parse("length", "0.08")
    assert parse("length", "0.08 mm").value == 0.08


def test_as_long_as_may_be_and_longer() -> None:
    longest = "9" * LONGEST_LINE
    assert parse("length", longest, "in").value == pytest.approx(25.4e200)
    assert parse("length", "1/" + "9" * (LONGEST_LINE - 2), "mm").value == pytest.approx(1e-198)
    for kind in KINDS:
        most = {"text": LONGEST_TEXT, "outline": LONGEST_OUTLINE}.get(kind, LONGEST_LINE)
        with pytest.raises(InputError, match=f"{most + 1} characters long") as refusal:
            parse(kind, "9" * (most + 1), choices=("9",))
        _assert_is_a_sentence_and_a_remedy(refusal.value)
    assert parse("text", "9" * LONGEST_TEXT).text == "9" * LONGEST_TEXT
    with pytest.raises(InputError):
        parse("length", "9" * 5_000_000, "mm")


def test_yes_and_no() -> None:
    for typed in ("yes", "Yes", " Y ", "y"):
        assert parse("yes_no", typed) == Amount("yes_no", 1.0, "yes", "")
    for typed in ("no", "NO", "n"):
        assert parse("yes_no", typed) == Amount("yes_no", 0.0, "no", "")


def test_a_choice_is_one_of_its_keys() -> None:
    assert parse("choice", " worn ", choices=("worn", "good")) == Amount("choice", None, "worn", "")


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("  Oil dark.  ", "Oil dark."),
        ("a\r\nb\rc\nd\x85e\u2028f\u2029g", "a\nb\nc\nd\ne\nf\ng"),
        ("a\n\nb", "a\n\nb"),
        ("<b>not markup</b> & ½ – ⌀ 中 😀", "<b>not markup</b> & ½ – ⌀ 中 😀"),
        ("ריד \u200fabc", "ריד \u200fabc"),
    ],
)
def test_words_are_kept_as_written(typed: str, kept: str) -> None:
    assert parse("text", typed) == Amount("text", None, kept, "")


def test_every_plane_may_stand_in_a_note() -> None:
    for plane in range(17):
        note = f"plane {plane}: {chr(plane * 0x10000 + 0x2A60)}"
        assert parse("text", note).text == note


# --- units -----------------------------------------------------------------------------------------------------------


EVERY_UNIT = [(kind, unit.id) for kind in KINDS.values() for unit in kind.units]


@pytest.mark.parametrize(("kind", "unit_id"), EVERY_UNIT)
def test_every_label_and_alias_is_understood(kind: Kind, unit_id: str) -> None:
    unit = kind.unit(unit_id)
    for name in filter(None, (unit.label, *unit.aliases)):
        assert named_unit(kind, name) is unit, name
        for joint in ("", " ", "-", "·", ".", "⋅"):
            assert named_unit(kind, name.replace("·", joint)) is unit, name
        assert named_unit(kind, name.upper()) is unit, name
        assert named_unit(kind, unicodedata.normalize("NFD", name)) is unit, name


@pytest.mark.parametrize("kind", [k for k in KINDS.values() if k.is_number], ids=lambda k: k.key)
def test_no_name_means_two_units(kind: Kind) -> None:
    owners: dict[str, str] = {}
    for unit in kind.units:
        for name in (unit.label, *unit.aliases):
            folded = name.replace("·", "").casefold()
            assert owners.setdefault(folded, unit.id) == unit.id, name
    assert len({unit.id for unit in kind.units}) == len(kind.units)


def test_the_closed_list() -> None:
    assert {kind.key: tuple(unit.id for unit in kind.units) for kind in KINDS.values()} == {
        "length": ("mm", "um", "cm", "m", "in", "thou"),
        "torque": ("n_m", "n_cm", "lbf_in", "lbf_ft", "ozf_in", "kgf_cm", "kgf_m"),
        "force": ("n", "kn", "kgf", "lbf"),
        "angle": ("deg", "rad"),
        "volume": ("l", "ml", "us_qt", "us_pt", "imp_qt", "imp_pt", "us_gal"),
        "temperature": ("deg_c", "deg_f", "k"),
        "temperature_difference": ("k_diff", "c_diff", "f_diff"),
        "mass": ("kg", "g", "lb", "oz"),
        "viscosity": ("mm2_s", "cst"),
        "area": ("mm2", "cm2", "in2"),
        "stress": ("mpa", "n_mm2", "gpa", "pa", "psi", "ksi"),
        "stiffness": ("n_mm", "kn_mm", "n_um", "lbf_in"),
        "expansion": ("one_k", "ppm_k", "ppm_f"),
        "count": ("one",),
        "ratio": ("one", "percent"),
        "text": (),
        "outline": (),
        "choice": (),
        "yes_no": (),
    }
    assert [key for key, kind in KINDS.items() if not kind.is_number] == ["text", "outline", "choice", "yes_no"]


def test_a_unit_there_is_not() -> None:
    with pytest.raises(KeyError):
        to_unit("length", 1.0, "n_m")
    with pytest.raises(KeyError):
        from_unit("length", 1.0, "ft")
    with pytest.raises(KeyError):
        parse("length", "1", "n_m")


def test_canonical_values_pass_unchanged() -> None:
    assert to_unit("length", 0.1 + 0.2, "mm") == 0.1 + 0.2
    assert from_unit("length", 1e-9, "mm") == 1e-9


@pytest.mark.parametrize(
    ("kind", "system", "like", "unit"),
    [
        ("length", "inch", "mm", "in"),
        ("length", "inch", "", "in"),
        ("length", "metric", "", "mm"),
        ("length", "metric", "mm", "mm"),
        ("length", "metric", "thou", "mm"),
        ("length", "metric", "in", "mm"),
        ("length", "inch", "um", "thou"),
        ("length", "inch", "thou", "thou"),
        ("torque", "inch", "n_m", "lbf_in"),
        ("torque", "inch", "kgf_m", "lbf_ft"),
        ("torque", "metric", "lbf_ft", "n_m"),
        ("torque", "metric", "ozf_in", "n_cm"),
        ("force", "inch", "n", "lbf"),
        ("volume", "inch", "l", "us_qt"),
        ("volume", "metric", "imp_qt", "l"),
        ("temperature", "inch", "deg_c", "deg_f"),
        ("temperature", "metric", "deg_f", "deg_c"),
        ("temperature_difference", "inch", "k_diff", "f_diff"),
        ("mass", "inch", "kg", "lb"),
        ("angle", "inch", "deg", "deg"),
        ("viscosity", "inch", "mm2_s", "mm2_s"),
        ("ratio", "inch", "percent", "percent"),
        ("count", "inch", "one", "one"),
    ],
)
def test_the_unit_of_the_other_system(kind: str, system: str, like: str, unit: str) -> None:
    assert unit_for(kind, system, like).id == unit


def test_every_unit_has_a_partner_in_the_other_system() -> None:
    other = {"metric": "inch", "inch": "metric"}
    for kind, unit_id in EVERY_UNIT:
        unit = kind.unit(unit_id)
        if unit.system:
            assert unit_for(kind.key, other[unit.system], unit.id).system == other[unit.system]


def test_the_width_of_a_temperature_is_a_difference() -> None:
    for unit in KINDS["temperature"].units:
        kind, width = width_of("temperature", unit.id)
        assert to_unit(kind, 10.0, width) == pytest.approx(
            to_unit("temperature", 10.0, unit.id) - to_unit("temperature", 0.0, unit.id)
        )
    assert width_of("length", "in") == ("length", "in")


# --- to text ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("kind", "value", "unit", "decimals", "shown"),
    [
        ("length", 0.08, "", None, "0.080 mm"),
        ("length", 0.1524, "in", None, "0.0060 in"),
        ("length", 0.0762, "thou", None, "3.0 thou"),
        ("length", 0.012, "um", 0, "12 µm"),
        ("length", -0.0002, "", None, "0.000 mm"),
        ("length", -0.02, "", None, "-0.020 mm"),
        ("length", 0.0625, "", None, "0.062 mm"),  # half to even, on the decimal as it is written
        ("length", 0.0635, "", None, "0.064 mm"),
        ("length", 2.675, "", 2, "2.68 mm"),  # the float lies below 2.675, what people see does not
        ("length", 1234567.0, "", 0, "1234567 mm"),
        ("length", 1e200, "", 0, "1" + "0" * 200 + " mm"),
        ("torque", 0.7, "", None, "0.70 N·m"),
        ("torque", 0.6779089741657002, "lbf_in", None, "6.0 lbf·in"),
        ("angle", 45.0, "", 0, "45°"),
        ("volume", 0.946352946, "us_qt", None, "1.00 US qt"),
        ("volume", 1.1365225, "imp_qt", None, "1.00 imp qt"),
        ("temperature", 20.0, "deg_f", None, "68.0 °F"),
        ("ratio", 3.909090909, "", None, "3.909"),
        ("ratio", 0.46, "percent", 0, "46 %"),
        ("count", 11.0, "", None, "11"),
        ("viscosity", 14.5, "", 1, "14.5 mm²/s"),
    ],
)
def test_how_it_is_shown(kind: str, value: float, unit: str, decimals: int | None, shown: str) -> None:
    assert show(kind, value, unit, decimals) == shown
    assert shown.startswith(number(kind, value, unit, decimals))


def test_pint_stays_away_until_something_is_converted() -> None:
    program = (
        "import sys\n"
        "from core.quantities import parse, show\n"
        "show('length', parse('length', '0.08', 'mm').value)\n"
        "assert 'pint' not in sys.modules\n"
        "show('length', 0.08, 'in')\n"
        "assert 'pint' in sys.modules\n"
    )
    subprocess.run([sys.executable, "-c", program], check=True)
