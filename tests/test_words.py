"""One name per thing: words that gave way to another do not come back into code, help, pages or papers."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
#: Retired word (a regular expression, whole words, any case) -> the word that took its place.
RETIRED: dict[str, str] = {
    r"diggers?": "excavator",
    r"(?:viewing_)?ledges?(?:_\w+)?": "shelf",
    r"mend|mends|mended|mending": "fix",
    r"used from": "needed by",
    r"below the (?:best )?dispatch rule": "cheaper than sending the first free crew",
    r"how far from the (?:cheapest|best) possible": "can't say how close this is to the cheapest plan",
    r"hands only": "no machine access",
    r"comfortable|cautious": "P80, percentile_day",
    r"plan versions?|version_words": "plan, plan_words",
    r"slack days|days of float": "days to spare (counted), slack (aimed at)",
    r"colou?rs?(?<!color)(?<!colors)": "color",
    r"cent(?:re|res|red)": "center",
    r"behaviours?|neighbours?|metres?|favourites?|programmes?|cheques?": "the American spelling",
}
#: Where a retired word stays, and why: (beginning of a path, part of the line).
ALLOWED: tuple[tuple[str, str, str], ...] = (
    ("planner/", "digger.", "keys of rate rows: rate books on disk hold them"),
    ("planner/domain/design/read.py", '"ledge"', "a key of the design file: files on disk hold it"),
    ("planner/domain/design/read.py", '"viewing_ledge"', "the same"),
    ("planner/domain/design/form.py", "ledge_in = ", "writes the design file's key"),
    ("planner/domain/design/shelves.py", "viewing_ledge", "names the design file's key in a refusal"),
    ("planner/data/design_keys.toml", "ledge = ", "the same key in the guide"),
    ("planner/data/design_keys.toml", "viewing_ledge = ", "the same"),
    ("planner/data/guide/changes.md", "not a ledge", "tells of the change"),
    ("seed_demo/designs/", "ledge_", "the key in use"),
    ("README.md", "ledge_in = ", "the key in use"),
)
ENDINGS = {".py", ".md", ".toml", ".html", ".css", ".js"}


def papers() -> list[Path]:
    """Everything that is shipped or read: code, data, templates, demo, papers."""
    tops = [path for top in ("planner", "seed_demo") for path in (ROOT / top).rglob("*")]
    kept = [path for path in tops if path.suffix in ENDINGS and "__pycache__" not in path.parts]
    return sorted([*kept, ROOT / "README.md", ROOT / "DEVELOPERS.md"])


def is_allowed(place: str, line: str) -> bool:
    """True when the line may keep its word."""
    return any(place.startswith(path) and part in line for path, part, _ in ALLOWED)


@pytest.mark.parametrize("word", RETIRED)
def test_a_retired_word_does_not_come_back(word: str) -> None:
    # an identifier is read part by part: "_digger" and "wide_ledge" hold the word as well
    pattern = re.compile(rf"(?<![A-Za-z])(?:{word})(?![A-Za-z])", re.IGNORECASE)
    found = [
        f"{place}:{n}: {line.strip()[:100]}"
        for path in papers()
        for place in [path.relative_to(ROOT).as_posix()]
        for n, line in enumerate(path.read_text("utf-8").splitlines(), 1)
        if pattern.search(line) and not is_allowed(place, line)
    ]
    assert found == [], f"say {RETIRED[word]}: " + "; ".join(found)


@pytest.mark.parametrize(("path", "part", "why"), ALLOWED)
def test_every_exception_is_still_needed(path: str, part: str, why: str) -> None:
    texts = (p.read_text("utf-8") for p in papers() if p.relative_to(ROOT).as_posix().startswith(path))
    assert any(part in text for text in texts), f"no line needs it any more: {why}"
