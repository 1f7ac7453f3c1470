"""``pinionbook export`` and ``pinionbook import``: archives and flat tables, handed out and taken in."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import Any

from core.errors import InputError
from core.exchange.answer import WORDS, Taken
from core.language import tr
from core.records import open_logbook
from core.workshop import Workshop
from core.workshop.exchange import TABLES

DONE, HELD_UP = 0, 1


def add_to(commands: Any) -> None:
    """Add the commands to the command line."""
    out = commands.add_parser("export", help=tr("hand out a job, a unit or everything, as an archive or a table (CSV)"))
    which = out.add_mutually_exclusive_group()
    which.add_argument("--job", default="", metavar="JOB", help=tr("this job (neither job nor unit: everything)"))
    which.add_argument("--unit", default="", metavar="SERIAL", help=tr("every visit of this unit"))
    out.add_argument("--table", choices=tuple(TABLES), help=tr("this table as CSV, instead of an archive"))
    out.add_argument("--page", choices=("A4", "Letter"), default="A4", help=tr("paper of the build sheets in it"))
    out.add_argument("-o", "--output", type=Path, metavar="FILE", help=tr("a new file (a table without it: printed)"))
    out.set_defaults(command=_export)

    taking = commands.add_parser("import", help=tr("take an archive into the logbook, all of it or nothing"))
    taking.add_argument("archive", type=Path, metavar="FILE", help=tr("the archive"))
    taking.add_argument("--by", default="", metavar="NAME", help=tr("who takes it in: an owner"))
    taking.add_argument("--check", action="store_true", help=tr("only say what would come in"))
    taking.add_argument("--renumber", action="store_true", help=tr("give a job a free number where its own is taken"))
    taking.add_argument("--skip-conflicts", action="store_true", help=tr("leave out what contradicts this logbook"))
    taking.set_defaults(command=_import)


def _export(options: argparse.Namespace) -> int:
    which = {"job": options.job, "unit": options.unit}
    if options.table is None and options.output is None:
        raise InputError(tr("An archive needs a file to go into."), tr("Name a new one with -o."))
    with open_logbook(options.logbook) as logbook:
        workshop = Workshop(logbook)
        if options.output is None:
            sys.stdout.write(workshop.table_csv(options.table, **which))
        elif options.table is None:
            print(workshop.export_archive(options.output, **which, page=options.page))
        else:
            print(workshop.export_table(options.output, options.table, **which))
    return DONE


def _import(options: argparse.Namespace) -> int:
    with open_logbook(options.logbook) as logbook:
        workshop = Workshop(logbook)
        take = workshop.preview_import if options.check else workshop.import_archive
        taken = take(options.archive, options.by, renumber=options.renumber, skip_conflicts=options.skip_conflicts)
    _tell(taken)
    return HELD_UP if taken.is_held_up else DONE


def _tell(taken: Taken) -> None:
    for job in taken.jobs:
        print(
            tr(
                "job {number}, unit {serial}: {what}; readings: {readings}, photos: {photos}",
                number=job.number,
                serial=job.serial,
                what=tr(WORDS[job.what]),
                readings=job.readings,
                photos=job.photos,
            )
        )
    for note in taken.notes:
        print(note)
    print(taken.summary)
    for conflict in taken.conflicts:
        print(conflict, file=sys.stderr)
    if taken.is_held_up:
        advice = tr("Leave out what contradicts with --skip-conflicts; take the free numbers with --renumber.")
        print(advice, file=sys.stderr)
