"""``pinionbook backup`` and ``pinionbook restore``: a copy made now, the copies there are, and the way back to one."""

from __future__ import annotations

import argparse
import shlex
import sys
from pathlib import Path
from typing import Any

from app.settings import load
from core.language import tr
from core.records import default_location, open_logbook
from core.records.backups import Backup, backups_of, usual_folder, wall_time
from core.records.location import Place, in_words, place_of
from core.workshop import Workshop, utc_now

DONE = 0
MEGABYTE = 1_000_000


def add_to(commands: Any) -> None:
    """Add the commands to the command line."""
    backup = commands.add_parser("backup", help=tr("make a backup of the logbook now"))
    backup.add_argument(
        "to", type=Path, nargs="?", metavar="TO", help=tr("a folder or a new file (none: where backups are kept)")
    )
    backup.set_defaults(command=_backup)

    restore = commands.add_parser(
        "restore", help=tr("go back to a backup; what is there now is kept beside it under another name")
    )
    restore.add_argument("backup", type=Path, nargs="?", metavar="BACKUP", help=tr("the backup (none: list them)"))
    restore.add_argument(
        "--logbook", default=argparse.SUPPRESS, metavar="PATH", help=tr("where the logbook goes (none: where it is)")
    )
    restore.set_defaults(command=_restore)


def chosen_folder() -> Path | None:
    """Return the folder backups are kept in on this machine, or None for the usual one."""
    chosen = load().backup_folder
    return Path(chosen) if chosen else None


def place_in(options: argparse.Namespace) -> Place:
    """Return where the logbook is."""
    return place_of(options.logbook) if options.logbook else default_location()


def _backup(options: argparse.Namespace) -> int:
    workshop = Workshop(open_logbook(options.logbook, backups=chosen_folder()))
    if options.to is None:
        print(workshop.back_up(load().backup_folder).path)
    else:
        print(workshop.back_up_to(options.to))
    return DONE


def _restore(options: argparse.Namespace) -> int:
    place = place_in(options)
    if options.backup is None:
        return _list(place)
    # Loads the check of the trail, which the other commands do without.
    from core.records.recovery import restore

    done = restore(options.backup.expanduser().absolute(), place, utc_now())
    print(tr("The logbook {path} is what the backup {backup} was.", path=done.path, backup=options.backup))
    if done.kept_as is not None:
        print(tr("What was there before is kept as {path}.", path=done.kept_as))
    if done.examined.findings:
        count = len(done.examined.findings)
        sentence = tr("In it, {count} rows do not agree with the trail; 'pinionbook verify' names them.", count=count)
        print(sentence, file=sys.stderr)
    return DONE


def _list(place: Place) -> int:
    folder = chosen_folder()
    found = backups_of(place, folder)
    for backup in found:
        print(_line(backup))
    if found:
        command = shlex.join(["pinionbook", "--logbook", in_words(place), "restore", str(found[0].path)])
        print(tr("Go back to the one that goes furthest with: {command}", command=command))
    else:
        where = folder or usual_folder(place)
        print(tr("There is no backup of {logbook} in {folder}.", logbook=in_words(place), folder=where))
    return DONE


def _line(backup: Backup) -> str:
    size = f"{backup.size / MEGABYTE:.1f} MB"
    if backup.head is None:
        return tr(
            "{made}  {size:>10}  where it ends cannot be read: {path}",
            made=wall_time(backup.made_at),
            size=size,
            path=backup.path,
        )
    return tr(
        "{made}  {size:>10}  {count} entries, the last from {last}: {path}",
        made=wall_time(backup.made_at),
        size=size,
        count=backup.head.entry,
        last=wall_time(backup.head.at),
        path=backup.path,
    )
