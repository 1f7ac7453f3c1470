"""The answers of a question, each chosen by its number key, the arrows or the pointer."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QRadioButton

from app.jobs.form import ChoiceField, Form
from core.language import tr
from core.practice import STEPS_MM, Answer, Level, Says
from core.quantities import show

TOWARD, AWAY, LEAVE = "toward", "away", "leave"
SIGNS = {TOWARD: -1.0, AWAY: 1.0, LEAVE: 0.0}


class AnswerForm(Form):
    """What a level asks for; `changed` tells of every choice."""

    def __init__(self, level: Level) -> None:
        super().__init__()
        self.level = level
        self._numbered: list[QRadioButton] = []
        if level is Level.CENTRED:
            self._offer(
                "centred",
                tr("Both prints"),
                (("yes", tr("are centred: leave it")), ("no", tr("are not centred: something must be moved"))),
            )
            return
        self._offer_ways("pinion", tr("Pinion"), tr("toward the ring gear's axis"), tr("away from it"))
        self._offer_ways("gear", tr("Ring gear"), tr("toward the pinion"), tr("away from it"))
        if level is Level.NONE_HELPS:
            self._offer("none", tr("Or"), (("none", tr("no setting helps: check the parts")),))
            self.fields["none"].changed.connect(self._forget_moves)
            for key in ("pinion", "gear"):
                self.fields[key].changed.connect(self._forget_none)

    def _offer_ways(self, key: str, label: str, toward: str, away: str) -> None:
        self._offer(key, label, ((TOWARD, toward), (AWAY, away), (LEAVE, tr("leave it"))))
        if self.level is Level.HOW_FAR:
            # The number keys choose a distance while the hand is on the distances.
            far = [(f"{step}", _numbered(at, show("length", step, "mm", 2))) for at, step in enumerate(STEPS_MM, 1)]
            self.add(ChoiceField(f"{key}_far", tr("{label}, how far", label=label), far))
            self.fields[key].changed.connect(self._show_far)
            self._show_far()

    def _offer(self, key: str, label: str, choices: tuple[tuple[str, str], ...]) -> None:
        """Offer choices, numbered on from the last ones."""
        first = len(self._numbered) + 1
        numbered = [(choice, _numbered(at, text)) for at, (choice, text) in enumerate(choices, first)]
        field = ChoiceField(key, label, numbered)
        self.add(field)
        self._numbered += field.findChildren(QRadioButton)

    def _show_far(self) -> None:
        for key in ("pinion", "gear"):
            far = self.fields.get(f"{key}_far")
            if far is not None:
                is_moved = self.fields[key].value() in (TOWARD, AWAY)
                far.setVisible(is_moved)
                far.label.setVisible(is_moved)

    def _forget_moves(self) -> None:
        for key in ("pinion", "gear"):
            self.fields[key].put("")
        self.changed.emit()

    def _forget_none(self) -> None:
        self.fields["none"].put("")
        self.changed.emit()

    @property
    def pushes(self) -> tuple[QRadioButton, ...]:
        """The answers in the order they are seen."""
        return tuple(push for field in self.fields.values() for push in field.findChildren(QRadioButton))

    # -- answering ---------------------------------------------------------------------------------------------------

    def choose(self, number: int) -> None:
        """Choose the answer with a number, and go on to what is still to be said."""
        offered = self._far_in_hand() or self._numbered
        if self.isEnabled() and 0 < number <= len(offered):
            push = offered[number - 1]
            push.click()
            push.setFocus(Qt.FocusReason.ShortcutFocusReason)
            if (missing := self._missing()) is not None:
                self.fields[missing].setFocus(Qt.FocusReason.ShortcutFocusReason)

    def _far_in_hand(self) -> list[QRadioButton]:
        """Return the distances the hand is on, or none."""
        far = [field for key, field in self.fields.items() if key.endswith("_far")]
        held = next((field for field in far if field.isAncestorOf(self.focusWidget() or self)), None)
        return [] if held is None else held.findChildren(QRadioButton)

    def go_to_missing(self) -> None:
        """Give the keyboard to what is still to be said, or to the first answer."""
        self.fields[self._missing() or next(iter(self.fields))].setFocus(Qt.FocusReason.OtherFocusReason)

    def answer(self) -> Answer | None:
        """Return what was chosen, or None while something is missing."""
        values = self.values()
        if self._missing() is not None:
            return None
        if self.level is Level.CENTRED:
            return Answer(Says.MOVE if values["centred"] == "yes" else Says.NOT_CENTRED)
        if values.get("none"):
            return Answer(Says.NO_SETTING)
        return Answer(Says.MOVE, *(self._way(values, key) for key in ("pinion", "gear")))

    def _way(self, values: dict[str, str], key: str) -> float:
        """Return which way a gear is moved, and how far [mm] where that is asked."""
        sign, far = SIGNS[values[key]], values.get(f"{key}_far")
        return sign * float(far) if far and sign else sign

    def _missing(self) -> str | None:
        """Return the first field that is still to be answered."""
        values = self.values()
        if values.get("none"):
            return None
        return next(
            (
                key
                for key, value in values.items()
                if not value and key != "none" and (not key.endswith("_far") or self._is_moved(key))
            ),
            None,
        )

    def _is_moved(self, far_key: str) -> bool:
        return self.fields[far_key.removesuffix("_far")].value() in (TOWARD, AWAY)


def _numbered(number: int, choice: str) -> str:
    return tr("{number}  {choice}", number=number, choice=choice)
