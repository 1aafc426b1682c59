"""The drawing: sound XML, true to scale, with its words, and nothing of a name taken for markup."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from datetime import date
from pathlib import Path
from xml.etree import ElementTree

import pytest
from scipy.optimize import minimize_scalar

from planner.domain.design.design import Design, Site, revision_of
from planner.domain.design.levels import levels_of
from planner.domain.design.outline import corners, ellipse, rectangle
from planner.domain.design.read import read_design
from planner.domain.design.section import cut_section
from planner.domain.design.shelves import Step, layers
from planner.domain.firm.jobs import Job
from planner.domain.quantities.ground import sketch
from planner.domain.quantities.takeoff import take_off
from planner.report.design.drawing import drawing_sheets, drawing_svg
from planner.report.design.frame import title_of
from planner.report.design.scale import fit, length_words, short_words
from planner.report.design.setting_view import points_table, tape_words

DEMO = sorted((Path(__file__).parents[3] / "seed_demo" / "designs").glob("*.toml"))
SVG = "{http://www.w3.org/2000/svg}"


def parts(svg: str) -> ElementTree.Element:
    return ElementTree.fromstring(svg)


def words(svg: str) -> list[str]:
    return [t.text or "" for t in parts(svg).iter(f"{SVG}text")]


def path_spots(svg: str, class_: str) -> list[tuple[float, float]]:
    for path in parts(svg).iter(f"{SVG}path"):
        if path.get("class") == class_:
            return [(float(x), float(y)) for x, y in re.findall(r"(-?[\d.]+) (-?[\d.]+)", path.get("d", ""))]
    raise AssertionError(class_)


@pytest.mark.parametrize("path", DEMO, ids=lambda p: p.stem)
def test_demo_drawings_are_whole_and_on_the_paper(path):
    design = read_design(path.read_text())
    svg = drawing_svg(take_off(design), design.units)
    root = parts(svg)
    _, _, width, height = (float(v) for v in root.get("viewBox", "").split())
    for text in root.iter(f"{SVG}text"):
        assert 15 <= float(text.get("x", "nan")) <= width - 15
        assert 15 <= float(text.get("y", "nan")) <= height - 15
    for x, y in path_spots(svg, "rim"):
        assert 15 <= x <= width - 285
        assert 15 <= y <= height - 215
    text = " ".join(words(svg))
    for expected in (
        "Plan, ",
        "Section X-X",
        "Quantities",
        "licensed electrician",
        "2'-0\" back" if design.units == "us" else "0.61 m back",
    ):
        assert expected in text


def test_plan_is_true_to_its_scale():
    """18 x 12 ft at the scale in words: a quarter inch to the foot is 25 hundredths of an inch on paper."""
    svg = drawing_svg(take_off(Design("scale", rectangle(18, 12), (Step(9, 12), Step(9)))), "us")
    named = next(w for w in words(svg) if w.startswith("Plan, "))
    per_ft = {'1/2" = 1 ft': 50.0, '3/8" = 1 ft': 37.5, '1/4" = 1 ft': 25.0}[named.removeprefix("Plan, ")]
    spots = path_spots(svg, "rim")
    xs, ys = [x for x, _ in spots], [y for _, y in spots]
    assert max(xs) - min(xs) == pytest.approx(18 * per_ft, abs=0.02)
    assert max(ys) - min(ys) == pytest.approx(12 * per_ft, abs=0.02)
    assert {"18'-0\"", "12'-0\""} <= set(words(svg))


def test_metric_paper_is_a4_and_its_scale_a_ratio():
    svg = drawing_svg(take_off(Design("m", ellipse(20, 14), (Step(18),))), "metric")
    assert 'width="297mm" height="210mm"' in svg
    assert re.search(r">Plan, 1:\d+<", svg)
    assert "6.10 m" in words(svg)
    assert (
        fit(20, 10, 700, 400, "metric").words == "1:50"
    )  # 20 ft at 1:50 is 4.8 in, at 1:25 9.6 in: too long
    assert fit(20, 10, 700, 400, "metric").per_ft == pytest.approx(100 * 12 / 50)


def test_a_name_is_never_markup():
    nasty = '<script>alert("x")</script>&amp;[red]🐸' + "w" * 400
    svg = drawing_svg(take_off(Design(nasty, ellipse(20, 14), (Step(18),))), "us")
    root = parts(svg)
    assert not list(root.iter(f"{SVG}script"))
    assert root.findtext(f"{SVG}title") == nasty
    assert any("<script>" in w for w in words(svg))


def test_section_runs_down_the_steps():
    cut = cut_section(layers(rectangle(20, 14), [Step(9, 12), Step(8, 18), Step(9)]), 0.0, 1.5)
    assert cut.length_ft == pytest.approx(23)
    depth = dict(zip((round(a, 3) for a, _ in cut.profile), (d for _, d in cut.profile), strict=True))

    def at(along: float) -> float:
        return depth[min(depth, key=lambda a: abs(a - along))]

    assert [at(x) for x in (1.0, 2.0, 3.0, 11.5)] == pytest.approx([0, 9 / 12, 17 / 12, 26 / 12])
    assert [spans[0] for spans in cut.walls] == [
        pytest.approx(s) for s in ((1.5, 21.5), (2.5, 20.5), (4, 19))
    ]
    # the area under the profile is that of the section: 20, 18 and 15 ft by the steps' heights
    area = sum((b[0] - a[0]) * (a[1] + b[1]) / 2 for a, b in zip(cut.profile, cut.profile[1:], strict=False))
    assert area == pytest.approx((20 * 9 + 18 * 8 + 15 * 9) / 12, rel=2e-3)


def test_battered_section_slopes():
    cut = cut_section(layers(rectangle(20, 14), [Step(24, batter=1)]), 0.0, 1.0)
    area = sum((b[0] - a[0]) * (a[1] + b[1]) / 2 for a, b in zip(cut.profile, cut.profile[1:], strict=False))
    assert area == pytest.approx((20 + 16) / 2 * 2, rel=0.02)  # drawn in 24 small steps


def test_lengths_as_written():
    assert [length_words(ft, "us") for ft in (0.0, 0.75, 1.0, 18.5, 11.9999, -2.0)] == [
        '0"',
        '9"',
        "1'-0\"",
        "18'-6\"",
        "12'-0\"",
        "-2'-0\"",
    ]
    assert length_words(10 + 5.5 / 12, "us") == "10'-5 1/2\""
    assert length_words(10.0, "metric") == "3.05 m"
    assert [short_words(9, u) for u in ("us", "metric")] == ['9"', "230 mm"]


def test_sketch_numbers_the_steps():
    rows = sketch(take_off(Design("s", rectangle(20, 10), (Step(9, 24), Step(9)))), 40)
    assert max(len(r) for r in rows) <= 41
    body = "".join(rows)
    # 16 x 6 of 20 x 10 ft lies on step 2
    assert body.count("2") / (body.count("1") + body.count("2")) == pytest.approx(96 / 200, abs=0.06)


def test_large_and_tiny_ponds_still_fit():
    for outline in (corners([(0, 0), (600, 0), (600, 200), (0, 200)]), ellipse(3, 2)):
        svg = drawing_svg(take_off(Design("size", outline, (Step(6),))), "us")
        assert all(0 <= x <= 1100 and 0 <= y <= 850 for x, y in path_spots(svg, "rim"))


def test_two_basins_are_both_drawn():
    demo = next(p for p in DEMO if p.stem == "corners_lower_yard")
    svg = drawing_svg(take_off(read_design(demo.read_text())), "us")
    edges = [p.get("d", "") for p in parts(svg).iter(f"{SVG}path") if p.get("class") == "edge"]
    assert any(d.count("M") == 2 for d in edges)


def test_section_length_matches_the_plan():
    cut = cut_section(layers(ellipse(18, 12), [Step(24)]), 0.0, 1.5)
    assert math.dist(cut.start, cut.end) == pytest.approx(21, abs=0.01)
    turned = replace(Design("t", ellipse(18, 12).turned(90), (Step(24),)))
    assert cut_section(layers(turned.outline, turned.steps), 90.0, 1.5).length_ft == pytest.approx(
        21, abs=0.01
    )


def test_the_house_line_tells_how_far_the_rim_is_from_each_end() -> None:
    """Against the nearest point of the ellipse as scipy finds it, to the half inch that a tape shows."""
    house = ((-12.0, -12.0), (8.0, -12.0))
    design = Design("h", ellipse(18, 12), (Step(18),), site=Site(house=house, north_deg=60.0))
    told = words(drawing_svg(take_off(design), "us"))
    for x, y in house:
        away = minimize_scalar(
            lambda t, x=x, y=y: math.hypot(9 * math.cos(t) - x, 6 * math.sin(t) - y),
            bounds=(-math.pi, 0),
            method="bounded",
        ).fun
        assert length_words(away, "us") in told
    assert "house line" in told and "N" in told


def test_without_a_house_or_north_nothing_of_them_is_drawn() -> None:
    told = words(drawing_svg(take_off(Design("h", ellipse(18, 12), (Step(18),))), "us"))
    assert "house line" not in told and "N" not in told


def test_the_title_block_names_job_client_and_revision_and_escapes_them() -> None:
    design = Design("t", ellipse(18, 12), (Step(18),))
    job = Job("P-1", "Ida <b>Moss</b>", "1 Hill Road")
    svg = drawing_svg(take_off(design), "us", title=title_of(job, date(2027, 4, 5), "North"))
    told = words(svg)
    for line in ("P-1, Ida <b>Moss</b>", "1 Hill Road", "for crew North, Mon Apr 5, 2027"):
        assert line in told
    assert f"sheet 1: plan and section, revision {revision_of(design)}" in told
    assert revision_of(replace(design, water_line_in=4.0)) != revision_of(design)


@pytest.mark.parametrize("path", DEMO, ids=lambda p: p.stem)
def test_no_number_of_setting_out_is_left_off_the_paper(path):
    design = read_design(path.read_text())
    told = words("".join(drawing_sheets(take_off(design), design.units)[1:2]))
    table = points_table(design.outline, design.units)
    for row in table[1] if table else []:
        assert all(cell in told for cell in row), row
    if table is None:
        joined = " ".join(told)
        for line in tape_words(design.outline, design.units):
            assert line in joined
    for level in levels_of(design).rows:
        assert level.name in told
    assert max(len(word) for word in told) < 60


def test_two_hundred_measured_points_take_further_sheets():
    ring = [(20 * math.cos(a), 14 * math.sin(a)) for a in (2 * math.pi * n / 400 for n in range(400))]
    design = Design("many points", corners(ring), (Step(18),))
    sheets = drawing_sheets(take_off(design), "us")
    assert len(sheets) > 2
    told = [word for sheet in sheets[1:] for word in words(sheet)]
    for n, (x, y) in enumerate(ring, 1):
        assert str(n) in told and length_words(x + 20, "us") in told and length_words(y + 14, "us") in told


def test_the_bench_marks_levels_are_the_sheets_words():
    """A laser set over a stake reads more by what stands below it: the rule of differential leveling."""
    design = read_design((DEMO[0].parent / "falls_and_stream.toml").read_text())
    told = words(drawing_sheets(take_off(design), "us")[1])
    assert told[told.index("lip 2") + 1 : told.index("lip 2") + 3] == ['-5"', '-8"']
    assert told[told.index("floor") + 1 : told.index("floor") + 3] == ['+27"', '+24"']
    assert "lip 2: 5 in above the rim, 8 in above the water line" in levels_of(design).told("us")
    pump = " ".join(told)
    assert "Fittings: 3 elbows 90°, 1 check valve, 1 union." in pump
    assert "12 joints to make" in pump
