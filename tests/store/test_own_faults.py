"""A firm's own data files: every fault is told at once, each with its place."""

from __future__ import annotations

from pathlib import Path

import pytest

from planner.errors import BadInputs
from planner.store.shipped.leads import lead_times
from planner.store.shipped.locates import locate_rules
from planner.store.shipped.rules import phase_rules

RULES = """
[liner]
skills = ["juggling"]
[rock]
follows = [{ before = "fill" }, { before = "tea" }]
"""
LEADS = """
[[lead]]
key = "a"
words = "stone"
materials = ["boulder_small"]
lead_days = 300
spare_days = 0
[[lead]]
key = "b"
words = "liner"
materials = ["silk"]
lead_days = 3
spare_days = 0
"""
LOCATES = """
[[rule]]
state = "XX"
words = "x"
notice = 2
notice_unit = "moons"
source = "s"
as_of = "2026"
seen = "law"
[[rule]]
state = "YY"
words = "y"
notice = "two"
notice_unit = "hours"
source = "s"
as_of = "2026"
seen = "law"
shade = "red"
"""


@pytest.mark.parametrize(
    ("name", "text", "read", "faults"),
    [
        ("phase_rules.toml", RULES, phase_rules, ["juggling", "fill", "tea"]),
        ("lead_times.toml", LEADS, lead_times, ["300", "silk"]),
        ("locates.toml", LOCATES, locate_rules, ["moons", "rule[1].notice", "rule[1].shade"]),
    ],
)
def test_all_faults_of_a_file_are_told_at_once(
    tmp_path: Path, name: str, text: str, read: object, faults: list[str]
) -> None:
    (tmp_path / name).write_text(text, "utf-8")
    with pytest.raises(BadInputs) as refused:
        read(tmp_path)  # type: ignore[operator]
    lines = str(refused.value).splitlines()
    assert len(lines) == len(faults)
    for line, fault in zip(lines, faults, strict=True):
        assert fault in line
