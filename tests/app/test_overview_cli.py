"""``pinionbook overview``: the same page as text and as JSON."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from app import cli
from core.charts import QUANTITIES
from core.demo import LOGBOOK_NAME


def printed(capsys: pytest.CaptureFixture[str], logbook: Path | str, *words: str) -> str:
    assert cli.run(["--logbook", str(logbook), "overview", *words]) == cli.DONE
    out, err = capsys.readouterr()
    assert err == ""
    return out


def test_text(told_demo: Path, capsys: pytest.CaptureFixture[str]) -> None:
    lines = printed(capsys, told_demo / LOGBOOK_NAME).splitlines()
    assert lines[0] == "Teardown: 1, Housing prep: 1, Preload: 2, Backlash: 1, Contact pattern: 1, Signed: 16"
    assert "  2603, unit K-1207: Contact pattern, an accepted trial; last touched: 24 days" in lines
    assert any(line.startswith("  Unit K-1183, job 2611, 730 days after job 2407: Back: whine") for line in lines)
    assert any(line.startswith("  Calibrate: bore gauge 50–100, overdue by ") for line in lines)
    assert "Orrin B, Backlash, mean" in lines
    assert "  Job 2514: 5.120 mm is above the upper control limit." in lines
    assert sum("The limits of the card say what is allowed" in line for line in lines) == 1


def test_json(told_demo: Path, capsys: pytest.CaptureFixture[str]) -> None:
    told: dict[str, Any] = json.loads(printed(capsys, told_demo / LOGBOOK_NAME, "--json"))
    assert list(told) == [
        "at",
        "jobs",
        "waiting",
        "comebacks",
        "to_order",
        "calibrations_due",
        "without_pin",
        "last_backup",
        "charts",
    ]
    assert told["jobs"]["signed"] == 16
    assert told["waiting"][0]["job"] == "2603"
    assert told["comebacks"][0]["moved"][0].keys() == {"what", "left", "found", "unit"}
    assert told["calibrations_due"][0]["state"] == "overdue"
    charts = {(chart["family"], chart["quantity"]): chart for chart in told["charts"]}
    assert len(charts) == 3 * len(QUANTITIES)
    backlash = charts["Orrin B", "backlash"]
    assert backlash["unit"] == "mm"
    assert [point["job"] for point in backlash["points"]][:2] == ["2407", "2415"]
    assert {"rule": "trend", "direction": "up", "jobs": ["2508", "2514", "2527", "2535", "2553", "2566"]} in backlash[
        "signals"
    ]
    limits = backlash["control_limits"]
    assert limits["low"] < limits["centre"] < limits["high"]
    assert charts["Vask T", "backlash"]["control_limits"] is None


def test_an_empty_logbook(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert printed(capsys, tmp_path / "new.db").splitlines() == ["There is no job yet.", "", "There is no backup yet."]
    told = json.loads(printed(capsys, tmp_path / "new.db", "--json"))
    assert (told["waiting"], told["charts"], told["last_backup"]) == ([], [], None)


def test_a_file_that_is_no_logbook_is_a_sentence(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    other = tmp_path / "notes.txt"
    other.write_text("milk, bread", encoding="utf-8")
    assert cli.run(["--logbook", str(other), "overview"]) == cli.REFUSED
    assert "Traceback" not in capsys.readouterr().err
