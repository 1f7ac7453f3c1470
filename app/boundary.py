"""The one place where an error reaches a person.

What a person can put right (UserError) is shown as a sentence and what to do. Anything else is a bug: it is written
to a log file with its trace, and the person is told that nothing entered was lost and where the log is.
"""

from __future__ import annotations

import logging
import sys
import traceback
from collections.abc import Callable
from pathlib import Path
from types import TracebackType

from platformdirs import user_log_path

from core.errors import DamagedLogbookError, LogbookError, UserError
from core.language import tr

log = logging.getLogger("pinionbook")

Say = Callable[[str, bool], None]


def log_path() -> Path:
    """Return where bugs are written down."""
    return user_log_path("pinionbook", appauthor=False) / "pinionbook.log"


class Boundary:
    """Turns exceptions into sentences; `say(sentence, is_fault)` shows them, in the window's own message line.

    `damaged` is told of a damaged logbook instead, where there is a way back to offer.
    """

    def __init__(
        self,
        say: Say,
        log_file: Path | None = None,
        damaged: Callable[[DamagedLogbookError], None] | None = None,
    ) -> None:
        self._say = say
        self._damaged = damaged
        self._log_file = log_file or log_path()
        self._before: Callable[..., object] | None = None

    def failed(self, error: BaseException) -> None:
        """Show an error that was caught where it could be told from which action it came."""
        if isinstance(error, DamagedLogbookError) and self._damaged is not None:
            self._damaged(error)
        elif isinstance(error, LogbookError):
            self._say(tr("The logbook answered: {sentence}", sentence=str(error)), True)
        elif isinstance(error, UserError):
            self._say(str(error), True)
        else:
            self._write_down(error)
            self._say(
                tr(
                    "Something went wrong in the program ({name}); readings already saved are safe. "
                    "Please keep {path} for whoever looks after it.",
                    name=type(error).__name__,
                    path=self._log_file,
                ),
                True,
            )

    def install(self) -> None:
        """Catch what no action caught: exceptions in slots, timers and Qt's virtual methods end here."""
        self._before = sys.excepthook
        sys.excepthook = self._hook

    def remove(self) -> None:
        """Give the hook back, if nobody replaced it meanwhile."""
        if sys.excepthook == self._hook and self._before is not None:
            sys.excepthook = self._before

    def _hook(self, kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> None:
        if issubclass(kind, KeyboardInterrupt) and self._before is not None:
            self._before(kind, error, trace)
            return
        self.failed(error)

    def _write_down(self, error: BaseException) -> None:
        text = "".join(traceback.format_exception(error))
        try:
            self._log_file.parent.mkdir(parents=True, exist_ok=True)
            with self._log_file.open("a", encoding="utf-8") as out:
                out.write(text + "\n")
        except OSError:
            # A full or read-only disk must not hide the fault itself.
            sys.stderr.write(text)
