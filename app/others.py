"""Other benches on the same logbook: what they write is shown here within a second or so."""

from __future__ import annotations

from PySide6.QtCore import QObject, Signal

from core.language import tr
from core.workshop import Changes, Workshop


class Others(QObject):
    """Hears what other benches write, and says so on the window's thread.

    Signals
    -------
    wrote(object)
        Another bench wrote: a `Changes`.
    """

    wrote = Signal(object)

    def __init__(self, workshop: Workshop, parent: QObject | None = None) -> None:
        super().__init__(parent)
        # Emitting from the watching thread is safe: the signal is queued to the thread this object lives on.
        self._watch = workshop.watch(self.wrote.emit)

    def close(self) -> None:
        """Stop listening."""
        self._watch.close()


def told(changes: Changes, number: str) -> str:
    """Say who wrote in the job that is shown."""
    who = ", ".join(changes.people) or tr("Somebody")
    return tr("{name} wrote in job {number} at another bench; it is shown as it is now.", name=who, number=number)
