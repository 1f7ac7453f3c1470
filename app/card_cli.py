"""``pinionbook card``: spec cards handed out as files, taken in, and compared."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from app.backup_cli import chosen_folder
from app.settings import load
from core.card_changes import CardChange, in_words
from core.language import tr
from core.quantities import KINDS
from core.records import open_logbook
from core.stages.card import FACT_SPECS, LIMIT_SPECS, FactSpec, LimitSpec
from core.workshop import Workshop

DONE = 0


def add_to(commands: Any) -> None:
    """Add the command to the command line."""
    card = commands.add_parser("card", help=tr("hand out, take in or compare spec cards"))
    verbs = card.add_subparsers(title=tr("commands"), metavar="COMMAND", required=True)

    out = verbs.add_parser("export", help=tr("write a family's card into a file for another shop"))
    out.add_argument("family", metavar="FAMILY", help=tr("casing family"))
    out.add_argument("-o", "--output", type=Path, required=True, metavar="FILE", help=tr("where to write it"))
    out.set_defaults(command=_export)

    taking = verbs.add_parser("import", help=tr("take a card in from a file, as the next revision of its family"))
    taking.add_argument("file", type=Path, metavar="FILE", help=tr("the file"))
    taking.add_argument("--by", metavar="NAME", help=tr("who takes it in (none: who is at this bench)"))
    taking.add_argument("--check", action="store_true", help=tr("only say what would change"))
    taking.set_defaults(command=_import)

    diff = verbs.add_parser("diff", help=tr("tell what changed between two revisions of a card"))
    diff.add_argument("family", metavar="FAMILY", help=tr("casing family"))
    diff.add_argument("start", type=int, nargs="?", metavar="FROM", help=tr("revision (none: the one before the last)"))
    diff.add_argument("end", type=int, nargs="?", metavar="TO", help=tr("revision (none: the last)"))
    diff.set_defaults(command=_diff)

    keys = verbs.add_parser("keys", help=tr("list what a card can give, and by which name in its file"))
    keys.set_defaults(command=_keys)


def _workshop(options: argparse.Namespace) -> Workshop:
    return Workshop(open_logbook(options.logbook, backups=chosen_folder()))


def _export(options: argparse.Namespace) -> int:
    print(_workshop(options).export_card(options.family, options.output))
    return DONE


def _import(options: argparse.Namespace) -> int:
    workshop = _workshop(options)
    if options.check:
        taken = workshop.preview_card(options.file)
    else:
        taken = workshop.import_card(options.file, load().person if options.by is None else options.by)
    _tell(taken.changes)
    if not taken.has_news and taken.newest is not None:
        print(
            tr(
                "{family}: nothing differs from revision {number}; nothing was written.",
                family=taken.family,
                number=taken.newest.revision,
            )
        )
    elif taken.card is not None:
        print(tr("{family}: kept as revision {number}.", family=taken.family, number=taken.card.revision))
    else:
        number = 1 if taken.newest is None else taken.newest.revision + 1
        print(tr("{family}: would become revision {number}; nothing was written.", family=taken.family, number=number))
    return DONE


def _diff(options: argparse.Namespace) -> int:
    before, after, found = _workshop(options).compare_cards(options.family, options.start, options.end)
    print(
        tr(
            "{family}, from revision {start} to revision {end}:",
            family=after.family,
            start=before.revision,
            end=after.revision,
        )
    )
    if not found:
        print(tr("  nothing changed"))
    _tell(found)
    return DONE


def _tell(found: tuple[CardChange, ...]) -> None:
    for change in found:
        print(f"  {in_words(change)}")


def _keys(options: argparse.Namespace) -> int:
    print(tr("Limits:"))
    for limit in LIMIT_SPECS:
        print(_key_line(limit))
    print(tr("Facts:"))
    for fact in FACT_SPECS:
        print(_key_line(fact))
        for choice in fact.choices:
            print(f"{'':<28}{choice.key}: {tr(choice.label)}")
    return DONE


def _key_line(spec: LimitSpec | FactSpec) -> str:
    label = KINDS[spec.kind].canonical.label if KINDS[spec.kind].is_number else ""
    return f"  {spec.key:<24}  {tr(spec.label)}{f' [{label}]' if label else ''}"
