"""The shop itself: what stands at the head of a build sheet, its units, and what an overdue gauge does."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.jobs.form import ChoiceField, Form, Scrolled, TextField, button
from app.jobs.panes import Panes
from app.theme import GRID
from app.widgets.sentences import Reply, say, words
from core.errors import ConflictError, UserError
from core.facts import Shop, ShopRules
from core.gauges import OVERDUE_RULES, WIDEN, rules_words
from core.language import mark, tr
from core.workshop import Workshop

LEAST_DIGITS = 130
UNITS = {"metric": mark("millimetres and newton-metres"), "inch": mark("inches and pound-inches")}


class RulesPart(QWidget):
    """What an overdue gauge does to a verdict: in words for everybody, to be changed by the owner."""

    kept = Signal()

    def __init__(self, workshop: Workshop, person: Callable[[], str], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._workshop, self._person = workshop, person
        self._is_typed = False
        self.heading, self.now = words(tr("Overdue gauges"), "heading"), words("", "quiet")
        self.form = Form()
        choices = [(key, tr(label)) for key, label in OVERDUE_RULES.items()]
        self.form.add(
            ChoiceField("overdue", tr("An overdue gauge"), choices, tr("Signed jobs keep the rule of their signing."))
        )
        self.form.add(
            TextField("factor", tr("The stated error counts"), tr("A number from 1 to 10, such as 2."), tr("times"))
        )
        self.answer = Reply()
        self.save = button(tr("Save rule"))
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 2 * GRID, 0, 0)
        column.setSpacing(GRID)
        for widget in (self.heading, self.now, self.form, self.answer):
            column.addWidget(widget)
        column.addWidget(self.save, 0, Qt.AlignmentFlag.AlignLeft)
        self.form.changed.connect(self._typed)
        self.form.handed_in.connect(self._save)
        self.save.clicked.connect(self._save)

    def refresh(self) -> None:
        """Show the rule as it is now, unless somebody has begun to change it."""
        rules, may_own = self._workshop.rules(), self._workshop.may_own(self._person())
        told = rules_words(rules)
        say(self.now, told if may_own else tr("{rule} The owner may change it.", rule=told))
        self.form.setVisible(may_own)
        self.save.setVisible(may_own)
        if not self._is_typed:
            self._put(rules)

    def _put(self, rules: ShopRules) -> None:
        self.form.put({"overdue": rules.overdue, "factor": f"{rules.overdue_factor:g}"})
        self._show_factor()

    def _show_factor(self) -> None:
        """Ask for the factor only where it counts."""
        factor = self.form.fields["factor"]
        for widget in (factor, factor.label):
            widget.setVisible(self.form.fields["overdue"].value() == WIDEN)

    def _typed(self) -> None:
        self._is_typed = True
        self._show_factor()
        self.answer.forget()

    def _save(self) -> None:
        values = self.form.values()
        try:
            self._workshop.save_rules(values["overdue"], values["factor"], self._person())
        except UserError as error:
            self.answer.refuse(error)
            return
        self._is_typed = False
        self.refresh()
        self.answer.tell(tr("Saved. Open jobs are judged by it from now on."))
        self.kept.emit()


class ShopSection(QWidget):
    """Name, address and units of the shop, and its rules."""

    kept = Signal()

    def __init__(self, workshop: Workshop, person: Callable[[], str] = str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._workshop = workshop
        self._is_typed = False
        self._seen = 0
        self.form = Form()
        self.form.add(TextField("name", tr("Name of the shop"), tr("As it should stand at the head of a build sheet.")))
        self.form.add(TextField("address", tr("Address"), tr("One line, with commas.")))
        self.form.add(
            ChoiceField(
                "units",
                tr("Units"),
                [(key, tr(label)) for key, label in UNITS.items()],
                tr("What values are shown in. Readings can be typed in either, whatever is chosen here."),
            )
        )
        self.answer = Reply()
        self.save = button(tr("Save shop"), "main")
        self.rules = RulesPart(workshop, person)
        pane = QWidget()
        column = QVBoxLayout(pane)
        column.setContentsMargins(0, 0, GRID, GRID)
        column.setSpacing(2 * GRID)
        column.addWidget(self.form)
        column.addWidget(self.answer)
        column.addWidget(self.save, 0, Qt.AlignmentFlag.AlignLeft)
        column.addWidget(self.rules)
        column.addStretch(1)
        Panes(Scrolled(pane, self.form, self.rules.form), QWidget(), LEAST_DIGITS, narrow=(1, 0)).fill(self)
        self.form.changed.connect(self._typed)
        self.form.handed_in.connect(self._save)
        self.save.clicked.connect(self._save)
        self.rules.kept.connect(self.kept)

    def showEvent(self, event: QShowEvent) -> None:
        """Show the shop as it is now, unless somebody has begun to change it."""
        super().showEvent(event)
        self.refresh()

    def refresh(self) -> None:
        """Read the shop again; what was begun stays."""
        self.rules.refresh()
        if not self._is_typed:
            shop = self._workshop.shop()
            self._seen = shop.version
            self.form.put(_texts(shop))

    def _typed(self) -> None:
        self._is_typed = True
        self.answer.forget()

    def _save(self) -> None:
        values = self.form.values()
        try:
            self._workshop.save_shop(Shop(**values, version=self._seen))
        except UserError as error:
            self.answer.refuse(error)
            if isinstance(error, ConflictError):
                self._show_meeting(values)
            return
        self._is_typed = False
        self.refresh()
        self.answer.tell(tr("Saved."))
        self.kept.emit()

    def _show_meeting(self, values: dict[str, str]) -> None:
        """Show beside what was typed what somebody else saved; saving once more is then done knowingly."""
        shop = self._workshop.shop()
        self._seen = shop.version
        for key, text in _texts(shop).items():
            shown = tr(UNITS[text]) if key == "units" else text
            self.form.fields[key].remark(tr("Saved meanwhile: {text}.", text=shown) if text != values[key] else "")


def _texts(shop: Shop) -> dict[str, str]:
    return {"name": shop.name, "address": ", ".join(shop.address.splitlines()), "units": shop.units}
