"""The editor of a print: the tooth to draw on, what follows from the print in words, and the tools below it."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QPushButton, QVBoxLayout, QWidget

from app import theme
from app.board.canvas import Canvas
from app.board.draft import Draft
from app.widgets.flow import FlowLayout
from app.widgets.sentences import say, words
from app.widgets.settle import when_mouse_rests
from core.language import tr
from core.mechanics.outline import Ring, is_parted
from core.mechanics.print_shapes import SHAPES
from core.stages.prints import PARTED, TypedPrint
from core.stages.tooth import Tooth


class OutlineEditor(QWidget):
    """A print that is drawn; to its field an editor like any other, whose text is the outline.

    Signals
    -------
    edited()
        The print is another one than before; told when the hand lets go, and after each key.
    shown()
        Another print was put in.
    entered(), escaped(), armed(), left(reason)
        As for any editor.
    """

    edited = Signal()
    entered = Signal()
    escaped = Signal()
    armed = Signal()
    left = Signal(object)
    shown = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._draft = Draft()
        self._name, self._description = "", ""
        self._typed: TypedPrint | None = None
        self.canvas = Canvas(self._draft, self)
        self.canvas.marks_centre = True
        self.told, self.said = words("", "body"), words("", "quiet")
        self.side = words("", "quiet")
        self._tools: QWidget | None = None
        column = QVBoxLayout(self)
        self.tools_home: QVBoxLayout = column
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        for part in (self.side, self.canvas, self.told, self.said):
            column.addWidget(part)
        self.setFocusProxy(self.canvas)
        self.canvas.changed.connect(self._changed)
        self.canvas.said.connect(self._show)
        self.canvas.entered.connect(self.entered)
        self.canvas.escaped.connect(self.escaped)
        self.canvas.armed.connect(self._on_armed)
        self.canvas.left.connect(self._on_left)
        self._show()

    # -- an editor like any other ------------------------------------------------------------------------------------

    def text(self) -> str:
        """Return the outline, "" while nothing is drawn."""
        return "" if self._is_plain else self._draft.text()

    @property
    def _is_plain(self) -> bool:
        """Whether the print that is shown was never drawn: only its numbers are known."""
        return bool(self._plain) and self._draft.rings == self._plain

    def set_text(self, text: str) -> None:
        """Put an outline in without telling that a person did."""
        self._draft.put(text)
        if not text:
            self._draft.rings = self._plain
        self._show()
        self.shown.emit()

    def set_read_only(self, is_read_only: bool) -> None:
        """Let the print only be looked at."""
        self.canvas.is_read_only = is_read_only
        self._show_tools()

    def set_name(self, name: str) -> None:
        """Say what is drawn here."""
        self._name = name
        self._show_name()

    def set_description(self, description: str) -> None:
        """Say more about it, for who listens."""
        self._description = description
        self._show_description()

    def focusables(self) -> list[QWidget]:
        """Return what takes the focus, in order; the tools have keys on the tooth itself."""
        return [self.canvas]

    # -- what it shows -----------------------------------------------------------------------------------------------

    def show_tooth(self, tooth: Tooth, side: str, behind: tuple[Ring, ...] = ()) -> None:
        """Say which tooth and flank this is, and which print is shown behind the one that is drawn."""
        self.canvas.show_tooth(tooth, side, behind)
        say(self.side, tooth.curve_words(side))
        self._show()

    def show_box(self, box: Ring) -> None:
        """Say where the centre of the print belongs."""
        self.canvas.show_box(box)

    def show_typed(self, typed: TypedPrint | None) -> None:
        """Show a print of which only the numbers are known; the first change makes an outline of it."""
        if typed == self._typed:
            return
        is_untouched = self._is_plain or not self._draft.text()
        self._typed = typed
        if is_untouched:
            self._draft.put("")
            self._draft.rings = self._plain
        self._show()

    @property
    def _plain(self) -> tuple[Ring, ...]:
        return () if self._typed is None else self._typed.rings

    def _in_words(self) -> str:
        """Say where the print lies: as typed, where only its numbers are known."""
        return self._typed.in_words if self._typed is not None and self._is_plain else self._draft.in_words()

    def _said(self) -> str:
        """Say what was done or cannot be, or what a print of this kind says of itself."""
        if not self._draft.said and is_parted(self._draft.rings):
            return tr(PARTED)
        if not self._draft.said and self._is_plain and self._typed is not None and self._typed.is_cut:
            return tr("These numbers reach over the edge of the tooth: the print is drawn up to it.")
        return self._draft.said

    def _changed(self) -> None:
        if self._plain and not self._draft.rings:
            self._draft.undo()
            self._draft.said = tr("This print was typed in numbers: take them back in their fields.")
        self._show()
        self.edited.emit()
        self.canvas.tell_listeners()

    def _show(self) -> None:
        say(self.told, self._in_words())
        say(self.said, self._said())
        self.canvas.update()
        self._show_description()
        self._show_tools()

    def _show_name(self) -> None:
        self.canvas.setAccessibleName(self._name)

    def _show_description(self) -> None:
        parts = (self._in_words(), self._said(), self.side.text(), self._description)
        self.canvas.setAccessibleDescription(". ".join(part for part in parts if part))

    # -- tools -------------------------------------------------------------------------------------------------------

    def _on_armed(self) -> None:
        # Rows must not grow or shrink under a hand that draws.
        when_mouse_rests(self, self._show_tools)
        self.armed.emit()

    def _on_left(self, why: Qt.FocusReason) -> None:
        self.left.emit(why)
        when_mouse_rests(self, self._show_tools)

    def _show_tools(self) -> None:
        """Show the tools while the tooth has the focus; a page has many teeth, and one hand."""
        is_wanted = self.canvas.hasFocus() and not self.canvas.is_read_only
        if is_wanted and self._tools is None:
            self._tools = self._make_tools()
        if self._tools is not None:
            self._tools.setVisible(is_wanted)
            self.undo.setEnabled(self._draft.can_undo)

    def _make_tools(self) -> QWidget:
        tools = QWidget()
        column = QVBoxLayout(tools)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        shapes = QWidget(tools)
        flow = FlowLayout(shapes)
        for number, shape in enumerate(SHAPES, start=1):
            button = _tool(tr("{number} {shape}", number=number, shape=tr(shape.label)))
            spoken = tr("{name}: {shape}, key {number}", name=self._name, shape=tr(shape.label), number=number)
            button.setAccessibleName(spoken)
            button.clicked.connect(partial(self._by_hand, partial(self._draft.put_shape, number)))
            flow.addWidget(button)
        self.add, self.undo = _tool(tr("Draw another patch")), _tool(tr("Take the last stroke back"))
        self.clear = _tool(tr("Take the print off"))
        self.add.setCheckable(True)
        self.add.toggled.connect(self._set_adding)
        self.undo.clicked.connect(partial(self._by_hand, self._draft.undo))
        self.clear.clicked.connect(partial(self._by_hand, self._draft.clear))
        for button in (self.add, self.undo, self.clear):
            button.setAccessibleName(tr("{name}: {tool}", name=self._name, tool=button.text()))
            flow.addWidget(button)
        keys = words(
            tr(
                "Arrow keys move the print, with Shift in long steps; with Ctrl they make it longer, shorter, higher "
                "or lower; + and − tilt it; 1 to 8 put down a shape. Shift while drawing adds a patch. Backspace takes "
                "the last stroke back, Delete the print. Enter keeps it, Escape gives the change up."
            ),
            "quiet",
        )
        column.addWidget(shapes)
        column.addWidget(keys)
        self.tools_home.addWidget(tools)
        return tools

    def _set_adding(self, is_adding: bool) -> None:
        self.canvas.is_adding = is_adding

    def _by_hand(self, step: Callable[[], bool]) -> None:
        if step():
            self.add.setChecked(False)
            self._changed()
        else:
            self._show()


def _tool(text: str) -> QPushButton:
    """Return a button that leaves the focus on the tooth, so that the keys go on working there."""
    button = QPushButton(text)
    button.setAutoDefault(False)
    button.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    # High enough for a finger in a glove.
    theme.give_role(button, "board")
    return button
