"""``pinionbook verify`` and ``pinionbook move``: whether the record is whole, and carrying it elsewhere."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import Any

from core.language import tr
from core.records import open_logbook
from core.records.location import in_words, place_of
from core.records.move import move
from core.workshop import Workshop

DONE, NOT_GENUINE = 0, 1


def add_to(commands: Any) -> None:
    """Add the commands to the command line."""
    verify = commands.add_parser("verify", help=tr("check the whole logbook, or whether a build sheet is genuine"))
    verify.add_argument("sheet", nargs="?", metavar="FILE", help=tr("a build sheet as a PDF; without it, the logbook"))
    verify.add_argument("--fingerprint", metavar="TEXT", help=tr("a fingerprint as printed under the signature"))
    verify.set_defaults(command=_verify)
    carry = commands.add_parser("move", help=tr("copy the whole logbook from a file to a server or back"))
    carry.add_argument("source", metavar="FROM", help=tr("path or address of the logbook; it stays as it is"))
    carry.add_argument("target", metavar="TO", help=tr("path or address where there is none yet"))
    carry.set_defaults(command=_move)


def _verify(options: argparse.Namespace) -> int:
    if options.sheet or options.fingerprint:
        with open_logbook(options.logbook) as logbook:
            workshop = Workshop(logbook)
            answer = (
                workshop.check_fingerprint(options.fingerprint)
                if options.fingerprint
                else workshop.check_sheet(Path(options.sheet))
            )
        print(answer.sentence)
        return DONE if answer.is_genuine else NOT_GENUINE
    with open_logbook(options.logbook) as logbook:
        checked = Workshop(logbook).check_logbook()
    for said in (*(found.sentence for found in checked.found), checked.counted, checked.end):
        print(said)
    return DONE if checked.is_whole else NOT_GENUINE


def _move(options: argparse.Namespace) -> int:
    moved = move(options.source, options.target)
    for table, count in moved.rows.items():
        print(f"{table:<16} {count:>8}")
    print(tr("Both logbooks hold the same: {digest}.", digest=moved.digest))
    print(
        tr(
            "From now on work in {target}; {source} was left as it was.",
            target=in_words(place_of(options.target)),
            source=in_words(place_of(options.source)),
        ),
        file=sys.stderr,
    )
    return DONE
