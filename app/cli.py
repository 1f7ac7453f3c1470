"""The command line: opens the window, seeds the demo, prints sheets and readings, calculates."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Sequence
from pathlib import Path

from app import (
    advise_cli,
    backup_cli,
    calc_cli,
    card_cli,
    exchange_cli,
    history_cli,
    overview_cli,
    people_cli,
    verify_cli,
)
from app.platform import apt_line, has_display, missing_libraries
from core.errors import UserError
from core.language import tr
from core.records import open_logbook
from core.records.location import Place
from core.workshop import Workshop

DONE = 0
REFUSED = 2


def run(arguments: Sequence[str]) -> int:
    """Run one command and return its exit code; what a person can put right is one sentence on standard error."""
    options = _parser().parse_args(arguments)
    try:
        code: int = options.command(options)
    except UserError as error:
        print(f"pinionbook: {error}", file=sys.stderr)
        return REFUSED
    except BrokenPipeError:
        # The reader (a pager, head) went away; nothing is lost.
        sys.stderr.close()
        return DONE
    return code


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="pinionbook", description=tr("A workshop logbook for differential rebuilds."))
    parser.add_argument(
        "--logbook",
        metavar="PLACE",
        help=tr("use this logbook (a file, or the address of a database) instead of your own"),
    )
    parser.set_defaults(command=_window)
    commands = parser.add_subparsers(title=tr("commands"), metavar="COMMAND")

    demo = commands.add_parser("demo", help=tr("open a logbook with an invented shop in it"))
    demo.add_argument("--folder", type=Path, metavar="FOLDER", help=tr("keep the demo here"))
    demo.add_argument("--no-window", action="store_true", help=tr("only write the logbook and the sheet"))
    demo.set_defaults(command=_demo)

    sheet = commands.add_parser("sheet", help=tr("write a job's build sheet as a PDF"))
    sheet.add_argument("job", metavar="JOB", help=tr("job number"))
    sheet.add_argument("-o", "--output", type=Path, required=True, metavar="FILE", help=tr("where to write it"))
    sheet.add_argument("--copy", choices=("shop", "customer"), default="shop", help=tr("whose copy"))
    sheet.add_argument("--page", choices=("A4", "Letter"), default="A4", help=tr("paper"))
    sheet.set_defaults(command=_sheet)

    readings = commands.add_parser("readings", help=tr("print a job's readings as CSV"))
    readings.add_argument("job", metavar="JOB", help=tr("job number"))
    readings.set_defaults(command=_readings)

    advise_cli.add_to(commands)
    backup_cli.add_to(commands)
    calc_cli.add_to(commands)
    card_cli.add_to(commands)
    exchange_cli.add_to(commands)
    history_cli.add_to(commands)
    overview_cli.add_to(commands)
    people_cli.add_to(commands)
    verify_cli.add_to(commands)
    return parser


def _workshop(options: argparse.Namespace) -> Workshop:
    return Workshop(open_logbook(options.logbook, backups=backup_cli.chosen_folder()))


def _sheet(options: argparse.Namespace) -> int:
    with _workshop(options) as workshop:
        job = workshop.job(options.job)
        print(workshop.write_sheet(job.id, options.output, copy=options.copy, page=options.page))
    return DONE


def _readings(options: argparse.Namespace) -> int:
    with _workshop(options) as workshop:
        sys.stdout.write(workshop.readings_csv(workshop.job(options.job).id))
    return DONE


def _window(options: argparse.Namespace) -> int:
    _need_window()
    return _show(backup_cli.place_in(options), lambda: _workshop(options), is_asked_for=bool(options.logbook))


def _demo(options: argparse.Namespace) -> int:
    from core.demo import prepare_demo

    workshop, sheet = prepare_demo(options.folder)
    workshop.close()
    print(tr("Demo logbook: {path}", path=workshop.location))
    print(tr("Build sheet:  {path}", path=sheet))
    if options.no_window:
        return DONE
    if not has_display():
        print(tr("There is no display here, so no window was opened."))
        return DONE
    _need_window()
    return _show(workshop.place, lambda: Workshop(open_logbook(workshop.place)))


def _need_window() -> None:
    missing = missing_libraries()
    if missing:
        raise UserError(
            tr("The window cannot open: this machine lacks {libraries}.", libraries=", ".join(missing)),
            tr("Install what it needs with: {line}", line=apt_line()),
        )
    if not has_display():
        raise UserError(
            tr("There is no display here, so no window can open."),
            tr("Run it on a desktop, or use 'pinionbook sheet' and 'pinionbook readings'."),
        )


def _show(place: Place, open_workshop: Callable[[], Workshop], *, is_asked_for: bool = False) -> int:
    # Qt is loaded only here, after the machine was found able to show a window.
    from app.keeping.front import show

    return show(place, open_workshop, is_asked_for=is_asked_for)
