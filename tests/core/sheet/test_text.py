"""Text becomes paragraphs in one place, and nothing typed is ever read as markup, lost, or left as an empty box."""

from __future__ import annotations

import re
from collections.abc import Callable
from io import BytesIO
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from reportlab import rl_config
from reportlab.platypus import Paragraph, SimpleDocTemplate

import core.sheet
from core.sheet.fonts import REGULAR, install_fonts, width_pt
from core.sheet.style import STYLES
from core.sheet.text import LONGEST_PIECE, Span, Typesetter, clean, fitted, one_line, pieces, shortened

NASTY = (
    "<b>bold</b>",
    "5 < 6 & 7 > 2",
    "5 <x> 6",
    "&pound; &amp; &#65;",
    '<img src="/etc/passwd"/>',
    '<img src="http://127.0.0.1:9/x.png"/>',
    '<font color="[[[getattr(pow, x)]]]">red</font>',
    "]]> <!-- --> <?pi?> <br/>",
    "quote \" and ' and `",
    "<para>nested</para><bullet>x</bullet>",
)


def pdf_of(paragraphs: list[Paragraph]) -> bytes:
    out = BytesIO()
    SimpleDocTemplate(out, invariant=1, initialFontName=REGULAR).build(paragraphs)
    return out.getvalue()


@pytest.mark.parametrize("text", NASTY)
def test_markup_prints_literally(text: str, read: Callable[[bytes], str]) -> None:
    typeset = Typesetter()
    made = [typeset.paragraph(STYLES.body, text, Span(text, colour="#566268", is_struck=True))]
    found = read(pdf_of([*made, *typeset.flow(STYLES.body, text)]))
    assert found.count(" ".join(text.split())) == 3
    assert not typeset.missing


def test_nothing_is_fetched_even_if_markup_slipped_through() -> None:
    assert not rl_config.trustedHosts
    assert not rl_config.trustedSchemes


def test_only_the_typesetter_makes_paragraphs() -> None:
    folder = Path(core.sheet.__file__).parent
    makers = {p.name for p in folder.rglob("*.py") if re.search(r"\bX?Paragraph\(", p.read_text(encoding="utf-8"))}
    assert makers == {"text.py"}


def test_what_the_faces_cannot_show_is_written_as_a_code_point_and_remembered() -> None:
    missing: set[str] = set()
    assert clean("⌀ 中 😀", missing) == "[U+2300] [U+4E2D] [U+1F600]"
    assert missing == {"U+2300", "U+4E2D", "U+1F600"}


@pytest.mark.parametrize("plane", range(17))
def test_every_plane_is_shown_or_named(plane: int) -> None:
    shown = install_fonts()
    for code in range(plane << 16, (plane << 16) + 0x10000, 211):
        text = clean(chr(code))
        assert all(ord(c) in shown or c in "\n" for c in text)
        if 0xD800 <= code < 0xE000:
            assert text == f"[U+{code:04X}]"


def test_the_trades_signs_are_shown() -> None:
    signs = "±×÷·−–—…°≤≥½¼¾²³ΔδμΩ€“”„ŁódźЖβ"
    missing: set[str] = set()
    assert clean(signs, missing) == signs
    assert not missing


def test_micro_and_mu_become_one_sign() -> None:
    assert clean("5 \N{MICRO SIGN}m") == clean("5 \N{GREEK SMALL LETTER MU}m")


def test_controls_go_and_line_ends_become_one_kind() -> None:
    assert clean("a\x00b\x07c\x1b[1md\u202ee\u200bf\ufeff") == "abc[1mdef"
    assert clean("a\r\nb\rc\x0bd\x0ce\x85f\u2028g\u2029h") == "a\nb\nc\nd\ne\nf\ng\nh"
    assert clean("a\tb\u2003c\u3000d") == "a b c d"
    assert one_line("  a \n\n b  ") == "a b"


def test_newlines_and_runs_of_spaces_survive(read: Callable[[bytes], str]) -> None:
    typeset = Typesetter()
    paragraph = typeset.paragraph(STYLES.body, "one\n  two   three")
    assert paragraph.wrap(400, 400)[1] == pytest.approx(2 * STYLES.body.leading)
    narrow = typeset.paragraph(STYLES.body, "one two three")
    wide = typeset.paragraph(STYLES.body, "one     two     three")
    assert wide.minWidth() == pytest.approx(narrow.minWidth(), abs=8)
    assert "one two three" in read(pdf_of([wide]))


def test_a_word_without_a_break_stays_inside_its_column() -> None:
    word = "x" * 3000
    paragraph = Typesetter().paragraph(STYLES.body, word)
    _, height = paragraph.wrap(200, 1e6)
    lines = round(height / STYLES.body.leading)
    assert lines >= width_pt(word, REGULAR, STYLES.body.fontSize) / 200
    for line in paragraph.blPara.lines:
        words = line[1] if isinstance(line, tuple) else [w.text for w in line.words]
        assert width_pt("".join(words), REGULAR, STYLES.body.fontSize) <= 200.01


def test_long_texts_are_cut_into_pieces_without_losing_a_word() -> None:
    text = "lorem ipsum dolor " * 2000 + "\n\n" + "y" * 5000
    cut = list(pieces(text))
    assert max(map(len, cut)) <= LONGEST_PIECE
    assert " ".join(cut).split()[:-4] == text.split()[:-1]
    assert "".join(cut).count("y") == 5000


def test_shortening_shows_that_something_is_left_out() -> None:
    assert shortened("abcdef", 6) == "abcdef"
    assert shortened("abcdefg", 6) == "abcde…"
    line = fitted("a long line of words", REGULAR, 10, 60)
    assert line.endswith("…")
    assert width_pt(line, REGULAR, 10) <= 60
    assert fitted("short", REGULAR, 10, 60) == "short"


@given(st.text(alphabet=st.characters(), max_size=80))
def test_any_text_sets_and_every_sign_of_it_is_accounted_for(text: str) -> None:
    typeset = Typesetter()
    typeset.paragraph(STYLES.body, text).wrap(120, 1e6)
    for paragraph in typeset.flow(STYLES.quiet, text):
        paragraph.wrap(120, 1e6)
    shown = install_fonts()
    assert all(ord(c) in shown for c in clean(text).replace("\n", ""))
