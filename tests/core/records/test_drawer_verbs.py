"""The drawer in the logbook: what lies there is what its moves come to, and nobody takes what is not there."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from threading import Barrier, Thread
from typing import Any

import pytest
from sqlalchemy import update
from sqlalchemy.exc import IntegrityError

from core.errors import ConflictError, InputError, NotFoundError, RuleError, UserError
from core.facts import Hold, Job, Part
from core.records import Logbook, Work, tables

from .conftest import new_job

RING_SIDE = ("preload", "ring_gear_side", 1)
OTHER_SIDE = ("preload", "opposite_side", 1)


@pytest.fixture
def ring(work: Work) -> Part:
    """Return a ring of which there are two."""
    added = work.add_part("ring", "", "C3", 2.52, 2, 1)
    return work.measure_part(added.id, [2.516, 2.518, 2.517])


@pytest.fixture
def single(work: Work) -> Part:
    """Return a ring of which there is one."""
    return work.add_part("ring", "", "B1", 2.60, 1)


def told(work: Work, part: Part) -> list[tuple[str, int]]:
    return [(move.what, move.pieces) for move in work.moves(part.id)]


def held(work: Work, job: Job) -> dict[str, tuple[str, bool]]:
    holds = work.held_by_job(job.id).holds
    return {entry: (hold.part.place, hold.is_fitted) for entry, hold in holds.items()}


# --- what there is ----------------------------------------------------------------------------------------------------


def test_a_part_comes_back_as_it_went_in(work: Work, ring: Part) -> None:
    assert ring == Part(1, "ring", "", "C3", 2.52, 2, 1, (2.516, 2.518, 2.517), version=ring.version, uid=ring.uid)
    assert ring.thickness_mm == pytest.approx(2.517)
    assert ring.spread_mm == pytest.approx(0.002)
    assert (ring.called, ring.to_order) == ("ring from C3", 0)
    seal = work.add_part("seal", "output seal", "S1", None, 0, 4)
    assert (seal.called, seal.thickness_mm, seal.spread_mm, seal.to_order) == ("output seal from S1", None, None, 4)
    assert work.parts() == [ring, seal]
    assert told(work, ring) == [("received", 2)]
    assert told(work, seal) == []


@pytest.mark.parametrize(
    "changes",
    [
        {"kind": "gear"},
        {"kind": "ring", "nominal_mm": None},
        {"kind": "seal", "name": " "},
        {"kind": "bearing", "name": ""},
        {"nominal_mm": 0.0},
        {"nominal_mm": -2.5},
        {"nominal_mm": float("nan")},
        {"nominal_mm": 2520.0},
        {"count": -1},
        {"count": 10**20},
        {"reorder_level": -1},
        {"place": "x" * 300},
        {"fits": "pinion"},
        {"kind": "shim", "fits": "drum"},
    ],
)
def test_a_part_that_cannot_be_is_refused(work: Work, changes: dict[str, Any]) -> None:
    good: dict[str, Any] = {"kind": "ring", "name": "", "place": "C1", "nominal_mm": 2.5}
    with pytest.raises(InputError):
        work.add_part(**(good | changes))
    assert work.parts() == []


def test_the_last_round_of_measurements_counts(work: Work, ring: Part) -> None:
    gauge = work.add_gauge("micrometer", "micrometer", "length", 0.001, 0.003)
    again = work.measure_part(ring.id, [2.515, 2.515], gauge.id)
    assert (again.measured_mm, again.gauge_id) == ((2.515, 2.515), gauge.id)
    rounds = {(row.round, row.place): row.mm for row in work._rows(tables.part_measure.select())}
    assert rounds == {(1, 1): 2.516, (1, 2): 2.518, (1, 3): 2.517, (2, 1): 2.515, (2, 2): 2.515}


@pytest.mark.parametrize("places", [[], [0.0], [2.5, float("inf")], [2.5] * 25])
def test_a_round_that_cannot_be_is_refused(work: Work, ring: Part, places: list[float]) -> None:
    with pytest.raises(InputError):
        work.measure_part(ring.id, places)
    assert work.part(ring.id) == ring


def test_what_is_not_there_is_not_found(work: Work, job: Job) -> None:
    for act in (
        lambda: work.part(7),
        lambda: work.moves(7),
        lambda: work.receive(0, 1),
        lambda: work.take_piece(job.id, RING_SIDE, 7),
        lambda: work.use_part(job.id, 7),
        lambda: work.held_by_job(7),
        lambda: work.measure_part(work.add_part("ring", "", "A", 2.5).id, [2.5], 7),
    ):
        with pytest.raises(NotFoundError):
            act()


# --- in and out -------------------------------------------------------------------------------------------------------


def test_pieces_come_in_are_counted_and_thrown_away(work: Work, ring: Part) -> None:
    assert work.receive(ring.id, 3, "delivery").count == 5
    counted = work.count_part(ring.id, 4, "stocktake")
    assert counted.count == 4
    assert work.count_part(ring.id, 4, "stocktake again").count == 4
    assert work.scrap(ring.id, 1, "cracked").count == 3
    assert told(work, ring) == [("received", 2), ("received", 3), ("counted", -1), ("counted", 0), ("scrapped", -1)]
    assert [move.reason for move in work.moves(ring.id)][1:] == [
        "delivery", "stocktake", "stocktake again", "cracked",
    ]  # fmt: skip
    assert work.stock_disagreements() == []


def test_what_is_counted_or_thrown_away_has_a_reason(work: Work, ring: Part) -> None:
    for act in (lambda: work.count_part(ring.id, 4, " "), lambda: work.scrap(ring.id, 1, "")):
        with pytest.raises(InputError, match="reason is missing"):
            act()
    with pytest.raises(RuleError, match="Only 2 of ring from C3 lie in the drawer"):
        work.scrap(ring.id, 3, "all of them")
    with pytest.raises(InputError):
        work.receive(ring.id, 9999)
    assert work.part(ring.id) == ring


def test_a_count_of_what_changed_meanwhile_is_refused(work: Work, job: Job, ring: Part) -> None:
    work.take_piece(job.id, RING_SIDE, ring.id)
    with pytest.raises(ConflictError):
        work.count_part(ring.id, 2, "stocktake", seen=ring.version)
    assert work.count_part(ring.id, 1, "stocktake", seen=work.part(ring.id).version).count == 1


def test_words_are_corrected_whatever_pieces_come_and_go(work: Work, job: Job, ring: Part) -> None:
    work.take_piece(job.id, RING_SIDE, ring.id)
    changed = work.change_part(ring, "thin", "D 4", 3)
    assert (changed.name, changed.place, changed.reorder_level, changed.count) == ("thin", "D 4", 3, 1)
    with pytest.raises(ConflictError):
        work.change_part(ring, "thick", "C3", 0)
    assert work.part(ring.id) == changed


def test_where_a_shim_fits_is_said_and_changed(work: Work) -> None:
    shim = work.add_part("shim", "", "P1", 0.3, 2, fits="pinion")
    assert shim.fits == "pinion"
    assert work.change_part(shim, "", "P2", 0).fits == "pinion", "what is not said stays"
    changed = work.change_part(work.part(shim.id), "", "P2", 0, "sides")
    assert changed.fits == "sides"
    with pytest.raises(ConflictError):
        work.change_part(shim, "", "P2", 0, "")
    with pytest.raises(InputError, match="nowhere a shim fits"):
        work.change_part(changed, "", "P2", 0, "drum")
    assert work.part(shim.id) == changed


def test_of_no_other_piece_it_is_said_where_it_fits(work: Work, ring: Part) -> None:
    with pytest.raises(InputError, match="Only of a shim"):
        work.change_part(ring, "", "C3", 1, "sides")
    with pytest.raises(IntegrityError):
        work._change(tables.part, ring.id, fits="sides")


def test_a_part_is_retired_once_the_drawer_is_empty_of_it(work: Work, single: Part) -> None:
    with pytest.raises(RuleError, match="still 1 of ring from B1"):
        work.retire_part(single.id)
    work.scrap(single.id, 1, "cracked")
    assert work.retire_part(single.id).is_retired
    assert work.retire_part(single.id).is_retired
    assert not work.receive(single.id, 1).is_retired


def test_what_lies_below_its_level_is_to_be_ordered(work: Work, ring: Part, single: Part) -> None:
    seal = work.add_part("seal", "output seal", "S1", None, 1, 4)
    retired = work.add_part("seal", "old seal", "S2", None, 0, 4)
    work.retire_part(retired.id)
    assert [(part.id, part.to_order) for part in work.order_list()] == [(seal.id, 3)]
    work.scrap(ring.id, 2, "rust")
    assert [(part.id, part.to_order) for part in work.order_list()] == [(ring.id, 1), (seal.id, 3)]


# --- what a job has ---------------------------------------------------------------------------------------------------


def test_a_job_has_one_piece_a_side_over_both_stages(work: Work, job: Job, ring: Part, single: Part) -> None:
    work.take_piece(job.id, RING_SIDE, ring.id)
    work.take_piece(job.id, ("preload", "ring_gear_side", 2), single.id)
    assert held(work, job) == {"ring_gear_side": ("B1", False)}
    work.take_piece(job.id, ("backlash", "ring_gear_side", 1), ring.id)
    assert work.held_by_job(job.id).holds == {
        "ring_gear_side": Hold(work.part(ring.id), "backlash", "ring_gear_side", 1, False)
    }
    assert told(work, single) == [("received", 1), ("reserved", -1), ("returned", 1)]
    assert (work.part(ring.id).count, work.part(single.id).count) == (1, 1)


def test_the_same_piece_again_moves_nothing(work: Work, job: Job, single: Part) -> None:
    work.take_piece(job.id, RING_SIDE, single.id)
    work.note_fitted(job.id, RING_SIDE, is_fitted=True)
    work.take_piece(job.id, ("backlash", "ring_gear_side", 1), single.id)
    assert held(work, job) == {"ring_gear_side": ("B1", True)}
    assert told(work, single) == [("received", 1), ("reserved", -1), ("fitted", 0), ("reserved", 0)]
    (hold,) = work.held_by_job(job.id).holds.values()
    assert (hold.stage, hold.trial) == ("backlash", 1)


def test_a_fitted_piece_that_is_swapped_goes_back(work: Work, job: Job, ring: Part, single: Part) -> None:
    work.take_piece(job.id, RING_SIDE, ring.id)
    for is_fitted in (True, True, False, True):
        work.note_fitted(job.id, RING_SIDE, is_fitted=is_fitted)
    work.take_piece(job.id, ("backlash", "ring_gear_side", 1), single.id)
    assert told(work, ring)[1:] == [("reserved", -1), ("fitted", 0), ("unfitted", 0), ("fitted", 0), ("returned", 1)]
    assert held(work, job) == {"ring_gear_side": ("B1", False)}


def test_the_last_piece_changes_sides(work: Work, job: Job, ring: Part, single: Part) -> None:
    work.take_piece(job.id, RING_SIDE, single.id)
    work.take_piece(job.id, OTHER_SIDE, ring.id)
    work.take_piece(job.id, ("preload", "opposite_side", 2), single.id)
    assert held(work, job) == {"opposite_side": ("B1", False)}
    work.take_piece(job.id, ("preload", "ring_gear_side", 2), ring.id)
    assert held(work, job) == {"opposite_side": ("B1", False), "ring_gear_side": ("C3", False)}
    assert (work.part(ring.id).count, work.part(single.id).count) == (1, 0)


def test_two_pieces_of_one_thickness_sit_on_both_sides(work: Work, job: Job, ring: Part) -> None:
    work.take_piece(job.id, RING_SIDE, ring.id)
    work.take_piece(job.id, OTHER_SIDE, ring.id)
    assert held(work, job) == {"ring_gear_side": ("C3", False), "opposite_side": ("C3", False)}
    assert work.part(ring.id).count == 0


def test_what_somebody_else_took_is_said_with_his_name_and_job(logbook: Logbook, card_and_part: Any) -> None:
    card, part = card_and_part
    with logbook.work(by="Jory Pell", doing="take") as work:
        first = new_job(work, card, number="2501", serial="A")
        second = new_job(work, card, number="2502", serial="B")
        work.take_piece(first.id, RING_SIDE, part.id)
        work.commit()
    for act in (
        lambda work: work.take_piece(second.id, RING_SIDE, part.id),
        lambda work: work.use_part(second.id, part.id),
    ):
        with logbook.work(by="Tam Ollerby", doing="take") as work:
            with pytest.raises(ConflictError) as refused:
                act(work)
            assert refused.value.message == "No ring from C3 is left: Jory Pell took the last one for job 2501."
            assert work.held_by_job(second.id).holds == {}
    with logbook.work(by="Wren Hask", doing="take") as work:
        work.give_piece_back(first.id, RING_SIDE)
        work.scrap(part.id, 1, "cracked")
        with pytest.raises(RuleError, match=r"^No ring from C3 is left in the drawer\."):
            work.use_part(second.id, part.id)


@pytest.fixture
def card_and_part(logbook: Logbook) -> Any:
    """Return a spec card and a single ring, both kept."""
    from .conftest import FACTS, LIMITS

    with logbook.work() as work:
        card, part = work.add_card_revision("Orrin B", LIMITS, FACTS, "Tam"), work.add_part("ring", "", "C3", 2.52)
        work.commit()
    return card, part


def test_of_two_benches_that_reach_for_the_last_ring_one_gets_it(logbook: Logbook, card_and_part: Any) -> None:
    card, part = card_and_part
    with logbook.work() as work:
        jobs = [new_job(work, card, number=f"{at}", serial=f"S{at}").id for at in range(6)]
        work.commit()
    start, got, told = Barrier(len(jobs)), [], []

    def reach(job_id: int) -> None:
        start.wait()
        try:
            with logbook.work(by=f"bench {job_id}", doing="take") as work:
                work.take_piece(job_id, RING_SIDE, part.id)
                work.commit()
            got.append(job_id)
        except ConflictError as error:
            told.append(error.message)

    benches = [Thread(target=reach, args=(job_id,)) for job_id in jobs]
    for bench in benches:
        bench.start()
    for bench in benches:
        bench.join()
    (winner,) = got
    assert set(told) == {f"No ring from C3 is left: bench {winner} took the last one for job {jobs.index(winner)}."}
    with logbook.look() as work:
        assert work.part(part.id).count == 0
        assert [bool(work.held_by_job(job_id).holds) for job_id in jobs].count(True) == 1
        assert work.stock_disagreements() == []


def test_giving_back_what_is_not_held_does_nothing(work: Work, job: Job, single: Part) -> None:
    work.give_piece_back(job.id, RING_SIDE)
    work.note_fitted(job.id, RING_SIDE, is_fitted=True)
    work.take_piece(job.id, RING_SIDE, single.id)
    work.give_piece_back(job.id, RING_SIDE, "too thick")
    assert held(work, job) == {}
    assert told(work, single) == [("received", 1), ("reserved", -1), ("returned", 1)]


def test_seals_are_used_and_brought_back(work: Work, job: Job, single: Part) -> None:
    seal = work.add_part("seal", "output seal", "S1", None, 5)
    work.use_part(job.id, seal.id, 3)
    work.bring_part_back(job.id, seal.id)
    assert [(used.part.name, used.pieces) for used in work.held_by_job(job.id).used] == [("output seal", 2)]
    with pytest.raises(RuleError, match="This job used 2 of output seal from S1"):
        work.bring_part_back(job.id, seal.id, 3)
    with pytest.raises(RuleError, match="Only 3"):
        work.use_part(job.id, seal.id, 4)
    work.take_piece(job.id, RING_SIDE, single.id)
    with pytest.raises(RuleError, match="This job used 0"):
        work.bring_part_back(job.id, single.id)
    work.bring_part_back(job.id, seal.id, 2)
    assert work.held_by_job(job.id).used == ()
    assert work.part(seal.id).count == 5
    assert work.stock_disagreements() == []


def test_a_signed_job_takes_and_gives_nothing(work: Work, job: Job, single: Part, now: Any) -> None:
    seal = work.add_part("seal", "output seal", "S1", None, 5)
    work.use_part(job.id, seal.id)
    work.sign(job.id, "Tam", now)
    for act in (
        lambda: work.take_piece(job.id, RING_SIDE, single.id),
        lambda: work.give_piece_back(job.id, RING_SIDE),
        lambda: work.use_part(job.id, seal.id),
        lambda: work.bring_part_back(job.id, seal.id),
    ):
        with pytest.raises(RuleError, match="signed"):
            act()


@pytest.mark.parametrize("place", [("", "ring_gear_side", 1), ("preload", "", 1), ("preload", "ring_gear_side", -1)])
def test_a_piece_is_taken_for_somewhere(work: Work, job: Job, single: Part, place: tuple[str, str, int]) -> None:
    with pytest.raises(InputError):
        work.take_piece(job.id, place, single.id)
    assert work.part(single.id).count == 1


def test_a_move_names_its_job_and_place(work: Work, add_job: Callable[..., Job], single: Part) -> None:
    job = add_job(number="2501")
    work.take_piece(job.id, ("backlash", "ring_gear_side", 3), single.id)
    move = work.moves(single.id)[-1]
    assert (move.job_number, move.stage, move.entry, move.trial) == ("2501", "backlash", "ring_gear_side", 3)
    assert work.moves_of_job(job.id) == [move]


# --- the law ----------------------------------------------------------------------------------------------------------


def test_a_count_that_is_not_what_the_moves_come_to_is_named(work: Work, ring: Part, single: Part) -> None:
    assert work.stock_disagreements() == []
    work._connection.execute(update(tables.part).where(tables.part.c.id == ring.id).values(count=7))
    assert work.stock_disagreements() == ["ring from C3 (part 1): 7 free in the drawer, but its moves come to 2."]


def test_every_change_of_the_drawer_is_in_the_trail(logbook: Logbook) -> None:
    with logbook.work(by="Wren Hask", doing="receive") as work:
        part = work.add_part("ring", "", "C3", 2.52)
        work.change_part(replace(part), "thin", "C4", 2)
        rows = work._rows(tables.trail.select().order_by(tables.trail.c.id))
    assert [(row.what, row.in_table) for row in rows] == [
        ("added", "part"), ("added", "part_move"), ("changed", "part"), ("changed", "part"),
    ]  # fmt: skip
    assert {row.person for row in rows} == {"Wren Hask"}


def test_four_hundred_parts_are_read_in_a_handful_of_statements(work: Work) -> None:
    from sqlalchemy import event

    for at in range(40):
        part = work.add_part("ring", "", f"A{at}", 2.30 + at / 1000)
        work.measure_part(part.id, [2.3, 2.301])
    asked: list[str] = []
    event.listen(work._connection, "before_cursor_execute", lambda *told: asked.append(told[2]))
    assert len(work.parts()) == 40
    assert len(asked) == 2


def test_no_piece_is_lost_where_a_unit_of_work_fails(logbook: Logbook, card_and_part: Any) -> None:
    card, part = card_and_part
    with pytest.raises(UserError), logbook.work() as work:
        work.use_part(new_job(work, card).id, part.id)
        work.use_part(1, part.id)
    with logbook.look() as work:
        assert work.part(part.id).count == 1
        assert work.stock_disagreements() == []
