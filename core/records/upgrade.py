"""From whatever lies at a path to a logbook that is up to date: made, recognised, upgraded, or refused untouched."""

from __future__ import annotations

import struct
import tempfile
import threading
from importlib import resources
from pathlib import Path

from alembic import command
from alembic.config import Config
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, text
from sqlalchemy.exc import DBAPIError

from core.errors import LogbookError, NewerLogbookError
from core.language import tr
from core.records.backup import copy_logbook, put_in_place
from core.records.engine import make_engine
from core.records.faults import damaged, fault_of, faults_told
from core.records.tables import TRIGGERS

APPLICATION_ID = 0x50494E42
"""How a logbook is told from any other SQLite file: the word PINB in its header."""
# Alembic keeps the connection it works on in a place all threads of the program share.
_ONE_AT_A_TIME = threading.Lock()
_MAGIC = b"SQLite format 3\0"
_HEADER_BYTES = 100
_APPLICATION_ID_AT = 68


def make_ready(path: Path) -> None:
    """See to it that an up-to-date logbook lies at a path.

    Raises
    ------
    NewerLogbookError
        It was written by a newer program.
    LogbookError
        Something else lies there, or it cannot be read, written or upgraded; it is left as it was.
    """
    try:
        with faults_told(path):
            if path.exists():
                recognise(path)
                bring_up_to_date(path)
            else:
                create(path)
    except OSError as error:
        raise _refused(path, error) from error


def config() -> Config:
    """Return the configuration of the migrations, wherever the package is installed."""
    made = Config()
    # In a configuration file % begins a substitution; in a folder's name it is only a sign.
    made.set_main_option("script_location", str(resources.files("migrations")).replace("%", "%%"))
    return made


def create(path: Path) -> None:
    """Make an empty logbook, and the folders it lies in; it appears complete or not at all."""
    path.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir=path.parent, prefix=".new-logbook-") as folder:
        made = Path(folder) / path.name
        migrate(made, is_new=True)
        try:
            put_in_place(made, path)
        except FileExistsError:
            # Another program was quicker; what it made is as good, if it is a logbook.
            recognise(path)
            bring_up_to_date(path)


def recognise(path: Path) -> None:
    """Refuse what is no logbook, from its first bytes; SQLite never touches a file that is not ours.

    Raises
    ------
    LogbookError
        It is no logbook.
    OSError
        It cannot be read or written.
    """
    if path.is_dir():
        raise LogbookError(tr("{path} is a folder.", path=path), tr("Give the path of a file in it."))
    if not path.is_file():
        raise LogbookError(tr("{path} is not an ordinary file.", path=path), tr("Give the path of a file."))
    # Opened for writing too, though nothing is written: a logbook that cannot be kept is no use.
    with path.open("r+b") as file:
        header = file.read(_HEADER_BYTES)
    if len(header) == _HEADER_BYTES and header.startswith(_MAGIC):
        (application_id,) = struct.unpack_from(">I", header, _APPLICATION_ID_AT)
        if application_id == APPLICATION_ID:
            return
    raise LogbookError(
        tr("{path} is not a logbook of this program; it was left as it is.", path=path),
        tr("Choose another file, or a new name to begin a logbook."),
    )


def bring_up_to_date(path: Path) -> None:
    """Upgrade a logbook that is behind, after copying it; nothing happens to one that is not."""
    script = ScriptDirectory.from_config(config())
    revision = revision_of(path)
    if revision == script.get_current_head():
        return
    if revision not in {known.revision for known in script.walk_revisions()}:
        raise NewerLogbookError(
            tr("The logbook {path} was written by a newer version of this program.", path=path),
            tr("Install the newer version, or open another logbook."),
        )
    migrate(path, backup=free_name(path, revision))


def free_name(path: Path, revision: str) -> Path:
    """Return a name beside a logbook for its copy from before an upgrade."""
    count, target = 1, path.with_name(f"{path.stem}-before-upgrade-from-{revision}{path.suffix}")
    while target.exists():
        count += 1
        target = path.with_name(f"{path.stem}-before-upgrade-from-{revision}-{count}{path.suffix}")
    return target


def revision_of(path: Path) -> str:
    """Return the revision of the tables in a logbook.

    Raises
    ------
    LogbookError
        It does not say: something else was done to the file.
    """
    engine = make_engine(path)
    try:
        with engine.connect() as connection:
            known = connection.execute(
                text("SELECT 1 FROM sqlite_master WHERE type = 'table' AND name = 'alembic_version'")
            ).first()
            rows = connection.execute(text("SELECT version_num FROM alembic_version")).all() if known else []
    except DBAPIError as error:
        # The questions are sound, so whatever SQLite says against them is the file's.
        raise fault_of(error, path) or damaged(path) from error
    finally:
        engine.dispose()
    if len(rows) != 1:
        raise LogbookError(
            tr("The logbook {path} does not say which version it is of.", path=path),
            tr("Keep the file as it is and go back to the last backup."),
        )
    return str(rows[0].version_num)


def migrate(path: Path, *, is_new: bool = False, backup: Path | None = None) -> None:
    """Run the migrations up to the newest, in one transaction: all of it happens, or nothing.

    Parameters
    ----------
    path : Path
        The file.
    is_new : bool
        Whether it is being made.
    backup : Path, optional
        Where to copy it first.
    """
    # Rebuilding a table with foreign keys on would empty its children, and inside a transaction they stay on.
    engine = make_engine(path, is_new=is_new, has_foreign_keys=False)
    try:
        with engine.connect().execution_options(is_writing=True) as connection, connection.begin():
            before = _counts(connection)
            # No other writer can come between the copy and the upgrade: the transaction has begun.
            if backup is not None:
                copy_logbook(path, backup)
            if is_new:
                connection.exec_driver_sql(f"PRAGMA application_id = {APPLICATION_ID}")
            _run(connection)
            _check(connection, before)
    finally:
        engine.dispose()


def _run(connection: Connection) -> None:
    settings = config()
    settings.attributes["connection"] = connection
    with _ONE_AT_A_TIME:
        command.upgrade(settings, "head")


def _counts(connection: Connection) -> dict[str, int]:
    """Return how many rows each table holds."""
    names = connection.execute(text("SELECT name FROM sqlite_master WHERE type = 'table'")).scalars()
    counts = {}
    for name in names.all():
        quoted = connection.dialect.identifier_preparer.quote(name)
        counts[name] = int(connection.exec_driver_sql(f"SELECT count(*) FROM {quoted}").scalar_one())  # noqa: S608
    return counts


def _check(connection: Connection, before: dict[str, int]) -> None:
    """Refuse to commit an upgrade that lost something; each of these would be a bug in a migration."""
    broken = connection.exec_driver_sql("PRAGMA foreign_key_check").all()
    if broken:
        raise RuntimeError(f"the upgrade left {len(broken)} rows that point nowhere, the first in {broken[0][0]}")
    after = _counts(connection)
    lost = sorted(name for name, count in before.items() if name in after and after[name] < count)
    if lost:
        raise RuntimeError(f"the upgrade lost rows of {', '.join(lost)}")
    stored = connection.execute(text("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'")).all()
    if {(row.name, row.sql) for row in stored} != set(TRIGGERS.items()):
        raise RuntimeError("the upgrade left other triggers than core.records.tables names")


def _refused(path: Path, error: OSError) -> LogbookError:
    if isinstance(error, PermissionError):
        return LogbookError(
            tr("The logbook {path} may not be written.", path=path),
            tr("Ask for permission to write the file and its folder, or use another logbook."),
        )
    return LogbookError(
        tr("The logbook {path} cannot be opened: {reason}.", path=path, reason=error.strerror or str(error)),
        tr("Check the path and the disk."),
    )
