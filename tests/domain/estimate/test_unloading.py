"""Taking stone and gravel off the trucks: one law for the estimate's hours and the list of deliveries."""

from __future__ import annotations

import pytest

from planner.domain.design.read import read_design
from planner.domain.estimate.rock_tasks import rock_tasks
from planner.domain.estimate.task import EXCAVATOR
from planner.domain.estimate.unloading import in_the_estimate, unload_labour_h, unload_row
from planner.domain.firm.phases import Phase
from planner.domain.quantities.materials import materials
from planner.domain.quantities.takeoff import take_off
from planner.domain.quantities.trucks import Truck, bulk_of, freight
from tests.domain.estimate.ponds import BOOK, only, told
from tests.domain.estimate.test_tasks import likely, way
from tests.domain.quantities.test_further import POND as LOT


def test_by_hand_as_the_handbook_prints_it() -> None:
    """Gillette and Hill, Concrete Construction, 1908: from cars, chapter XIII and chapter III (seen).

    441 tons of stone and 182.5 cy of sand in 380 man-hours; 20 cy of stone a man in 10 h from flat cars. A
    cubic yard of either weighs 1.35 tons.
    """
    by_hand = 380 / (441 + 182.5 * 1.35)
    low, _, high = BOOK.row("unload.bars").band
    assert high == pytest.approx(by_hand, abs=0.005)
    assert low < 10 / (20 * 1.35) < high
    assert BOOK.row("unload.machine").band[2] < 10 / (20 * 1.35), "a machine beats the best of hands"


def test_tipping_is_never_quicker_than_the_truck() -> None:
    """A printed example of an estimating text (scribd.com/document/579148516; seen): 12 cy of sand at 100
    lb/ft3, 3 min to dump.
    """
    dumped = 3 / 60 / (12 * 27 * 100 / 2000)
    assert BOOK.row("unload.tipped").band[0] > dumped


def test_the_machine_lifts_where_the_rock_has_one() -> None:
    job = only(unload_stone_ton=10.0, unload_gravel_ton=5.0)
    assert likely(rock_tasks(way(job, EXCAVATOR))) == {
        BOOK.row("unload.machine").words: 0.8,
        BOOK.row("unload.tipped").words: 0.1,
    }
    assert likely(rock_tasks(way(job)))[BOOK.row("unload.bars").words] == 2.0
    assert [unload_row(kind, ()) for kind in ("spoil", "")] == ["", ""], "what goes away is not unloaded"


def test_a_take_off_asks_for_it_and_the_deliveries_tell_the_same_hours() -> None:
    found = take_off(read_design(LOT))
    job = only(**{line.item: line.quantity for line in found.lines})
    rows = [(row, row.order) for row in materials(found) if bulk_of(row) and row.phase is Phase.ROCK]
    load = freight([(row, n) for row, n in rows if row.key != "footing_base"], Truck())
    assert job.amount("unload_stone_ton") == pytest.approx(load.kinds_ton["stone"])
    assert job.amount("unload_gravel_ton") == pytest.approx(load.kinds_ton["gravel"])
    rock = told(job).phases[Phase.ROCK]
    lines = sum(line.labour_h for line in rock.lines if line.rows[0].startswith("unload."))
    assert lines == pytest.approx(unload_labour_h(load, BOOK, rock.machines))
    assert in_the_estimate(job, load)


def test_a_job_with_entered_lines_keeps_its_hours() -> None:
    bare = only(boulder_small_ton=10.0)
    assert not any(line.rows[0].startswith("unload.") for line in told(bare).phases[Phase.ROCK].lines)
    rows = [(row, row.order) for row in materials(take_off(read_design(LOT))) if row.key == "boulder_small"]
    assert not in_the_estimate(bare, freight(rows, Truck()))
