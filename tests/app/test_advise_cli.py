"""``pinionbook advise``: the same answer as at the bench, in text and as JSON, and a sentence where there is none."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from app import cli
from core.demo import LOGBOOK_NAME
from core.records import open_logbook
from core.workshop import Workshop


def printed(capsys: pytest.CaptureFixture[str], demo: Path, *words: str) -> str:
    assert cli.run(["--logbook", str(demo / LOGBOOK_NAME), "advise", *words]) == cli.DONE
    out, err = capsys.readouterr()
    assert err == ""
    return out


def refused(capsys: pytest.CaptureFixture[str], demo: Path, *words: str) -> str:
    assert cli.run(["--logbook", str(demo / LOGBOOK_NAME), "advise", *words]) == cli.REFUSED
    out, err = capsys.readouterr()
    assert out == ""
    return err


def advice(demo: Path, number: str, stage: str) -> Any:
    with open_logbook(demo / LOGBOOK_NAME) as logbook:
        workshop = Workshop(logbook)
        return workshop.advice(workshop.job(number).id, stage)


def test_text_says_all_of_the_answer_and_is_no_wider_than_the_terminal(
    told_demo: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "64")
    lines = printed(capsys, told_demo, "2614").splitlines()
    said = advice(told_demo, "2614", "preload")
    assert lines[0] == "Job 2614, unit K-1261: Preload"
    assert max(map(len, lines)) <= 64
    paragraphs = [" ".join(part.split("\n")) for part in "\n".join(lines).split("\n\n")]
    assert paragraphs[1:] == [said.title, said.text, said.why, *said.notes]
    assert "Next best:" in "".join(paragraphs)


def test_json(told_demo: Path, capsys: pytest.CaptureFixture[str]) -> None:
    told: dict[str, Any] = json.loads(printed(capsys, told_demo, "2614", "--json"))
    said = advice(told_demo, "2614", "preload")
    assert list(told) == [
        "job",
        "stage",
        "trial",
        "silent_because",
        "title",
        "text",
        "why",
        "notes",
        "wanted",
        "offer",
        "next_best",
        "chance_in_two_trials",
        "read_again",
    ]
    assert (told["job"], told["stage"], told["trial"], told["silent_because"]) == ("2614", "preload", 1, "")
    assert (
        list(told["offer"])
        == list(told["next_best"])
        == [
            "ring_gear_side_mm",
            "opposite_side_mm",
            "sum_mm",
            "ring_gear_side_place",
            "opposite_side_place",
            "ring_gear_side_notches",
            "opposite_side_notches",
            "chance",
            "expected_n_m",
            "low_n_m",
            "high_n_m",
            "sides_changed",
        ]
    )
    offer = told["offer"]
    assert offer["ring_gear_side_mm"] == pytest.approx(said.offer.pair.ring_gear_side_mm)
    assert offer["ring_gear_side_place"] == said.offer.parts[0].place
    assert offer["chance"] == pytest.approx(said.offer.chance, abs=1e-4)
    assert offer["low_n_m"] < offer["expected_n_m"] < offer["high_n_m"]
    assert told["wanted"]["sum_mm"] == offer["sum_mm"]
    assert told["notes"] == list(said.notes)


def test_where_nothing_can_be_advised_yet_it_says_why(told_demo: Path, capsys: pytest.CaptureFixture[str]) -> None:
    why = "The ring sum is not fixed yet: accept a preload trial first."
    assert printed(capsys, told_demo, "2613", "--stage", "backlash").splitlines()[2:] == [why]
    told = json.loads(printed(capsys, told_demo, "2613", "--stage", "backlash", "--json"))
    assert (told["silent_because"], told["title"], told["offer"]) == (why, "", None)
    text = printed(capsys, told_demo, "2612", "--stage", "preload")
    assert "is accepted, so there is nothing left to try." in " ".join(text.split())


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (["99"], "There is no job 99 in this logbook. Check the number in the job list."),
        (["2407"], "Job 2407 is signed, so there is nothing left to try. Reopen it, if something is to be changed."),
        (
            ["2613", "--stage", "paint"],
            "There is no advice at paint. Choose one of them: --stage preload or --stage backlash.",
        ),
        (
            ["2603"],
            "Job 2603 stands elsewhere (Contact pattern); pairs are advised at preload and at backlash. "
            "Choose one of them: --stage preload or --stage backlash.",
        ),
    ],
)
def test_what_cannot_be_answered_is_one_sentence(
    told_demo: Path, capsys: pytest.CaptureFixture[str], words: list[str], sentence: str
) -> None:
    assert refused(capsys, told_demo, *words) == f"pinionbook: {sentence}\n"
