"""No words of a drawing over other words or past its frame, at twelve designs, by the browser's boxes."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from planner.domain.design.design import Design
from planner.domain.design.read import read_design
from planner.domain.quantities.takeoff import take_off
from planner.report.design.drawing import drawing_sheets

pytestmark = pytest.mark.browser
DEMO = sorted((Path(__file__).parents[3] / "seed_demo" / "designs").glob("*.toml"))
OVERLAPS = """() => {
  const boxes = [...document.querySelectorAll('text')].filter(e => e.textContent.trim())
    .map(e => [e.textContent, e.getBoundingClientRect()]);
  const found = [];
  boxes.forEach(([a, r], i) => boxes.slice(0, i).forEach(([b, s]) => {
    const wide = Math.min(r.right, s.right) - Math.max(r.left, s.left);
    const high = Math.min(r.bottom, s.bottom) - Math.max(r.top, s.top);
    if (wide > 1.5 && high > 3) found.push(`${a} over ${b}`);
  }));
  const frame = document.querySelector('.frame').getBoundingClientRect();
  const out = boxes.filter(([, r]) => r.left < frame.left || r.right > frame.right - 2
    || r.top < frame.top || r.bottom > frame.bottom).map(([a]) => a);
  return [boxes.length, found, out];
}"""


def designs() -> list[Design]:
    """The demo's ten, and two of them seen by a firm that measures the other way."""
    found = [read_design(path.read_text("utf-8")) for path in DEMO]
    turned = [replace(d, units="metric" if d.units == "us" else "us") for d in found]
    return [*found, *(d for d in turned if d.falls is not None)][:12]


@pytest.mark.parametrize("number", range(12))
def test_no_label_lies_over_another(chromium, tmp_path: Path, number: int) -> None:
    design = designs()[number]
    page = chromium.new_page(viewport={"width": 1200, "height": 900})
    for n, sheet in enumerate(drawing_sheets(take_off(design), design.units), 1):
        drawing = tmp_path / f"drawing-{n}.svg"
        drawing.write_text(sheet, encoding="utf-8")
        page.goto(drawing.as_uri())
        count, over, out = page.evaluate(OVERLAPS)
        assert count > 30
        assert (over, out) == ([], []), f"sheet {n}"
    page.close()
