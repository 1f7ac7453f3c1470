"""The customer's page: what we found beside what we left, two figures, how to run the unit in, and a signature."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import zip_longest

from reportlab.lib.colors import HexColor
from reportlab.platypus import Flowable, Spacer

from core.language import mark, tr
from core.sheet.changes import signed_line, since_last_signing
from core.sheet.compare import CompareRow, Side, compare, texts_for_customer
from core.sheet.flow import Heading, Marked, bare, table
from core.sheet.footnotes import Footnotes
from core.sheet.parts import LONGEST_CELL, Parts, figures_in_a_row, missing_note, other_units
from core.sheet.seal import CODE_PT, code
from core.sheet.style import GRID, HAIRLINE, QUIET, SMALL, STYLES
from core.sheet.text import Span, shortened
from core.sheet.values import day
from core.verdict import ANSWER_WORDS

RUN_IN = (
    mark("Make two gentle drives to warm the unit through, and let it cool down fully after each."),
    mark("Keep off full load for the first 500 km."),
    mark("Have the oil changed after that; fine grey paste on the magnet is normal then."),
)
COME_BACK = (
    mark("At 500 km, for the oil change and a look at seals and bolts."),
    mark("At once when it whines more than before, knocks, leaks, or gets too hot to touch."),
)
CAUTIONS = (
    mark("The maker's manual for your vehicle comes first; this is common practice beside it."),
    mark("Look under the vehicle after the first drive. Never drive on with a leak: without oil it fails in minutes."),
    mark("The casing and its oil get hot enough to burn."),
)
LABEL_PADDING = 2.5
"""Sets the smaller type of the labels on the line of the values [pt]."""
LONGEST_NAME, LONGEST_REMARK, MOST_LINES = 90, 400, 6
MOST_NOTES, MOST_CHANGES = 4, 3
"""More corrections than these are counted on the customer's page and stand in full in the shop's record."""


def customer_page(parts: Parts, figure_height: float) -> list[Flowable]:
    """Return the customer's page; everything on it also stands in the shop's record, in full."""
    notes = Footnotes(parts, MOST_NOTES)
    return [
        *letterhead(parts),
        Spacer(0, 2 * GRID),
        _unit(parts),
        Spacer(0, 1.5 * GRID),
        _stages(parts),
        Spacer(0, 2 * GRID),
        *_found_and_left(parts, notes),
        *notes.flowables(),
        Spacer(0, GRID),
        *_figures(parts, figure_height),
        _advice(parts),
        Spacer(0, 2 * GRID),
        _signature(parts),
        *_changes(parts),
        *missing_note(parts),
    ]


def letterhead(parts: Parts) -> list[Flowable]:
    """Return the shop's name and address beside what this paper is."""
    job, typeset = parts.state.context.job, parts.type
    address = parts.shop.address.splitlines()
    shop = [
        typeset.paragraph(STYLES.title, shortened(parts.shop.name or tr("Workshop"), LONGEST_NAME)),
        typeset.paragraph(STYLES.quiet, "\n".join(shortened(line, LONGEST_NAME) for line in address[:MOST_LINES])),
    ]
    # One line of the title's height, so that both sides of the letterhead start level.
    title = typeset.paragraph(STYLES.right_title, tr("Build sheet"))
    number = tr("Job {number}, revision {revision}", number=job.number, revision=job.revision)
    paper = [Spacer(0, 5), title, typeset.paragraph(STYLES.right, shortened(number, LONGEST_NAME))]
    half = parts.width / 2
    line = Heading(typeset.paragraph(STYLES.quiet, ""), tr("Customer's page"), "customer")
    return [line, table([[shop, paper]], [half * 1.2, half * 0.8], is_lined=False, padding=0,
                        more=[("RIGHTPADDING", (-1, 0), (-1, -1), 0)])]  # fmt: skip


def _unit(parts: Parts) -> Flowable:
    """Return who, what and when as short labelled facts."""
    job = parts.state.context.job
    ratio = f"{job.ring_gear_teeth} : {job.pinion_teeth} = {job.ring_gear_teeth / max(job.pinion_teeth, 1):.3f}"
    card = tr("{family}, revision {revision}", family=shortened(job.card.family, 60), revision=job.card.revision)
    left_the_shop = day(job.signed_at) if job.signed_at else tr("not signed yet")
    facts = (
        (tr("Unit"), job.serial), (tr("Ratio"), ratio), (tr("Spec card"), card),
        (tr("Customer"), job.customer), (tr("Vehicle"), job.vehicle), (tr("In · out"),
         f"{day(job.opened_at)} · {left_the_shop}"),
    )  # fmt: skip
    cells = [_fact(parts, label, shortened(text, LONGEST_NAME)) for label, text in facts]
    third = parts.width / 3
    made = table([cells[:3], cells[3:]], [third] * 3, is_lined=False, padding=2)
    if not job.asked_for:
        return made
    asked = _fact(parts, tr("Asked for"), shortened(job.asked_for, LONGEST_REMARK))
    return bare([made, table([[asked]], [parts.width], is_lined=False, padding=2)], parts.width)


def _fact(parts: Parts, label: str, text: str) -> list[Flowable]:
    return [
        parts.type.paragraph(STYLES.quiet, label),
        parts.type.paragraph(STYLES.body, text or "–"),
    ]


def _stages(parts: Parts) -> Flowable:
    """Return the stages side by side, each with its mark and word."""
    stages = parts.state.stages
    cells = [
        [parts.type.paragraph(STYLES.small, Span(tr(s.stage.label))), parts.verdict(s.verdict.answer)] for s in stages
    ]
    return table([cells], [parts.width / max(len(stages), 1)] * len(stages), is_lined=False, padding=0)


def _found_and_left(parts: Parts, notes: Footnotes) -> list[Flowable]:
    rows = compare(parts.state, parts.system)
    paired = [row for row in rows if row.is_paired]
    found = [row for row in rows if not row.is_paired and row.found]
    left = [row for row in rows if not row.is_paired and row.left]
    flowables: list[Flowable] = []
    if paired:
        flowables.append(_paired(parts, notes, paired))
    if found or left:
        flowables += [Spacer(0, 1.5 * GRID), _side_by_side(parts, notes, found, left)]
    if not flowables:
        flowables.append(parts.type.paragraph(STYLES.quiet, tr("Nothing has been measured yet.")))
    for label, text in texts_for_customer(parts.state):
        flowables.append(Spacer(0, GRID))
        words = Span(f"{label}: ", colour=STYLES.quiet.textColor), shortened(text, LONGEST_REMARK)
        flowables.append(parts.type.paragraph(STYLES.small, *words))
    return flowables


def _paired(parts: Parts, notes: Footnotes, rows: Sequence[CompareRow]) -> Flowable:
    """Return what has both sides: one row each, found in the middle, left on the right."""
    heads = [parts.type.paragraph(STYLES.subheading, h) for h in ("", tr("What we found"), tr("What we left"))]
    lines: list[list[Flowable]] = [heads]
    lines += [[parts.small(row.label), _side(parts, notes, row.found), _side(parts, notes, row.left)] for row in rows]
    widths = [parts.width * share for share in (0.3, 0.35, 0.35)]
    level = [("TOPPADDING", (0, 1), (0, -1), LABEL_PADDING)]
    return table(lines, widths, padding=1.3, more=level)


def _side_by_side(parts: Parts, notes: Footnotes, found: Sequence[CompareRow], left: Sequence[CompareRow]) -> Flowable:
    """Return what has no counterpart: found on the left half, left on the right half, in one table that may split."""
    heads = [parts.type.paragraph(STYLES.subheading, text) for text in (tr("Also found"), tr("Also left"))]
    blank = Spacer(0, 0)
    lines: list[list[Flowable]] = [
        [heads[0] if found else blank, blank, blank, heads[1] if left else blank, blank],
    ]
    for one, other in zip_longest(found, left):
        first = [parts.small(one.label), _side(parts, notes, one.found)] if one else [blank, blank]
        second = [parts.small(other.label), _side(parts, notes, other.left)] if other else [blank, blank]
        lines.append([*first, blank, *second])
    gap = 2 * GRID
    half = (parts.width - gap) / 2
    widths = [half * 0.42, half * 0.58, gap, half * 0.42, half * 0.58]
    ruled = [
        ("LINEABOVE", (column, 1), (column + 1, count), 0.4, HexColor(HAIRLINE))
        for column, count in ((0, len(found)), (3, len(left)))
        if count
    ]
    level = [("TOPPADDING", (column, 1), (column, -1), LABEL_PADDING) for column in (0, 3)]
    return table(lines, widths, is_lined=False, padding=1.3, more=[*ruled, *level])


def _side(parts: Parts, notes: Footnotes, side: Side | None) -> Flowable:
    """Return a value in both systems between its mark and the verdict's word."""
    if side is None:
        return Marked(None, parts.quiet("–"))
    spans: list[str | Span] = [shortened(side.value.own, LONGEST_CELL)]
    spans += [*dict.fromkeys(notes.add(note) for note in side.notes), *other_units(side.value)]
    if side.answer is not None:
        spans.append(Span("  " + tr(ANSWER_WORDS[side.answer]), colour=QUIET, size_pt=SMALL))
    return Marked(side.answer, parts.type.paragraph(STYLES.body, *spans))


def _figures(parts: Parts, height: float) -> list[Flowable]:
    """Return the backlash wheel and the contact pattern side by side, as far as they have been measured."""
    row = figures_in_a_row(parts, parts.state.stages[-1], (("backlash_wheel", 0.4), ("contact", 0.6)), height)
    return [*row, Spacer(0, GRID)] if row else []


def _advice(parts: Parts) -> Flowable:
    """Return run-in, when to come back and cautions as three columns."""
    columns = []
    for title, sentences in (
        (tr("Running it in"), RUN_IN),
        (tr("When to come back"), COME_BACK),
        (tr("Take care"), CAUTIONS),
    ):
        lines = [parts.type.paragraph(STYLES.item, tr(sentence)) for sentence in sentences]
        columns.append([parts.type.paragraph(STYLES.subheading, title), *lines])
    flush = [("RIGHTPADDING", (0, 0), (-2, -1), 2 * GRID)]
    return table([columns], [parts.width / 3] * 3, is_lined=False, padding=0, more=flush)


def _signature(parts: Parts) -> Flowable:
    """Return who signed and when, and room to sign by hand."""
    job = parts.state.context.job
    signed = [
        parts.type.paragraph(STYLES.body, shortened(signed_line(parts.state), LONGEST_NAME * 2)),
        parts.quiet(tr("Revision {revision}, printed {day}", revision=job.revision, day=day(parts.made_at))),
        parts.quiet(tr("Fingerprint of this sheet, which the shop can look up:")),
        parts.quiet(parts.seal.in_groups),
    ]
    low = [("VALIGN", (0, 0), (-1, -1), "BOTTOM")]
    hand = table([[Spacer(0, 3 * GRID)], [parts.quiet(tr("Signature"))]], [parts.width * 0.3], padding=1)
    widths = [CODE_PT + GRID, parts.width * 0.68 - CODE_PT - GRID, parts.width * 0.32]
    return table([[code(parts.seal), signed, hand]], widths, is_lined=False, padding=0, more=low)


def _changes(parts: Parts) -> list[Flowable]:
    """Return what changed since the last revision."""
    changes = since_last_signing(parts.state, parts.events, [p.photo for p in parts.photos], most=MOST_CHANGES)
    return [parts.type.paragraph(STYLES.quiet, shortened(change, LONGEST_REMARK)) for change in changes]
