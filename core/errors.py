"""The exception tree.

::

    PinionbookError
    ├── UserError            a person can put it right: one sentence, then what to do
    │   ├── InputError       what was typed or passed cannot be used
    │   │   └── RangeError   a value outside what the rule is valid for
    │   ├── RuleError        the trade's rules refuse it (ring sum, order of stages)
    │   │   └── ConflictError    somebody else changed it meanwhile
    │   ├── AccessError      a PIN is wrong or missing, or the owner must do it
    │   │   └── PinError         a PIN is wrong, missing or must wait
    │   ├── NotFoundError    no such job, unit, card, gauge or person
    │   ├── BackupError      a backup cannot be made or used; the logbook is as it was
    │   └── LogbookError     the logbook cannot be opened, written or upgraded
    │       ├── NewerLogbookError   it was written by a newer program
    │       └── DamagedLogbookError its file makes no sense any more
    └── (anything else that is raised is a bug)
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from core.language import tr


class PinionbookError(Exception):
    """Root of everything this program raises on purpose."""


class UserError(PinionbookError):
    """Something a person can put right.

    Parameters
    ----------
    message : str
        One sentence that says what is wrong, already translated.
    remedy : str
        What to do about it, already translated; may be empty when the message says it.
    """

    def __init__(self, message: str, remedy: str = "") -> None:
        super().__init__(f"{message} {remedy}".strip())
        self.message = message
        self.remedy = remedy


class InputError(UserError):
    """What was typed or passed cannot be used."""


class RangeError(InputError):
    """A value outside the range a rule is valid for; nothing is ever clamped silently.

    Parameters
    ----------
    argument : str
        Name of the argument as the caller knows it.
    value : float
        The value that was refused.
    valid : str
        The range that would have been accepted, in words or symbols, with its unit.
    """

    def __init__(self, argument: str, value: float, valid: str) -> None:
        super().__init__(
            tr("{argument} is {value:g}, but must be {valid}.", argument=argument, value=value, valid=valid),
            tr("Check the value and its unit."),
        )
        self.argument = argument
        self.value = value
        self.valid = valid


class RuleError(UserError):
    """The trade's own rules refuse it."""


class ConflictError(RuleError):
    """Somebody else changed it meanwhile; what was typed stays, and the person looks again."""


class AccessError(UserError):
    """A PIN is wrong, missing or must wait, or only the owner may do it."""


class PinError(AccessError):
    """A PIN is wrong or missing, or was wrong so often that the next one must wait.

    Parameters
    ----------
    message, remedy : str
        As for every `UserError`.
    wait_s : float
        How long until the next one may be typed [s].
    """

    def __init__(self, message: str, remedy: str = "", wait_s: float = 0.0) -> None:
        super().__init__(message, remedy)
        self.wait_s = wait_s


class NotFoundError(UserError):
    """There is no such job, unit, card, gauge or person."""


class LogbookError(UserError):
    """The logbook cannot be opened, written or upgraded."""


class NewerLogbookError(LogbookError):
    """The logbook was written by a newer program."""


@dataclass(frozen=True)
class WayBack:
    """The newest good backup of a damaged logbook, and what going back to it would lose.

    `lost` counts the entries of the trail made after the backup, None where the damaged file does not tell any more;
    `last_at` is when the last of them was made. `up_to` is the last entry the backup holds, None where it has none.
    `is_sound` says whether the backup agrees with its own trail.
    """

    backup: Path
    made_at: datetime
    up_to: datetime | None
    lost: int | None = None
    last_at: datetime | None = None
    is_sound: bool = True


class DamagedLogbookError(LogbookError):
    """The logbook's file makes no sense any more; `way_back` is what to go back to, where one was found."""

    way_back: WayBack | None = None


class BackupError(UserError):
    """A backup cannot be made or used; the logbook itself is as it was."""
