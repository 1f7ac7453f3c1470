"""What keeps the rows that only grow from being changed, and whether it is still there.

By triggers in the file or on the server, so that another program cannot rewrite a fact by accident either. How they
came to be is in `migrations`; a test holds the two together.
"""

from __future__ import annotations

from typing import Any

from sqlalchemy import Connection, Row, text

from core.records.tables import PLACE

_FIRST_AGAIN = " AND ".join(f"{name} = NEW.{name}" for name in PLACE)

APPEND_ONLY = {
    "shop_rule": "id = NEW.id",
    "gauge_check": "id = NEW.id",
    "part_measure": "id = NEW.id OR (part_id = NEW.part_id AND round = NEW.round AND place = NEW.place)",
    "part_move": "id = NEW.id",
    "spec_revision": "id = NEW.id OR (card_id = NEW.card_id AND revision = NEW.revision)",
    "spec_value": "id = NEW.id OR (revision_id = NEW.revision_id AND what = NEW.what AND key = NEW.key)",
    "job_event": "id = NEW.id",
    "reading": "id = NEW.id OR replaces = NEW.replaces"
    f" OR (NEW.replaces IS NULL AND replaces IS NULL AND {_FIRST_AGAIN})",
    "advised": "id = NEW.id",
    "photo": "id = NEW.id OR uid = NEW.uid",
    "photo_strike": "id = NEW.id OR photo_id = NEW.photo_id",
    "trail": "id = NEW.id",
}
"""Tables that only grow, and which row an INSERT OR REPLACE would push out: SQLite fires no delete trigger for it."""


def _triggers() -> dict[str, str]:
    triggers = {}
    for table, same_row in APPEND_ONLY.items():
        refuse = f"BEGIN SELECT RAISE(ABORT, '{table} only grows'); END"
        for what in ("update", "delete"):
            triggers[f"tr_{table}_no_{what}"] = f"BEFORE {what.upper()} ON {table} {refuse}"
        triggers[f"tr_{table}_no_replace"] = (
            f"BEFORE INSERT ON {table} WHEN EXISTS (SELECT 1 FROM {table} WHERE {same_row}) {refuse}"  # noqa: S608
        )
    triggers["tr_spec_value_pinned"] = (
        "BEFORE INSERT ON spec_value WHEN EXISTS (SELECT 1 FROM job WHERE revision_id = NEW.revision_id) "
        "BEGIN SELECT RAISE(ABORT, 'a job is pinned to this revision'); END"
    )
    return {name: f"CREATE TRIGGER {name} {body}" for name, body in triggers.items()}


TRIGGERS = _triggers()
"""Every trigger of a logbook in a file, by name, as SQLite stores it."""

SERVER_FUNCTIONS = {
    "only_grows": "BEGIN RAISE EXCEPTION '% only grows', TG_TABLE_NAME; END",
    "spec_value_pinned": "BEGIN IF EXISTS (SELECT 1 FROM job WHERE revision_id = NEW.revision_id) THEN"
    " RAISE EXCEPTION 'a job is pinned to this revision'; END IF; RETURN NEW; END",
}
"""What the triggers of a logbook on a server do, in PL/pgSQL, by the function's name: without it they guard nothing."""


def _server_triggers() -> dict[str, str]:
    triggers = {}
    for table in APPEND_ONLY:
        triggers[f"tr_{table}_no_change"] = (
            f"BEFORE UPDATE OR DELETE ON {table} FOR EACH ROW EXECUTE FUNCTION only_grows()"
        )
        triggers[f"tr_{table}_no_truncate"] = (
            f"BEFORE TRUNCATE ON {table} FOR EACH STATEMENT EXECUTE FUNCTION only_grows()"
        )
    triggers["tr_spec_value_pinned"] = "BEFORE INSERT ON spec_value FOR EACH ROW EXECUTE FUNCTION spec_value_pinned()"
    return {name: f"CREATE TRIGGER {name} {body}" for name, body in triggers.items()}


SERVER_TRIGGERS = _server_triggers()
"""Every trigger of a logbook on a server, by name."""


def expected_guards(connection: Connection) -> dict[str, str]:
    """Return what must guard a logbook on this engine: triggers, and the functions they call, by name."""
    return TRIGGERS if connection.dialect.name == "sqlite" else SERVER_TRIGGERS | SERVER_FUNCTIONS


def guards_of(connection: Connection) -> dict[str, str]:
    """Return what does guard a logbook, as `expected_guards` writes it; a trigger that is switched off is none."""
    if connection.dialect.name == "sqlite":
        stored = connection.execute(text("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'"))
        return {row.name: row.sql for row in stored}
    triggers = connection.execute(
        text(
            "SELECT tgname AS name, pg_get_triggerdef(pg_trigger.oid) AS sql FROM pg_trigger"
            " JOIN pg_class ON pg_class.oid = tgrelid"
            " WHERE NOT tgisinternal AND tgenabled = 'O' AND relnamespace = current_schema()::regnamespace"
        )
    )
    functions = connection.execute(
        text(
            "SELECT proname AS name, prosrc AS body FROM pg_proc"
            " WHERE pronamespace = current_schema()::regnamespace AND prorettype = 'trigger'::regtype"
        )
    )
    # The server names the schema and sorts the events; what is compared is what they do.
    return {row.name: SERVER_TRIGGERS.get(row.name, row.sql) if _is_same(row) else row.sql for row in triggers} | {
        row.name: row.body for row in functions
    }


def _is_same(row: Row[Any]) -> bool:
    wanted = SERVER_TRIGGERS.get(row.name, "")
    events = ("UPDATE", "DELETE", "INSERT", "TRUNCATE")
    body = wanted.rpartition("EXECUTE FUNCTION ")[2]
    return (
        bool(wanted) and row.sql.endswith(body) and all((f" {e} " in wanted) == (f" {e} " in row.sql) for e in events)
    )
