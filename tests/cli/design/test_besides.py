"""Work besides the pond as typed: four invented sites taken off, a firm's own table of pumps, refusals."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from planner.domain.firm.items import ITEMS
from tests.cli.conftest import Run

DESIGNS = Path(__file__).parents[3] / "seed_demo" / "designs"
SITES = ("hand_dug_with_box", "falls_and_stream", "fish_and_boulders", "wet_clay_overflow")
POWERED = """
name = "Powered pond (invented)"
[outline]
shape = "ellipse"
length_ft = 14
width_ft = 10
[[step]]
down_in = 24
[power]
cable_ft = 60
"""
PUMPS = """
[[pump]]
name = "ours (invented)"
curve_gpm_ft = [[0, 12], [40, 0]]
watts = 90
"""


@pytest.mark.parametrize("name", SITES)
def test_a_site_goes_from_its_file_into_estimate_and_orders(run: Run, name: str) -> None:
    path = str(DESIGNS / f"{name}.toml")
    assert run("job", "add", "W1", "Client (invented)")[0] == 0
    assert run("design", "take-off", path, "W1")[0] == 0
    checked = json.loads(run("design", "check", path, "--json")[1])["data"]
    told = {line["item"]: line["quantity"] for line in checked["lines"]}
    estimated = json.loads(run("estimate", "W1", "--json")[1])["data"][0]
    assert {q["item"]: q["quantity"] for q in estimated["quantities"]} == told
    assert len([item for item in told if ITEMS[item].further]) >= 10
    keys = {row["key"] for row in json.loads(run("design", "materials", "W1", "--json")[1])["data"]}
    assert {"mats", "topsoil"} <= keys


def test_a_wet_hole_makes_the_job_wet(run: Run) -> None:
    assert run("job", "add", "W1", "Client (invented)")[0] == 0
    assert run("design", "take-off", str(DESIGNS / "wet_clay_overflow.toml"), "W1")[0] == 0
    assert json.loads(run("job", "show", "W1", "--json")[1])["data"]["wet"] is True


def test_the_firms_own_table_of_pumps_is_chosen_from_and_kept_with_the_job(run: Run) -> None:
    Path("powered.toml").write_text(POWERED, "utf-8")
    assert run("job", "add", "W1", "Client (invented)")[0] == 0
    assert "ours (invented)" not in run("design", "check", "powered.toml")[1]
    Path("pumps.toml").write_text(PUMPS, "utf-8")
    assert "pump ours (invented): its curve meets" in run("design", "check", "powered.toml")[1]
    assert run("design", "take-off", "powered.toml", "W1")[0] == 0
    Path("pumps.toml").unlink()
    assert "ours (invented)" in run("design", "materials", "W1", "--json")[1]
    assert "chosen" in run("design", "pump", "W1")[1]


@pytest.mark.parametrize(
    ("own", "told"),
    [
        (PUMPS.replace("[40, 0]", "[40, 13]"), "pumps.toml [[pump]] 1: curve"),
        (PUMPS.replace("[[0, 12], [40, 0]]", "[[0, 2], [9, 0]]"), "take a stronger pump"),
    ],
)
def test_a_table_that_cannot_serve_is_told_in_one_line_and_nothing_is_kept(
    run: Run, own: str, told: str
) -> None:
    Path("powered.toml").write_text(POWERED, "utf-8")
    Path("pumps.toml").write_text(own, "utf-8")
    assert run("job", "add", "W1", "Client (invented)")[0] == 0
    before = run("job", "show", "W1", "--json")[1]
    code, out, err = run("design", "take-off", "powered.toml", "W1")
    assert (code, out) == (2, "") and told in err and len(err.splitlines()) == 1
    assert run("job", "show", "W1", "--json")[1] == before
