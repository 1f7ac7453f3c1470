"""The form of a spec card, made from the declared limits and facts: a new declaration is a new line here."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QSizePolicy, QVBoxLayout, QWidget

from app.jobs.form import ChoiceField, Field, Form, TextField, line_editor
from app.jobs.rows import EDGE
from app.theme import GRID
from app.widgets.sentences import words
from core.errors import UserError
from core.facts import CardFact, Limit, SpecCard
from core.language import tr
from core.quantities import KINDS, parse
from core.shop_inputs import LimitText, read_fact
from core.stages.card import FACT_SPECS, LIMIT_SPECS, FactSpec, LimitSpec
from core.stages.size_bands import SIZES_BY_KEY, bands, ratio_of
from core.workshop import Workshop

FAMILY = "family"
COMMON_SOURCE = "common_source"
FACT_SOURCE = "fact_source"
SHARES = (4, 4, 1, 7)
"""How from, to, unit and source share the width of a limit's line."""


@dataclass(frozen=True)
class CardTexts:
    """A whole card as typed; `fact_sources` are those of facts that have one of their own."""

    family: str = ""
    common_source: str = ""
    facts: Mapping[str, str] = field(default_factory=dict)
    limits: Mapping[str, LimitText] = field(default_factory=dict)
    fact_source: str = ""
    fact_sources: Mapping[str, str] = field(default_factory=dict)


def texts_of(card: SpecCard) -> CardTexts:
    """Return a card as it would be typed; the source most facts share stands for all that share it."""
    sources = {key: fact.source for key, fact in card.facts.items() if fact.source}
    ((most, _),) = Counter(sources.values()).most_common(1) or [("", 0)]
    return CardTexts(
        card.family,
        "",
        {key: _fact_text(fact) for key, fact in card.facts.items()},
        {key: _limit_text(limit) for key, limit in card.limits.items()},
        most,
        {key: source for key, source in sources.items() if source != most},
    )


def _fact_text(fact: CardFact) -> str:
    spec = next((spec for spec in FACT_SPECS if spec.key == fact.key), None)
    if spec is None or fact.value is None or fact.unit in ("", spec.unit) or not fact.text[-1:].isdigit():
        return fact.text
    return f"{fact.text} {KINDS[spec.kind].unit(fact.unit).label}"


def _limit_text(limit: Limit) -> LimitText:
    return LimitText(limit.low_text, limit.high_text, limit.source)


class LimitField(Field):
    """One limit: from, to, and where it comes from."""

    def __init__(self, spec: LimitSpec) -> None:
        label = tr(spec.label)
        super().__init__(spec.key, label, tr(spec.help))
        self.low = line_editor(f"{spec.key}_low", tr("{limit}, from", limit=label))
        self.high = line_editor(f"{spec.key}_high", tr("{limit}, to", limit=label))
        self.source = line_editor(f"{spec.key}_source", tr("{limit}, source", limit=label))
        self.label.setBuddy(self.low)
        self._editors = (self.low, self.high, self.source)
        unit = words(KINDS[spec.kind].unit(spec.unit).label, "quiet", wraps=False)
        body = QWidget()
        line = QHBoxLayout(body)
        line.setContentsMargins(0, 0, 0, 0)
        line.setSpacing(GRID)
        for widget, share in zip((self.low, self.high, unit, self.source), SHARES, strict=True):
            line.addWidget(widget, share)
            # The shares alone make the columns, so that they stand under their heads.
            widget.setMinimumWidth(1)
            widget.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        for editor in self._editors:
            editor.textEdited.connect(self._content_changed)
        self._lay_out(body, *self._editors)

    def _enter(self, watched: QObject) -> None:
        """Go through from, to and source; a limit that is not given has no source to ask for."""
        at = self._editors.index(watched) + 1 if isinstance(watched, QLineEdit) else len(self._editors)
        if at < len(self._editors) and (at < 2 or self.texts().is_given):
            self._editors[at].setFocus(Qt.FocusReason.TabFocusReason)
        else:
            self.went_on.emit()

    def texts(self) -> LimitText:
        """Return the limit as typed."""
        return LimitText(self.low.text(), self.high.text(), self.source.text())

    def fill(self, texts: LimitText) -> None:
        """Fill the three lines."""
        for editor, text in zip(self._editors, (texts.low, texts.high, texts.source), strict=True):
            editor.setText(text)
            editor.setCursorPosition(0)

    def value(self) -> str:
        return self.low.text() or self.high.text()

    def put(self, value: str) -> None:
        self.fill(LimitText())

    def refuse(self, sentence: str) -> None:
        """Say why it cannot be used, and arm the line it is about: without a source, that one."""
        is_source_missing = bool(sentence) and self.texts().is_given and not self.source.text().strip()
        self.setFocusProxy(self.source if is_source_missing else self.low)
        super().refuse(sentence)


def _fact_field(spec: FactSpec) -> Field:
    if spec.choices:
        return ChoiceField(
            spec.key, tr(spec.label), [(choice.key, tr(choice.label)) for choice in spec.choices], tr(spec.help)
        )
    unit = KINDS[spec.kind].unit(spec.unit).label if spec.unit else ""
    return TextField(spec.key, tr(spec.label), tr(spec.help), unit)


def _limit_heads() -> QWidget:
    heads = QWidget()
    line = QHBoxLayout(heads)
    line.setContentsMargins(GRID + EDGE, 0, 0, 0)
    line.setSpacing(GRID)
    for text, share in zip((tr("from"), tr("to"), "", tr("source")), SHARES, strict=True):
        head = words(text, "quiet")
        head.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        line.addWidget(head, share)
    return heads


class CardForm(QWidget):
    """A whole card: what must be known first, then the limits, then the sizes."""

    changed = Signal()
    handed_in = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.form = Form()
        self._limits: dict[str, LimitField] = {}
        self._filled = CardTexts()
        self.form.add(TextField(FAMILY, tr("Casing family"), tr("A name of your own or the maker's; one card each.")))
        for spec in FACT_SPECS:
            if spec.is_needed:
                self.form.add(_fact_field(spec))
        self.form.add_heading(tr("Limits"))
        self.form.add(
            TextField(
                COMMON_SOURCE,
                tr("Source, unless a line names its own"),
                tr("Such as the maker's manual or shop practice. A limit without a source cannot be kept."),
            )
        )
        self.form.add_row(_limit_heads())
        for limit in LIMIT_SPECS:
            self._limits[limit.key] = LimitField(limit)
            self.form.add(self._limits[limit.key])
        self.form.add_heading(tr("Sizes and other facts"))
        self.form.add(
            TextField(
                FACT_SOURCE,
                tr("Source of the facts"),
                tr("Of all that name none of their own. A card whose facts have no source cannot be handed out."),
            )
        )
        for spec in FACT_SPECS:
            if not spec.is_needed:
                self.form.add(_fact_field(spec))
        self.form.changed.connect(self._remark)
        self.form.changed.connect(self.changed)
        self.form.handed_in.connect(self.handed_in)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.form)

    def texts(self) -> CardTexts:
        """Return the card as typed."""
        values = self.form.values()
        return CardTexts(
            values[FAMILY],
            values[COMMON_SOURCE],
            {spec.key: values[spec.key] for spec in FACT_SPECS},
            {key: limit.texts() for key, limit in self._limits.items()},
            values[FACT_SOURCE],
            self._own_sources(values),
        )

    def _own_sources(self, values: Mapping[str, str]) -> dict[str, str]:
        """Return the sources of facts that have one of their own; what is typed anew is not from there any more."""
        told = self._filled
        return {key: source for key, source in told.fact_sources.items() if values[key] == told.facts.get(key, "")}

    def _remark(self) -> None:
        """Say which facts have a source of their own, and what is taken for the sizes that are empty."""
        values = self.form.values()
        said = usual_sizes(values)
        said |= {key: tr("Source: {source}", source=own) for key, own in self._own_sources(values).items()}
        for key in {*self._filled.fact_sources, *SIZES_BY_KEY}:
            self.form.fields[key].remark(said.get(key, ""))

    def fill(self, texts: CardTexts) -> None:
        """Fill the form with a card as typed."""
        known = {key: source for key, source in texts.fact_sources.items() if key in self.form.fields}
        self._filled = replace(texts, fact_sources=known)
        sources = {COMMON_SOURCE: texts.common_source, FACT_SOURCE: texts.fact_source}
        self.form.put({FAMILY: texts.family, **sources, **texts.facts})
        self._remark()
        for key, limit in self._limits.items():
            limit.fill(texts.limits.get(key, LimitText()))

    def save(self, workshop: Workshop, person: str) -> SpecCard | None:
        """Keep what was typed as the next revision; None, with the sentences at their fields, where it cannot be.

        Raises
        ------
        UserError
            The logbook refuses the card as a whole.
        """
        texts = self.texts()
        limits = {key: _sourced(limit, texts.common_source) for key, limit in texts.limits.items()}
        refused = workshop.check_card(limits, texts.facts)
        try:
            parse("text", texts.family)
        except UserError as error:
            refused[FAMILY] = str(error)
        self.form.refuse(refused)
        if refused:
            return None
        sources = {key: texts.fact_sources.get(key, texts.fact_source) for key in texts.facts}
        return workshop.save_card(texts.family, limits, texts.facts, person, fact_sources=sources)


def usual_sizes(values: Mapping[str, str]) -> dict[str, str]:
    """Say of each size of the set that is empty what is reckoned with, by the sizes that are typed."""
    facts: dict[str, CardFact] = {}
    for key in SIZES_BY_KEY:
        try:
            if values[key].strip():
                facts[key] = read_fact(key, values[key])
        except UserError:
            # What cannot be read is refused when the card is saved.
            continue
    found = bands(facts, ratio_of(values["tooth_counts"]))
    return {
        key: tr(
            "While it is empty: {usual}. A band may be typed, such as {band}.",
            usual=band.usual_words,
            band=band.example,
        )
        for key, band in found.items()
        if band.is_usual and not values[key].strip()
    }


def _sourced(limit: LimitText, common_source: str) -> LimitText:
    return LimitText(limit.low, limit.high, limit.source if limit.source.strip() else common_source)
