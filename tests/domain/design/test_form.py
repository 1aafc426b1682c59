"""A design by form: every key has a line, an untouched form changes nothing, typed lines stand in it."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from planner.domain.design.declared import design_keys
from planner.domain.design.form import rewritten, sections, starter
from planner.domain.design.read import SHAPES, read_design
from planner.errors import BadInput

DESIGNS = sorted((Path(__file__).parents[3] / "seed_demo" / "designs").glob("*.toml"))
PLAIN = starter("ellipse", 16, 11, 24, 2, "Fern")


def shown(text: str) -> dict[str, str]:
    """What an untouched form sends."""
    found = {line.name: line.value for s in sections(text) for line in s.lines}
    return found | {f"has.{s.table}": "yes" for s in sections(text) if s.present}


@pytest.mark.parametrize("path", DESIGNS, ids=lambda p: p.stem)
def test_an_untouched_form_changes_nothing(path: Path) -> None:
    text = path.read_text("utf-8")
    assert tomllib.loads(rewritten(text, shown(text))) == tomllib.loads(text)


def test_every_key_has_a_line() -> None:
    texts = [PLAIN.replace('"ellipse"', f'"{shape}"') for shape in SHAPES]
    lines = {(line.key.table, line.key.key) for t in texts for s in sections(t) for line in s.lines}
    assert lines == {(k.table, k.key) for k in design_keys()}


def test_another_shape_asks_for_its_own_measures_and_leaves_the_old_ones_out() -> None:
    made = rewritten(PLAIN, shown(PLAIN) | {"outline.shape": "corners"})
    assert tomllib.loads(made)["outline"] == {"shape": "corners"}
    assert any(line.name == "outline.points_ft" for s in sections(made) for line in s.lines)
    assert not any(line.name == "outline.length_ft" for s in sections(made) for line in s.lines)


def test_typed_lines_stand_in_the_file_and_emptied_ones_go() -> None:
    typed = shown(PLAIN) | {
        "outline.length_ft": "18.5",
        "waterfall.drops_in": "12, 8",
        "waterfall.lip_in": "20",
        "has.skimmer": "yes",
        "step.3.down_in": "6",
        "step.0.ledge_in": "",
        "site.soil": "clay",
    }
    made = tomllib.loads(rewritten(PLAIN, typed))
    assert made["outline"]["length_ft"] == 18.5
    assert made["waterfall"] == {"drops_in": [12, 8], "lip_in": 20}
    assert made["skimmer"] == {}
    assert [row.get("down_in") for row in made["step"]] == [8, 8, 8, 6]
    assert "ledge_in" not in made["step"][0]
    assert made["site"] == {"soil": "clay"}
    assert read_design(rewritten(PLAIN, typed | {"step.0.ledge_in": "14", "step.2.ledge_in": "10"}))


def test_rows_and_tables_that_were_emptied_are_gone() -> None:
    typed = shown(PLAIN) | {"step.2.down_in": "", "step.2.ledge_in": ""}
    assert len(tomllib.loads(rewritten(PLAIN, typed))["step"]) == 2
    falls = rewritten(PLAIN, shown(PLAIN) | {"waterfall.drops_in": "9", "waterfall.lip_in": "16"})
    empty = shown(falls) | {"waterfall.drops_in": "", "waterfall.lip_in": "", "has.waterfall": ""}
    assert "waterfall" not in tomllib.loads(rewritten(falls, empty))


def test_points_are_typed_in_pairs_and_a_wrong_text_is_left_to_the_reader() -> None:
    typed = {"outline.points_ft": "0, 0; 12, 0; 12, 9; 0, 9", "outline.shape": "corners"}
    corners = rewritten(PLAIN, {"outline.shape": "corners"})
    made = tomllib.loads(rewritten(corners, typed))["outline"]
    assert made["points_ft"] == [[0, 0], [12, 0], [12, 9], [0, 9]]
    wrong = rewritten(PLAIN, {"outline.length_ft": "long"})
    with pytest.raises(BadInput, match="length_ft"):
        read_design(wrong)


def test_a_metric_file_gets_metric_lines() -> None:
    metric = PLAIN.replace('"us"', '"metric"').replace("_ft", "_m").replace("_in", "_mm")
    units = {
        line.unit for s in sections(metric) for line in s.lines if line.key.table != "[stone.mix_percent]"
    }
    assert not units & {"ft", "in", "gpm", "lb_ft3", "cy"}


def test_what_is_no_toml_is_refused_in_one_line() -> None:
    with pytest.raises(BadInput):
        sections("[outline")


def test_a_form_that_nobody_fills_asks_for_nothing_besides_the_pond():
    text = starter("ellipse", 16, 11, 24, 2, "Fern")
    design = read_design(rewritten(text, {x.name: x.value for s in sections(text) for x in s.lines}))
    asked = (design.closing, design.power, design.storm, design.footing, design.bog, design.uv, design.winter)
    assert asked == (None,) * 7 and not (design.pumps or design.boulders or design.plants)


def test_a_form_writes_a_pump_and_a_bog_with_its_usual_measures():
    text = starter("ellipse", 16, 11, 24, 2, "Fern")
    typed = {"pump.0.name": "ours", "pump.0.curve_gpm_ft": "0, 14; 40, 0", "pump.0.watts": "90"}
    design = read_design(rewritten(text, typed | {"has.bog": "yes"}))
    assert design.pumps[0].curve == ((0.0, 14.0), (40.0, 0.0)) and design.bog is not None
