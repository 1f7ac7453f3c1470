"""From nothing, from every earlier version and from a broken upgrade to a logbook that is up to date, or as it was."""

from __future__ import annotations

import re
import shutil
import signal
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import CheckConstraint, create_engine, text
from sqlalchemy.dialects import postgresql
from sqlalchemy.schema import CreateTable

import migrations
from core.errors import LogbookError, NewerLogbookError
from core.records import open_logbook, opening, tables, upgrade
from core.records.engine import make_engine
from core.records.guards import SERVER_FUNCTIONS, SERVER_TRIGGERS, TRIGGERS, guards_of
from core.records.location import place_of
from core.records.move import copy_rows, move
from core.records.tables import REVISION, metadata
from core.records.verify import verify

from .freeze import freeze

OLD = sorted((Path(__file__).parent / "old").glob("*.sql"))
THIS_PROGRAM = upgrade.config

MakeOld = Callable[[Path], Path]
AddStep = Callable[[str], None]


@pytest.fixture
def make_old(tmp_path: Path) -> MakeOld:
    """Return a function that makes a logbook from one of the frozen dumps."""

    def make(dump: Path) -> Path:
        path = tmp_path / "logbook.db"
        with closing(sqlite3.connect(path)) as connection:
            connection.executescript(dump.read_text(encoding="utf-8"))
        return path

    return make


@pytest.fixture
def add_step(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> AddStep:
    """Return a function that puts one more step after the newest, as the next version of the program would."""
    folder = tmp_path / "migrations 100%"

    def add(body: str) -> None:
        shutil.copytree(Path(migrations.__file__).parent, folder, ignore=shutil.ignore_patterns("__pycache__"))
        lines = "".join(f"    {line}\n" for line in body.splitlines())
        (folder / "versions" / "next.py").write_text(
            f"import os, signal\nimport sqlalchemy as sa\nfrom alembic import op\n"
            f"revision, down_revision = 'next', {REVISION!r}\ndef upgrade():\n{lines}",
            encoding="utf-8",
        )
        monkeypatch.setattr(upgrade, "config", lambda: config_of(folder))
        monkeypatch.setattr(tables, "REVISION", "next")

    return add


def config_of(folder: Path) -> Config:
    made = Config()
    made.set_main_option("script_location", str(folder).replace("%", "%%"))
    return made


def rows(path: Path) -> dict[str, list[dict[str, object]]]:
    """Return every row of every table a logbook of any step has."""
    with closing(sqlite3.connect(path)) as connection:
        connection.row_factory = sqlite3.Row
        names = connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'").fetchall()
        return {
            name: [dict(row) for row in connection.execute(f'SELECT * FROM "{name}" ORDER BY id')]
            for (name,) in names
            if name != "alembic_version" and not name.startswith("job_search")
        }


def kept(before: dict[str, list[dict[str, object]]], after: dict[str, list[dict[str, object]]]) -> bool:
    """Tell whether every row is still there with what it said, in the columns both steps have."""
    return all(
        [{key: new.get(key, old[key]) for key in old} for old, new in zip(olds, after[name], strict=True)] == olds
        for name, olds in before.items()
        if name in after and name != "trail"
    )


def schema(connection: sqlite3.Connection) -> dict[tuple[str, str], str]:
    """Return what SQLite keeps of every table, index and trigger; of a table, its parts in any order."""
    found = {}
    for kind, name, sql in connection.execute("SELECT type, name, sql FROM sqlite_master WHERE sql IS NOT NULL"):
        if name != "alembic_version" and not name.startswith("job_search"):
            plain = re.sub(r"\s+", " ", sql).replace('"', "")
            inside = re.sub(r"^CREATE TABLE \w+ ?\((.*)\) ?STRICT ?$", r"\1", plain)
            found[kind, name] = "|".join(
                sorted(part.strip() for part in re.split(r", (?=\w+ [A-Z]|CONSTRAINT)", inside))
            )
    return found


# -- the steps -----------------------------------------------------------------------------------------------------


def test_the_steps_have_one_end() -> None:
    script = ScriptDirectory.from_config(upgrade.config())
    assert script.get_heads() == [REVISION]
    assert script.get_bases() == ["0001"]


def test_there_is_a_frozen_logbook_of_every_step() -> None:
    script = ScriptDirectory.from_config(upgrade.config())
    assert {dump.stem for dump in OLD} == {step.revision for step in script.walk_revisions()}


def test_freezing_writes_down_what_is_there_and_never_twice(tmp_path: Path) -> None:
    target = tmp_path / "frozen.sql"
    freeze(OLD[-1], target)
    assert target.read_text(encoding="utf-8") == OLD[-1].read_text(encoding="utf-8")
    with pytest.raises(FileExistsError):
        freeze(OLD[-1], target)


def test_a_step_can_be_begun_from_the_template(tmp_path: Path) -> None:
    folder = tmp_path / "migrations"
    shutil.copytree(Path(migrations.__file__).parent, folder)
    script = ScriptDirectory.from_config(config_of(folder))
    made = script.generate_revision("next", "Photos", head=REVISION)
    assert made is not None
    assert made.down_revision == REVISION
    assert made.doc == "Photos."


# -- models and file -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("dump", OLD, ids=lambda dump: dump.stem)
def test_an_old_logbook_ends_with_the_tables_the_program_expects(make_old: MakeOld, dump: Path) -> None:
    path = make_old(dump)
    open_logbook(path).close()
    engine = create_engine(f"sqlite:///{path}")
    with engine.connect() as connection:
        context = MigrationContext.configure(
            connection, opts={"compare_type": True, "compare_server_default": True, "include_name": ours}
        )
        assert compare_metadata(context, metadata) == []
    engine.dispose()


def ours(name: str | None, kind: str, _parent: object) -> bool:
    """Tell the tables of the logbook from what the search is made of."""
    return kind != "table" or not str(name).startswith("job_search")


@pytest.mark.parametrize("is_carried", [False, True])
def test_a_server_ends_with_the_tables_the_program_expects(server: Any, tmp_path: Path, is_carried: bool) -> None:
    address = server.empty()
    if is_carried:
        open_logbook(tmp_path / "logbook.db").close()
        move(tmp_path / "logbook.db", address)
    open_logbook(address).close()
    engine = make_engine(place_of(address))
    with engine.connect() as connection:
        opts = {"compare_type": True, "compare_server_default": False, "include_name": ours}
        assert compare_metadata(MigrationContext.configure(connection, opts=opts), metadata) == []
        assert guards_of(connection) == SERVER_TRIGGERS | SERVER_FUNCTIONS
        checks = text("SELECT conname FROM pg_constraint WHERE contype = 'c' AND connamespace = 'public'::regnamespace")
        assert set(connection.execute(checks).scalars()) == {
            str(part.name)
            for table in metadata.tables.values()
            for part in table.constraints
            if isinstance(part, CheckConstraint)
        }
    engine.dispose()
    server.drop(address)


@pytest.mark.parametrize("dump", [None, *OLD], ids=lambda dump: dump.stem if dump else "new")
def test_checks_indexes_triggers_and_strictness_are_those_of_the_tables(
    make_old: MakeOld, tmp_path: Path, dump: Path | None
) -> None:
    path = make_old(dump) if dump else tmp_path / "logbook.db"
    open_logbook(path).close()
    expected = create_engine(f"sqlite:///{tmp_path / 'expected.db'}")
    metadata.create_all(expected)
    expected.dispose()
    with closing(sqlite3.connect(tmp_path / "expected.db")) as connection:
        for trigger in TRIGGERS.values():
            connection.execute(trigger)
        wanted = schema(connection)
    with closing(sqlite3.connect(path)) as connection:
        assert schema(connection) == wanted
        strict = {
            name for (name, is_strict) in connection.execute("SELECT name, strict FROM pragma_table_list") if is_strict
        }
    assert strict == set(metadata.tables)


def test_every_check_has_a_name() -> None:
    unnamed = [
        (table.name, str(constraint))
        for table in metadata.tables.values()
        for constraint in table.constraints
        if constraint.name is None
    ]
    assert unnamed == []


def test_the_same_tables_can_be_made_on_a_server() -> None:
    told = "".join(str(CreateTable(table).compile(dialect=postgresql.dialect())) for table in metadata.sorted_tables)
    assert "value DOUBLE PRECISION" in told
    assert "STRICT" not in told
    longest = 63
    names = [part.name for table in metadata.tables.values() for part in (*table.constraints, *table.indexes)]
    assert max(len(str(name)) for name in names) <= longest


# -- upgrading -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("dump", OLD, ids=lambda dump: dump.stem)
def test_an_old_logbook_keeps_every_row(make_old: MakeOld, dump: Path) -> None:
    path = make_old(dump)
    before = rows(path)
    open_logbook(path).close()
    after = rows(path)
    assert kept(before, after)
    assert len(before["reading"]) == 7
    assert verify(path).findings == ()


def test_rings_and_calibrations_of_the_first_step_are_in_the_drawer_and_the_checks(make_old: MakeOld) -> None:
    path = make_old(OLD[0])
    before = rows(path)
    with open_logbook(path) as logbook, logbook.look() as work:
        parts = {part.id: part for part in work.parts()}
        calibrated = {gauge.id: gauge.calibrated_on for gauge in work.gauges()}
        stock = work.stock_disagreements()
    for ring in before["ring"]:
        part = parts[ring["id"]]  # type: ignore[index]
        assert (part.kind, part.place, part.nominal_mm, part.count) == (
            "ring", ring["place"], ring["nominal_mm"], ring["count"],
        )  # fmt: skip
        assert part.measured_mm == (() if ring["measured_mm"] is None else (ring["measured_mm"],))
    for gauge in before["gauge"]:
        day = calibrated[gauge["id"]]  # type: ignore[index]
        assert (None if day is None else day.isoformat()) == gauge["calibrated_on"]
    assert stock == []


def test_of_no_shim_of_the_third_step_it_is_said_where_it_fits(make_old: MakeOld) -> None:
    path = make_old(OLD[2])
    before = rows(path)["trail"]
    with open_logbook(path) as logbook, logbook.work() as work:
        assert {part.fits for part in work.parts()} == {""}
        said = work.add_part("shim", "", "P1", 0.3, fits="pinion")
        work.commit()
        assert work.part(said.id).fits == "pinion"
    told = rows(path)["trail"]
    assert told[: len(before)] == before
    upgraded = [row for row in told[len(before) :] if row["doing"] == "upgrade"]
    assert {(row["what"], row["in_table"]) for row in upgraded} == {("changed", "part")}
    assert len(upgraded) == len(rows(path)["part"]) - 1
    assert verify(path).findings == ()


@pytest.mark.parametrize("dump", OLD[1:-1], ids=lambda dump: dump.stem)
def test_an_old_logbook_on_a_server_keeps_every_row(server: Any, make_old: MakeOld, dump: Path) -> None:
    address = server.empty()
    place = place_of(address)
    upgrade.migrate(place, is_new=True, to=dump.stem)
    engines = [make_engine(make_old(dump)), make_engine(place)]
    with engines[0].connect() as source, engines[1].connect().execution_options(is_writing=True) as target:
        target.begin()
        copied = copy_rows(source, target)
        target.commit()
    for engine in engines:
        engine.dispose()
    assert copied.rows["part"] == 2
    with open_logbook(address) as logbook, logbook.work() as work:
        assert [part.fits for part in work.parts()] == ["", ""]
        assert work.add_part("shim", "", "P1", 0.3, fits="pinion").fits == "pinion"
        assert len(work.readings(work.jobs("K1183")[1].id)) > 0
        assert work.stock_disagreements() == []
        work.commit()
    assert verify(place).findings == ()
    server.drop(address)


def test_two_copies_of_one_old_logbook_get_the_same_stable_ids(make_old: MakeOld, tmp_path: Path) -> None:
    path = make_old(OLD[0])
    copy = shutil.copyfile(path, tmp_path / "copy.db")
    for each in (path, copy):
        open_logbook(each).close()
    ids = [
        {name: [row["uid"] for row in found if "uid" in row] for name, found in rows(p).items()} for p in (path, copy)
    ]
    assert ids[0] == ids[1]
    assert all(len(set(found)) == len(found) for found in ids[0].values())


@pytest.mark.parametrize("dump", OLD, ids=lambda dump: dump.stem)
def test_an_old_logbook_tells_the_same_story(make_old: MakeOld, dump: Path) -> None:
    with open_logbook(make_old(dump)) as logbook, logbook.look() as work:
        second, first = work.jobs("K1183")
        assert (first.number, first.revision, first.signed_by) == ("2407", 2, "Tam Ollerby")
        assert (second.number, second.revision, second.signed_by) == ("2411", 1, "")
        assert first.customer == "Brackwater Hill-climb Club"
        assert (first.card.revision, second.card.revision) == (1, 2)
        assert [event.what for event in work.events(first.id)] == [
            "opened", "signed", "sheet", "reopened", "corrected", "signed",
        ]  # fmt: skip
        slipped, corrected = work.readings(first.id)[1:3]
        assert (slipped.value, slipped.text, slipped.replaces) == (0.9, ".9", None)
        assert (corrected.value, corrected.text, corrected.replaces) == (0.0762, '.003"', slipped.id)


def test_a_logbook_that_is_up_to_date_is_opened_without_a_backup(tmp_path: Path) -> None:
    open_logbook(tmp_path / "logbook.db").close()
    open_logbook(tmp_path / "logbook.db").close()
    assert [entry.name for entry in tmp_path.glob("*.db")] == ["logbook.db"]


def test_a_step_is_taken_after_a_backup_of_all_the_rows(make_old: MakeOld, add_step: AddStep, tmp_path: Path) -> None:
    path = make_old(OLD[-1])
    before = rows(path)
    add_step("op.add_column('part', sa.Column('note', sa.Text))")
    opening.make_ready(path)
    assert opening.revision_of(path) == "next"
    backup = tmp_path / f"logbook-before-upgrade-from-{REVISION}.db"
    assert rows(backup) == before
    assert opening.revision_of(backup) == REVISION
    assert {entry.name for entry in tmp_path.glob("*.partial")} == set()


def test_a_second_backup_does_not_overwrite_the_first(make_old: MakeOld, add_step: AddStep, tmp_path: Path) -> None:
    path = make_old(OLD[-1])
    taken = tmp_path / f"logbook-before-upgrade-from-{REVISION}.db"
    taken.write_text("mine")
    add_step("op.add_column('part', sa.Column('note', sa.Text))")
    opening.make_ready(path)
    assert taken.read_text() == "mine"
    backup = rows(tmp_path / f"logbook-before-upgrade-from-{REVISION}-2.db")
    assert {**rows(path), "part": [{**row, "note": None} for row in backup["part"]]} == rows(path)
    assert kept(backup, rows(path))


def test_what_another_program_still_had_in_the_wal_is_in_the_backup(
    make_old: MakeOld, add_step: AddStep, tmp_path: Path
) -> None:
    path = make_old(OLD[-1])
    with open_logbook(path) as logbook, logbook.work() as work:
        work.add_person("Ines")
        work.commit()
        add_step("op.add_column('part', sa.Column('note', sa.Text))")
        opening.make_ready(path)
    people = rows(tmp_path / f"logbook-before-upgrade-from-{REVISION}.db")["person"]
    assert "Ines" in [row["name"] for row in people]


BROKEN = {
    "an error after a table was made": (
        "op.create_table('film', sa.Column('id', sa.Integer))\nraise RuntimeError('broken')"
    ),
    "triggers lost by a rebuilt table": (
        "with op.batch_alter_table('reading', recreate='always') as batch:\n"
        "    batch.add_column(sa.Column('x', sa.Text))"
    ),
    "rows lost": "op.execute('DROP TRIGGER tr_reading_no_delete')\nop.execute('DELETE FROM reading')",
    "rows that point nowhere": "op.execute('DELETE FROM customer')",
}


@pytest.mark.parametrize("body", BROKEN.values(), ids=BROKEN)
def test_a_broken_step_leaves_the_logbook_as_it_was(make_old: MakeOld, add_step: AddStep, body: str) -> None:
    path = make_old(OLD[-1])
    with closing(sqlite3.connect(path)) as connection:
        before = (schema(connection), rows(path))
    add_step(body)
    with pytest.raises(RuntimeError):
        opening.make_ready(path)
    with closing(sqlite3.connect(path)) as connection:
        assert (schema(connection), rows(path)) == before
    assert opening.revision_of(path) == REVISION


KILLED = """
import sys
from pathlib import Path
from typing import Any
from alembic.config import Config
from core.records import opening, tables, upgrade
made = Config()
made.set_main_option("script_location", sys.argv[1].replace("%", "%%"))
upgrade.config = lambda: made
tables.REVISION = 'next'
opening.make_ready(Path(sys.argv[2]))
"""


def test_an_upgrade_killed_in_the_middle_leaves_the_logbook_as_it_was(
    make_old: MakeOld, add_step: AddStep, tmp_path: Path
) -> None:
    path = make_old(OLD[-1])
    before = rows(path)
    add_step(
        "op.create_table('film', sa.Column('id', sa.Integer))\n"
        "op.execute('UPDATE part SET count = 99')\n"
        "os.kill(os.getpid(), signal.SIGKILL)"
    )
    done = subprocess.run(
        [sys.executable, "-c", KILLED, str(tmp_path / "migrations 100%"), str(path)],
        cwd=Path(__file__).parents[3],
        check=False,
    )
    assert done.returncode == -signal.SIGKILL
    assert opening.revision_of(path) == REVISION
    assert rows(path) == before


def test_making_a_logbook_killed_in_the_middle_leaves_no_logbook(add_step: AddStep, tmp_path: Path) -> None:
    add_step("os.kill(os.getpid(), signal.SIGKILL)")
    path = tmp_path / "shop" / "logbook.db"
    done = subprocess.run(
        [sys.executable, "-c", KILLED, str(tmp_path / "migrations 100%"), str(path)],
        cwd=Path(__file__).parents[3],
        check=False,
    )
    assert done.returncode == -signal.SIGKILL
    assert not path.exists()


def test_a_broken_step_makes_no_logbook_and_leaves_nothing_behind(add_step: AddStep, tmp_path: Path) -> None:
    add_step("raise RuntimeError('broken')")
    with pytest.raises(RuntimeError, match="broken"):
        opening.make_ready(tmp_path / "shop" / "logbook.db")
    assert list((tmp_path / "shop").iterdir()) == []


# -- from the future -----------------------------------------------------------------------------------------------


def test_a_logbook_of_a_newer_program_is_refused_and_left_alone(
    make_old: MakeOld, add_step: AddStep, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = make_old(OLD[-1])
    add_step("op.add_column('part', sa.Column('note', sa.Text))")
    opening.make_ready(path)
    monkeypatch.setattr(upgrade, "config", THIS_PROGRAM)
    monkeypatch.setattr(tables, "REVISION", REVISION)
    before = path.read_bytes()
    with pytest.raises(NewerLogbookError, match="newer version") as refused:
        open_logbook(path)
    assert "Install" in refused.value.remedy
    assert path.read_bytes() == before


@pytest.mark.parametrize("statement", ["DELETE FROM alembic_version", "DROP TABLE alembic_version"])
def test_a_logbook_that_does_not_say_its_version_is_refused(make_old: MakeOld, statement: str) -> None:
    path = make_old(OLD[-1])
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute(statement)
    with pytest.raises(LogbookError, match="which version"):
        open_logbook(path)
