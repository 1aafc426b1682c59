"""One list of what must be ordered: materials, office and load read it; lead and spare days in one file."""

from __future__ import annotations

from pathlib import Path

import pytest

from planner.domain.crew_day.ready import ready
from planner.domain.design.read import read_design
from planner.domain.firm.jobs import Job, Line
from planner.domain.firm.phases import ORDER
from planner.domain.quantities.materials import materials
from planner.domain.quantities.orders import NOT_KNOWN, job_materials, order_words, orders
from planner.domain.quantities.takeoff import take_off
from planner.store.shipped.checklists import checklist
from planner.store.shipped.leads import lead_times
from tests.domain.quantities.test_materials import WHOLE

DESIGNS = Path(__file__).parents[3] / "seed_demo" / "designs"
TAKEN = take_off(WHOLE)
JOB = Job("P-1", "Mrs Reed", lines=TAKEN.lines)


def test_every_material_of_a_design_is_in_one_order() -> None:
    rows = job_materials(JOB, TAKEN)
    assert rows == materials(TAKEN)
    held = [row for order in orders(rows, lead_times(), net=False) for row in order.rows]
    assert sorted(row.key for row in held) == sorted(row.key for row in rows)
    liner = next(o for o in orders(rows, lead_times(), net=False) if o.lead.key == "liner")
    # the stock sheet of the take-off (20 x 26 ft), not the net area of the pond
    assert "liner, pond 520 ft2 as 1 of 20 ft x 26 ft" in liner.words("us")


def test_the_load_says_what_was_ordered() -> None:
    lists, rows = checklist(), job_materials(JOB, TAKEN)
    loads = {
        phase: "\n".join(
            ready(lists.phases[phase], JOB, part=0, first_day=True, people=3, units="us", materials=rows).load
        )
        for phase in ORDER
    }
    for row in rows:
        if row.key != "clean_fill":
            assert order_words(row, "us") in loads[row.phase], row.key


@pytest.mark.parametrize("path", sorted(DESIGNS.glob("*.toml")), ids=lambda path: path.stem)
def test_the_load_of_every_sample_says_what_was_ordered(path: Path) -> None:
    taken = take_off(read_design(path.read_text("utf-8")))
    job, lists = Job("P-3", "Mr Elm", lines=taken.lines), checklist()
    rows = job_materials(job, taken)
    loads = {
        phase: "\n".join(
            ready(lists.phases[phase], job, part=0, first_day=True, people=3, units="us", materials=rows).load
        )
        for phase in ORDER
    }
    untold = [row.key for row in rows if order_words(row, "us") not in loads[row.phase]]
    assert set(untold) <= {"clean_fill"}


def test_without_a_design_orders_are_net_and_say_what_nobody_knows() -> None:
    job = Job("P-2", "Mr Ash", lines=(Line("liner_ft2", 859), Line("haul_off_cy", 21), Line("pipe_ft", 40)))
    found = {o.lead.key: o.words("us") for o in orders(job_materials(job, None), lead_times(), net=True)}
    assert found["liner"] == "net, no design is kept: liner 859 ft2"
    assert found["spoil"] == "net, no design is kept: spoil to haul off, loose 21 cy"
    assert NOT_KNOWN in found["pump"]


def test_a_firms_own_file_of_before_still_counts_and_leaves_nothing_unordered(tmp_path: Path) -> None:
    row = '[[lead]]\nkey = "liner"\nwords = "sheets"\nitems = ["liner_ft2"]\nphase = "liner"\n'
    (tmp_path / "lead_times.toml").write_text(row + "lead_days = 30\nspare_days = 4\n", "utf-8")
    leads = lead_times(tmp_path)
    assert (leads.spare_days("liner"), leads.spare_days("stream_liner")) == (4, 4)
    assert leads.spare_days("underlayment") == lead_times().spare_days("underlayment")
    named = [m for lead in leads.orders for m in lead.materials]
    assert sorted(named) == sorted(m for lead in lead_times().orders for m in lead.materials)
