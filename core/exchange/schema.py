"""The schema of an archive (``assets/schema/archive.schema.json``), asked whether something has its shape."""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from typing import Any

from core.exchange.form import unusable
from core.language import tr


def need_shape(value: Any, shape: str, name: str) -> None:
    """Refuse what has not the shape the schema says.

    Parameters
    ----------
    value : any
        Something read from JSON.
    shape : str
        ``manifest`` or ``logbook``.
    name : str
        What the file is called, for the sentence.

    Raises
    ------
    InputError
        The first place that has not.
    """
    error = next(_validator(shape).iter_errors(value), None)
    if error is not None:
        place = "/".join(str(step)[:40] for step in error.absolute_path) or tr("the beginning")
        raise unusable(tr("{name} in the archive is not as it should be at {place}.", name=name, place=place))


@cache
def _validator(shape: str) -> Any:
    # Loading the library takes longer than opening the window; few do this.
    from jsonschema import Draft202012Validator

    schema = json.loads(files("assets").joinpath("schema", "archive.schema.json").read_text(encoding="utf-8"))
    # Looking a name up anew for every reading takes ten times longer than judging it.
    return Draft202012Validator(_resolved(schema["$defs"][shape], schema["$defs"]))


def _resolved(part: Any, defs: Mapping[str, Any]) -> Any:
    """Return a part of the schema with what it points at in its place."""
    if isinstance(part, list):
        return [_resolved(one, defs) for one in part]
    if not isinstance(part, dict):
        return part
    pointed = part.get("$ref", "")
    if pointed:
        return _resolved(defs[pointed.removeprefix("#/$defs/")], defs)
    return {key: _resolved(one, defs) for key, one in part.items()}
