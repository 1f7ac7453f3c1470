"""Backups of the logbook."""

from __future__ import annotations

from pathlib import Path

from core.records.backup import make_snapshot
from core.records.backups import Backup, BackupState, backups_of, make_backup, name_in, state_of, usual_folder
from core.records.location import Place
from core.workshop.base import Base


class Backups(Base):
    """What can be done about backups; `chosen` is the folder they are kept in, "" for the usual one."""

    @property
    def place(self) -> Place:
        """Where the logbook is, for going back to a backup of it."""
        return self._logbook.place

    def backup_folder(self, chosen: str = "") -> Path:
        """Return the folder backups are kept in."""
        return Path(chosen) if chosen else usual_folder(self.place)

    def back_up(self, chosen: str = "") -> Backup:
        """Make a backup now, compared with the logbook row by row, and let go of old ones by the rule."""
        return make_backup(self._logbook, self.backup_folder(chosen), self._clock)

    def back_up_if_grown(self, chosen: str = "") -> Backup | None:
        """Make a backup if anything was entered since the newest one."""
        return None if self.backup_state(chosen).entries_since == 0 else self.back_up(chosen)

    def back_up_to(self, target: Path) -> Path:
        """Make a backup into a folder or under a name of one's own, and return where it is; nothing else is touched."""
        path = name_in(target, self._logbook, self._clock()) if target.is_dir() else target
        make_snapshot(self.place, path.absolute())
        return path

    def backup_state(self, chosen: str = "") -> BackupState:
        """Return where backups go, the newest of them, and how much was entered since."""
        return state_of(self._logbook, self.backup_folder(chosen))

    def backups(self, chosen: str = "") -> list[Backup]:
        """Return the backups of this logbook, the one that goes furthest first."""
        return backups_of(self.place, Path(chosen) if chosen else None)
