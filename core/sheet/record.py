"""The shop's full record: the card, every stage with every reading, the gauges, and what happened to the job."""

from __future__ import annotations

from reportlab.platypus import CondPageBreak, Flowable, Spacer

from core.facts import CardFact, Limit
from core.language import mark, tr
from core.quantities import KINDS, as_typed
from core.sheet.changes import dated, since_last_signing, told
from core.sheet.flow import Heading, Marked, table
from core.sheet.footnotes import Footnotes
from core.sheet.gauges import gauges_section
from core.sheet.parts import LONGEST_CELL, Parts, figures_in_a_row, missing_note, other_units
from core.sheet.photos import stage_photos
from core.sheet.rows import Rows
from core.sheet.style import GRID, STYLES
from core.sheet.text import Span, shortened
from core.sheet.trials import begun, trial_figure, trials_table
from core.sheet.values import choice_label, day, written, written_limit
from core.stages.card import FACTS_BY_KEY, LIMITS_BY_KEY
from core.stages.size_bands import typed_band
from core.stages.state import StageState
from core.verdict import ANSWER_WORDS

FIGURE_HEIGHT = 168.0
SIDE_BY_SIDE = {
    "teardown": (("backlash_wheel", 0.42), ("contact", 0.58)),
    "preload": (("ring_stack", 0.5), ("preload_curve", 0.5)),
    "backlash_wheel": (("backlash_wheel", 0.45), ("ring_stack", 0.55)),
    "contact": (("contact", 0.75),),
}
"""A stage's figure as the page has room for it, with shares of its width; others stand alone on half of it."""
LEAST_ROOM = 90.0
"""A heading with less room than this [pt] under it goes to the next page."""


def record(parts: Parts) -> list[Flowable]:
    """Return the full record, stage by stage, in the order of work."""
    found: list[Flowable] = [_heading(parts, tr("Full record"), "record", 0)]
    found += _intake(parts)
    found += _changes(parts)
    found += _card(parts)
    for stage in parts.state.stages:
        found += _stage(parts, stage)
    found += gauges_section(parts)
    found += _events(parts)
    return [*found, *missing_note(parts)]


def _heading(parts: Parts, title: str, key: str, level: int) -> Heading:
    style = STYLES.title if level == 0 else STYLES.heading
    return Heading(parts.type.paragraph(style, title), parts.type.line(title), key, level)


def _intake(parts: Parts) -> list[Flowable]:
    """Return what was written down when the job was opened, in full."""
    job, notes = parts.state.context.job, Footnotes(parts)
    facts = [
        (tr("Customer"), job.customer),
        (tr("Contact"), job.contact),
        (tr("Vehicle"), job.vehicle),
        (tr("Asked for"), job.asked_for),
        (tr("Opened"), f"{day(job.opened_at)}, {job.opened_by}"),
        (tr("Unit"), job.serial),
        (tr("Ratio on the tag"), "" if job.tag_ratio is None else f"{job.tag_ratio:g}"),
        (tr("Limited-slip carrier"), tr("yes") if job.is_limited_slip else tr("no")),
    ]
    rows = [[parts.small(label), _words(parts, notes, text)] for label, text in facts if text]
    return [Spacer(0, GRID), table(rows, [parts.width * 0.4, parts.width * 0.6], padding=1.4), *notes.flowables()]


def _card(parts: Parts) -> list[Flowable]:
    """Return what the job was judged by: the card's limits and facts, each with its source."""
    card, notes = parts.state.context.job.card, Footnotes(parts)
    family = shortened(card.family, LONGEST_CELL)
    title = tr("Spec card {family}, revision {revision}", family=family, revision=card.revision)
    rows = [_limit_row(parts, notes, limit) for limit in card.limits.values()]
    rows += [_fact_row(parts, notes, fact) for fact in card.facts.values()]
    heading = _heading(parts, title, "card", 1)
    if not rows:
        return [heading, parts.quiet(tr("The card gives neither limits nor sizes."))]
    made = table(rows, [parts.width * share for share in (0.4, 0.35, 0.25)], padding=1.4)
    return [CondPageBreak(LEAST_ROOM), heading, made, *notes.flowables()]


def _words(parts: Parts, notes: Footnotes, text: str) -> Flowable:
    return parts.type.paragraph(STYLES.small, *notes.cut(text))


def _limit_row(parts: Parts, notes: Footnotes, limit: Limit) -> list[Flowable]:
    spec = LIMITS_BY_KEY.get(limit.key)
    if spec is None:  # a card written by a newer program may hold limits this one does not know
        words = " – ".join(text for text in (limit.low_text, limit.high_text) if text)
        return [parts.small(limit.key), _words(parts, notes, words), _words(parts, notes, limit.source)]
    value = written_limit(limit, spec.kind, spec.unit, parts.system)
    words = parts.type.paragraph(STYLES.small, value.own, *other_units(value))
    return [parts.small(tr(spec.label)), words, _words(parts, notes, limit.source)]


def _fact_row(parts: Parts, notes: Footnotes, fact: CardFact) -> list[Flowable]:
    spec = FACTS_BY_KEY.get(fact.key)
    if spec is None:
        return [parts.small(fact.key), _words(parts, notes, fact.text), _words(parts, notes, fact.source)]
    if typed_band(fact.key, fact.text):
        words = _words(parts, notes, as_typed(spec.kind, fact.text, fact.unit))
    elif fact.value is not None and KINDS[spec.kind].is_number:
        value = written(spec.kind, fact.value, spec.unit, parts.system)
        words = parts.type.paragraph(STYLES.small, value.own, *other_units(value))
    else:
        words = _words(parts, notes, choice_label(spec.choices, fact.text))
    return [parts.small(tr(spec.label)), words, _words(parts, notes, fact.source)]


def _stage(parts: Parts, stage: StageState) -> list[Flowable]:
    """Return one stage: verdict, figures, readings outside trials, trials, remarks, footnotes, cautions."""
    notes = Footnotes(parts)
    rows = Rows(parts, notes)
    verdict = stage.verdict
    word = parts.type.paragraph(STYLES.body, tr(ANSWER_WORDS[verdict.answer]), *_reason(verdict.reason))
    heading = _heading(parts, tr(stage.stage.label), f"stage-{stage.stage.key}", 1)
    found: list[Flowable] = [CondPageBreak(FIGURE_HEIGHT + LEAST_ROOM), heading, Marked(verdict.answer, word)]
    trials = begun(stage)
    if trials or any(f.reading is not None or f.superseded for f in stage.fields):
        shares = SIDE_BY_SIDE.get(stage.stage.figure, ((stage.stage.figure, 0.5),))
        found += [Spacer(0, GRID), *figures_in_a_row(parts, stage, shares, FIGURE_HEIGHT)]
        found += rows.flowables(stage.fields, stage.derived)
    if trials:
        found += [*_sub(parts, tr("Trials")), *trials_table(parts, stage, notes)]
    for trial in trials:
        name = mark("Trial {number}, accepted") if trial.is_accepted else mark("Trial {number}")
        found += [*_sub(parts, tr(name, number=trial.number)), *trial_figure(parts, stage, trial)]
        found += rows.flowables(trial.fields, trial.derived)
    found += _remarks(parts, stage)
    found += stage_photos(parts, stage, notes)
    found += notes.flowables()
    return [*found, *_cautions(parts, stage)]


def _reason(reason: str) -> list[Span]:
    return [Span("  " + reason, colour=STYLES.quiet.textColor)] if reason else []


def _sub(parts: Parts, text: str) -> list[Flowable]:
    # Not keepWithNext: it would push the whole table that follows to the next page.
    return [CondPageBreak(LEAST_ROOM), parts.type.paragraph(STYLES.subheading, text)]


def _remarks(parts: Parts, stage: StageState) -> list[Flowable]:
    found: list[Flowable] = []
    for remark in stage.remarks:
        text = tr("Look again: {remark}", remark=remark.text) if remark.is_warning else remark.text
        found += parts.type.flow(STYLES.small, text)
    return [Spacer(0, GRID / 2), *found] if found else []


def _cautions(parts: Parts, stage: StageState) -> list[Flowable]:
    lines = [*stage.stage.cautions, *stage.stage.notes]
    if not lines:
        return []
    lead = Span(tr("Cautions:") + " ", face=STYLES.title.fontName)
    text = " ".join(tr(line) for line in lines)
    return [Spacer(0, GRID), parts.type.paragraph(STYLES.quiet, lead, text)]


def _events(parts: Parts) -> list[Flowable]:
    """Return what happened to the job, oldest first, each as far down the page as it needs."""
    if not parts.events:
        return []
    found: list[Flowable] = [
        CondPageBreak(LEAST_ROOM),
        _heading(parts, tr("What happened to the job"), "events", 1),
    ]
    for event in parts.events:
        found += parts.type.flow(STYLES.small, f"{dated(event)}: {told(event)}")
    return found


def _changes(parts: Parts) -> list[Flowable]:
    """Return all that changed since the last revision was signed; nothing for the first."""
    changes = since_last_signing(parts.state, parts.events, [printed.photo for printed in parts.photos])
    if not changes:
        return []
    title = tr("What changed since revision {revision}", revision=parts.state.context.job.revision - 1)
    found: list[Flowable] = [CondPageBreak(LEAST_ROOM), _heading(parts, title, "changes", 1)]
    for change in changes:
        found += parts.type.flow(STYLES.small, change)
    return found
