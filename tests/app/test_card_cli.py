"""Spec cards on the command line: handed out, taken in, compared, refused with a sentence."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from app import cli
from app.settings import Settings, settings_path
from core.shop_inputs import LimitText
from core.stages.card import FACT_SPECS, LIMIT_SPECS

Told = pytest.CaptureFixture[str]
FACTS = {"ring_gear_side": "left", "setting_method": "outboard_rings", "face_width": "30 mm"}


@pytest.fixture
def logbook(workshop: Any) -> str:
    sources = dict.fromkeys(FACTS, "measured")
    for high in ("0.10 mm", "0.12 mm", "0.11 mm"):
        limits = {"backlash": LimitText("0.06 mm", high, "manual")}
        workshop.save_card("Tollen 2", limits, FACTS, "Tam Ollerby", fact_sources=sources)
    workshop.close()
    return workshop.location


def run(logbook: str, *words: str) -> int:
    return cli.run(["--logbook", logbook, "card", *words])


def test_a_card_goes_out_and_comes_in_again(logbook: str, tmp_path: Path, capsys: Told) -> None:
    path = tmp_path / "card.json"
    assert run(logbook, "export", "tollen 2", "-o", str(path)) == cli.DONE
    assert capsys.readouterr().out.strip() == str(path)
    assert run(logbook, "import", str(path), "--by", "Wren Hask") == cli.DONE
    assert capsys.readouterr().out == "Tollen 2: nothing differs from revision 3; nothing was written.\n"
    other = str(tmp_path / "other.db")
    assert run(other, "import", str(path), "--check") == cli.DONE
    assert "would become revision 1" in capsys.readouterr().out
    assert run(other, "import", str(path)) == cli.DONE
    told = capsys.readouterr().out
    assert "Backlash: added, 0.06 mm to 0.11 mm (manual)" in told
    assert told.endswith("Tollen 2: kept as revision 1.\n")


def test_what_a_file_changes_is_told(logbook: str, tmp_path: Path, capsys: Told) -> None:
    path = tmp_path / "card.json"
    run(logbook, "export", "Tollen 2", "-o", str(path))
    document = json.loads(path.read_text(encoding="utf-8"))
    document["facts"]["face_width"] = {"typed": "1.25 in", "source": "manual"}
    path.write_text(json.dumps(document), encoding="utf-8")
    capsys.readouterr()
    assert run(logbook, "import", "--check", str(path)) == cli.DONE
    told = capsys.readouterr().out
    assert "Face width: 30 mm → 1.25 in; source: measured → manual" in told
    assert "would become revision 4" in told
    # Who is at this bench is remembered; only an owner takes something in.
    Settings(person="Jory Pell", path=settings_path()).save()
    assert run(logbook, "import", str(path)) == cli.REFUSED
    assert "Only the owner" in capsys.readouterr().err
    Settings(person="Wren Hask", path=settings_path()).save()
    assert run(logbook, "import", str(path)) == cli.DONE
    assert "kept as revision 4" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ([], ["from revision 2 to revision 3", "0.06 mm to 0.12 mm → 0.06 mm to 0.11 mm"]),
        (["1"], ["from revision 1 to revision 3", "0.06 mm to 0.10 mm → 0.06 mm to 0.11 mm"]),
        (["1", "2"], ["from revision 1 to revision 2", "0.06 mm to 0.10 mm → 0.06 mm to 0.12 mm"]),
        (["3", "3"], ["nothing changed"]),
    ],
)
def test_revisions_are_compared(logbook: str, capsys: Told, words: list[str], told: list[str]) -> None:
    assert run(logbook, "diff", "Tollen 2", *words) == cli.DONE
    out = capsys.readouterr().out
    assert all(part in out for part in told)


def test_what_cannot_be_is_a_sentence(logbook: str, tmp_path: Path, capsys: Told) -> None:
    (tmp_path / "deep.json").write_bytes(b"[" * 100_000)
    (tmp_path / "large.json").write_bytes(b" " * 1_000_001)
    refused = [
        ["export", "Nowhere", "-o", str(tmp_path / "card.json")],
        ["export", "Orrin B", "-o", str(tmp_path / "card.json")],
        ["export", "Tollen 2", "-o", str(tmp_path / "gone" / "card.json")],
        ["import", str(tmp_path / "gone.json")],
        ["import", str(tmp_path / "deep.json")],
        ["import", str(tmp_path / "large.json")],
        ["import", logbook],
        ["diff", "Nowhere"],
        ["diff", "Tollen 2", "1", "9"],
        ["diff", "Tollen 2", "-1"],
    ]
    for words in refused:
        assert run(logbook, *words) == cli.REFUSED, words
        told = capsys.readouterr().err
        assert told.startswith("pinionbook: ")
        assert "Traceback" not in told
    assert not list(tmp_path.glob("card*"))


def test_every_name_in_a_file_is_listed(capsys: Told) -> None:
    assert cli.run(["card", "keys"]) == cli.DONE
    lines = capsys.readouterr().out.splitlines()
    listed = {line.split()[0] for line in lines if line.startswith("  ") and line[2] != " "}
    assert listed == {spec.key for spec in (*LIMIT_SPECS, *FACT_SPECS)}
    assert any(line.endswith("Backlash [mm]") for line in lines)
    assert any(line.strip() == "adjuster_nuts: adjuster nuts" for line in lines)
