"""The gauge chosen on the shop's page: how it stands, what was found on it, and what can be done with it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from app.jobs.form import ChoiceField, Field, Form, TextField, button
from app.theme import GRID
from app.widgets.flow import FlowLayout
from app.widgets.sentences import Reply, say, words
from core.errors import ConflictError, InputError, UserError
from core.facts import Calibration, Gauge, ZeroCheck
from core.gauges import (
    ZEROED,
    calibrations,
    day_of,
    months_words,
    standing,
    standing_words,
    width_words,
    zero_words,
)
from core.language import tr
from core.quantities import KINDS, parse, width_of
from core.shop_inputs import gauge_error, past_day, signed_width, whole_number
from core.stages.entry import GAUGE_USES
from core.workshop import Workshop

CALIBRATE, ZERO, INTERVAL = "calibrate", "zero", "interval"
MOST_TOLD = 8
"""Checks that are listed; the build sheets have those that mattered to a job."""
GOOD, NOT_GOOD = "good", "not_good"


def facts_words(gauge: Gauge, units: str) -> str:
    """Return what a gauge is: its use, resolution, stated error and interval."""
    told = (
        tr(GAUGE_USES.get(gauge.use, gauge.use)),
        tr("resolution {value}", value=width_words(gauge, gauge.resolution, units)),
        tr("stated error ± {value}", value=width_words(gauge, gauge.stated_error, units)),
        months_words(gauge.interval_months),
    )
    return "; ".join(told)


def checks_words(gauge: Gauge, units: str) -> str:
    """Return what was found on a gauge, the newest first, one line each."""
    found: list[tuple[tuple[str, str], str]] = []
    for calibration in calibrations(gauge):
        found.append(((calibration.day.isoformat(), ""), _calibration_words(gauge, calibration, units)))
    for check in gauge.zeros:
        time = f"{check.at.astimezone():%H:%M}"
        found.append(((day_of(check.at).isoformat(), time), _zero_words(gauge, check, time, units)))
    lines = [line for _, line in sorted(found, key=lambda one: one[0])[::-1]]
    if len(lines) > MOST_TOLD:
        lines[MOST_TOLD:] = [tr("and {count} earlier", count=len(lines) - MOST_TOLD)]
    return "\n".join(lines)


def _calibration_words(gauge: Gauge, found: Calibration, units: str) -> str:
    told = [tr("calibrated, good") if found.is_good else tr("calibrated, not good")]
    if found.found_error is not None:
        told.append(tr("off by {value}", value=width_words(gauge, found.found_error, units)))
    told += [said for said in (found.note, found.person) if said]
    return tr("{day}: {what}", day=found.day.isoformat(), what=", ".join(told))


def _zero_words(gauge: Gauge, check: ZeroCheck, time: str, units: str) -> str:
    told = [zero_words(gauge, check, units), *(said for said in (check.note, check.person) if said)]
    return tr("{day} {time}: {what}", day=day_of(check.at).isoformat(), time=time, what=", ".join(told))


class ActForm(QWidget):
    """The form of one thing that can be done with a gauge; open only while somebody does it."""

    wanted = Signal()
    left = Signal()

    def __init__(self, keep: str, fields: Sequence[Field]) -> None:
        super().__init__()
        self.form = Form()
        for field in fields:
            self.form.add(field)
        self.keep, self.leave = button(keep, "main"), button(tr("Leave it"), "plain")
        pushes = QHBoxLayout()
        pushes.setSpacing(GRID)
        pushes.addWidget(self.keep)
        pushes.addWidget(self.leave)
        pushes.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(GRID)
        column.addWidget(self.form)
        column.addLayout(pushes)
        self.hide()
        self.keep.clicked.connect(self.wanted)
        self.leave.clicked.connect(self.left)
        self.form.handed_in.connect(self.wanted)

    def set_unit(self, unit: str) -> None:
        """Show the unit a bare number is taken in behind the fields that measure the gauge."""
        for key, field in self.form.fields.items():
            if isinstance(field, TextField) and key in ("found", "zero"):
                field.set_unit(unit)


def act_forms() -> dict[str, ActForm]:
    """Return the forms, by what they are for."""
    outcome = [(GOOD, tr("good: within its stated error")), (NOT_GOOD, tr("not good"))]
    return {
        CALIBRATE: ActForm(
            tr("Keep calibration"),
            (
                TextField("day", tr("Day of the calibration"), tr("Year-month-day, as on the certificate.")),
                ChoiceField("outcome", tr("Found"), outcome, tr("A gauge found not good marks what was read with it.")),
                TextField("found", tr("Largest error found"), tr("As on the certificate; may stay empty.")),
                TextField("certificate", tr("Certificate"), tr("Its number, or who calibrated; may stay empty.")),
            ),
        ),
        ZERO: ActForm(
            tr("Keep zero check"),
            (TextField("zero", tr("It shows"), tr("At zero, or on the master less what the master should show.")),),
        ),
        INTERVAL: ActForm(
            tr("Keep interval"),
            (
                TextField(
                    "months",
                    tr("From now on every"),
                    tr("Leave it empty to follow its calibration no more."),
                    tr("months"),
                ),
            ),
        ),
    }


@dataclass(frozen=True)
class Draft:
    """What somebody has begun to do with a gauge, and which version of the gauge he saw then."""

    key: str
    values: Mapping[str, str]
    seen: int


class ChosenGauge(QWidget):
    """One gauge: its standing in words, its checks, and the forms; what is begun is kept gauge by gauge."""

    kept = Signal()
    armed = Signal(QWidget)

    def __init__(self, workshop: Workshop, person: Callable[[], str], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._workshop, self._person = workshop, person
        self._shown: Gauge | None = None
        self._open, self._seen = "", 0
        self._drafts: dict[int, Draft] = {}
        self.name, self.facts = words("", "heading"), words("", "quiet")
        self.standing, self.checks = words(""), words("", "quiet")
        self.pushes = {
            CALIBRATE: button(tr("Note a calibration")),
            ZERO: button(tr("Check its zero")),
            INTERVAL: button(tr("Change interval")),
        }
        self.retire = button(tr("Retire it"))
        self.forms = act_forms()
        self.answer = Reply()
        self._lay_out()
        for key, push in self.pushes.items():
            push.clicked.connect(lambda _=False, key=key: self._begin(key))
        for form in self.forms.values():
            form.wanted.connect(self._keep)
            form.left.connect(self._leave)
            form.form.changed.connect(self.answer.forget)
            form.form.armed.connect(self.armed)
        self.retire.clicked.connect(self._retire)

    def _lay_out(self) -> None:
        row = QWidget()
        flow = FlowLayout(row)
        for push in (*self.pushes.values(), self.retire):
            flow.addWidget(push)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 2 * GRID)
        column.setSpacing(GRID)
        for widget in (self.name, self.standing, self.facts, self.checks, row, *self.forms.values(), self.answer):
            column.addWidget(widget)

    def focusables(self) -> list[QWidget]:
        """Return what takes the focus, in order."""
        return [widget for widget in self.findChildren(QWidget) if widget.focusPolicy() & Qt.FocusPolicy.TabFocus]

    # -- showing -------------------------------------------------------------------------------------------------

    def show_gauge(self, gauge: Gauge | None) -> None:
        """Show a gauge, with what was begun on it, or none."""
        is_other = gauge is None or self._shown is None or gauge.id != self._shown.id
        if is_other:
            self._put_away()
            self.answer.forget()
        self._shown = gauge
        self.setVisible(gauge is not None)
        if gauge is None:
            return
        units = self._workshop.shop().units
        self.name.setText(gauge.name)
        say(self.standing, self._standing_words(gauge))
        say(self.facts, facts_words(gauge, units))
        say(self.checks, checks_words(gauge, units))
        kind, unit = width_of(gauge.kind, KINDS[gauge.kind].canonical.id)
        for form in self.forms.values():
            form.set_unit(KINDS[kind].unit(unit).label)
        self._show_pushes(gauge)
        if is_other and gauge.id in self._drafts:
            draft = self._drafts.pop(gauge.id)
            self.forms[draft.key].form.put(draft.values)
            self._turn_to(draft.key, draft.seen)

    def _standing_words(self, gauge: Gauge) -> str:
        if gauge.is_retired:
            return tr("Retired: the bench no longer offers it; what was read with it stays.")
        return tr("Calibration: {standing}.", standing=standing_words(standing(gauge, self._workshop.today())))

    def _show_pushes(self, gauge: Gauge) -> None:
        self.pushes[ZERO].setVisible(gauge.use in ZEROED and not gauge.is_retired)
        self.pushes[INTERVAL].setVisible(not gauge.is_retired)
        self.retire.setVisible(self._workshop.may_own(self._person()))
        self.retire.setText(tr("Take it into use again") if gauge.is_retired else tr("Retire it"))

    def _turn_to(self, key: str, seen: int = 0) -> None:
        """Open one form, or none."""
        self._open, self._seen = key, seen
        for name, form in self.forms.items():
            form.setVisible(name == key)

    def _put_away(self) -> None:
        """Keep what was begun until its gauge is chosen again."""
        if self._open and self._shown is not None:
            self._drafts[self._shown.id] = Draft(self._open, self.forms[self._open].form.values(), self._seen)
        self._turn_to("")

    # -- doing ---------------------------------------------------------------------------------------------------

    @property
    def _gauge(self) -> Gauge:
        if self._shown is None:
            raise LookupError("no gauge is shown")
        return self._shown

    def _begin(self, key: str) -> None:
        gauge, form = self._gauge, self.forms[key].form
        if self._open != key:
            form.put({"day": self._workshop.today().isoformat(), "months": str(gauge.interval_months or "")})
            self._turn_to(key, gauge.version)
        self.answer.forget()
        next(iter(form.fields.values())).setFocus(Qt.FocusReason.OtherFocusReason)

    def _leave(self) -> None:
        push = self.pushes[self._open]
        self._turn_to("")
        self.answer.forget()
        push.setFocus(Qt.FocusReason.OtherFocusReason)

    def _keep(self) -> None:
        key, form = self._open, self.forms[self._open].form
        values = form.values()
        refused = self._refusals(key, values)
        form.refuse(refused)
        if refused:
            return
        act = {CALIBRATE: self._calibrate, ZERO: self._check_zero, INTERVAL: self._change_interval}[key]
        if self._try(lambda: act(values)):
            self._turn_to("")
            self.pushes[key].setFocus(Qt.FocusReason.OtherFocusReason)
            self.kept.emit()

    def _refusals(self, key: str, values: Mapping[str, str]) -> dict[str, str]:
        """Return a sentence for every field that cannot be used."""
        use = self._gauge.use
        readers: dict[str, Callable[[str], object]] = {
            "day": lambda text: past_day(parse("text", text).text, self._workshop.today()),
            "outcome": _chosen,
            "found": lambda text: gauge_error(use, text) if text.strip() else None,
            "zero": lambda text: signed_width(use, text),
            "months": lambda text: whole_number(text) if text.strip() else None,
        }
        refused = {}
        for name in self.forms[key].form.fields:
            try:
                readers.get(name, str)(values[name])
            except UserError as error:
                refused[name] = str(error)
        return refused

    def _try(self, act: Callable[[], tuple[str, bool]]) -> bool:
        """Do something with the gauge and say what came of it; return whether it was done."""
        try:
            sentence, is_warning = act()
        except UserError as error:
            self.answer.refuse(error)
            if isinstance(error, ConflictError):
                self.kept.emit()
            return False
        self.answer.tell(sentence, "refusal" if is_warning else "quiet")
        return True

    def _calibrate(self, values: Mapping[str, str]) -> tuple[str, bool]:
        is_good = values["outcome"] == GOOD
        gauge = self._workshop.calibrate(
            self._gauge.id,
            values["day"],
            is_good,
            found_text=values["found"],
            certificate=values["certificate"],
            person=self._person(),
        )
        now = tr("{gauge}: {standing}.", gauge=gauge.name, standing=self._short_standing(gauge))
        if is_good:
            return now, False
        marked = tr(
            "Marked is what was read with it since the last good calibration: see whether it must be read again."
        )
        return f"{now} {marked}", True

    def _check_zero(self, values: Mapping[str, str]) -> tuple[str, bool]:
        outcome = self._workshop.zero_check(self._gauge.id, values["zero"], self._person())
        return outcome.words(self._workshop.shop().units), not outcome.check.is_good

    def _change_interval(self, values: Mapping[str, str]) -> tuple[str, bool]:
        gauge = self._workshop.change_interval(self._gauge.id, values["months"], self._person(), self._seen)
        return tr("{gauge}: {standing}.", gauge=gauge.name, standing=self._short_standing(gauge)), False

    def _short_standing(self, gauge: Gauge) -> str:
        return standing_words(standing(gauge, self._workshop.today()))

    def _retire(self) -> None:
        if self._try(self._retired):
            self.kept.emit()

    def _retired(self) -> tuple[str, bool]:
        gauge, person = self._gauge, self._person()
        if gauge.is_retired:
            self._workshop.bring_back_gauge(gauge.id, person, gauge.version)
            return tr("{gauge} is in use again.", gauge=gauge.name), False
        self._workshop.retire_gauge(gauge.id, person, gauge.version)
        return tr("{gauge} is retired.", gauge=gauge.name), False


def _chosen(value: str) -> None:
    if not value:
        raise InputError(tr("It is not said how the gauge was found."), tr("Choose one."))
