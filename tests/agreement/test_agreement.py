"""One fact, one home: whatever two screens tell of it must be the same, in every invented season."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from typing import Any

import pytest

from tests.agreement.facts import KINDS, Fact, disagreements
from tests.agreement.open import OPEN, still_open
from tests.agreement.seasons import SEASONS, Shelf
from tests.agreement.telling import TELLERS, all_facts


@pytest.fixture(scope="module")
def shelf(tmp_path_factory: pytest.TempPathFactory) -> Shelf:
    return Shelf(tmp_path_factory.mktemp("seasons"))


@pytest.fixture(scope="module")
def told(shelf: Shelf) -> dict[str, list[Fact]]:
    """Every fact of every season, by season."""
    return {name: all_facts(shelf.desk(name)) for name in SEASONS}


def cases() -> Iterator[Any]:
    """Each season with each fact; those that are known to disagree must fail."""
    for season in SEASONS:
        for fact in KINDS:
            known = still_open(season, fact)
            marks = [pytest.mark.xfail(strict=True, reason=known)] if known else []
            yield pytest.param(season, fact, id=f"{season}: {fact}", marks=marks)


@pytest.mark.parametrize(("season", "fact"), list(cases()))
def test_all_who_tell_a_fact_tell_the_same(season: str, fact: str, told: dict[str, list[Fact]]) -> None:
    found = disagreements([f for f in told[season] if f.name == fact], season)
    assert not found, "\n" + "\n".join(found)


def test_what_is_open_is_about_seasons_and_facts_that_are_there() -> None:
    assert {o.fact for o in OPEN} <= set(KINDS)
    assert {name for o in OPEN for name in (*o.only, *o.but)} <= set(SEASONS)


def test_each_reader_still_finds_each_of_its_facts(told: dict[str, list[Fact]]) -> None:
    """A page that changed its words must not fall silent here."""
    found = {(f.teller, f.name) for facts in told.values() for f in facts}
    lost = [f"{t.name}: {name}" for t in TELLERS.values() for name in t.tells if (t.name, name) not in found]
    assert not lost, f"no season tells this any more, fix the reader: {sorted(lost)}"


def test_each_fact_is_told_by_two_at_least(told: dict[str, list[Fact]]) -> None:
    """A fact that one teller tells alone is compared with nothing."""
    company: dict[str, set[str]] = defaultdict(set)
    for facts in told.values():
        tellers: dict[tuple[str, str], set[str]] = defaultdict(set)
        for f in facts:
            tellers[f.name, f.key].add(f.teller)
        for (name, _), who in tellers.items():
            if len(who) > 1:
                company[name] |= who
    assert sorted(set(KINDS) - set(company)) == []
