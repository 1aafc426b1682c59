"""The tables of a design file that ask for life in the pond.

In: a `Table`, None when the file leaves it out. Out: that part of a `Design`; faults stay with the table.
"""

from __future__ import annotations

from datetime import date

from planner.domain.design.living import PLANT_IN, Bog, Fish, Plant, Uv, Winter
from planner.domain.design.measures import Table


def fish_of(t: Table | None) -> Fish | None:
    """Fish when they are grown."""
    if t is None:
        return None
    made = Fish(
        count=t.whole("count", 0, 0, 5000),
        length_in=t.have("length", "in", 0.5, 48.0, 8.0),
        feed_share=t.number("feed_percent", 1.0, 0.0, 5.0) / 100.0,
        box_media_ft2=t.have("box_media", "ft2", 0.0, 100_000.0, 0.0),
    )
    t.close()
    return made


def bog_of(t: Table | None) -> Bog | None:
    """A gravel filter with plants."""
    if t is None:
        return None
    usual = Bog()
    made = Bog(
        area_ft2=t.have("area", "ft2", 0.0, 10_000.0, 0.0),
        deep_in=t.have("deep", "in", 6.0, 60.0, usual.deep_in),
        stone_in=t.have("stone", "in", 0.1, 3.0, usual.stone_in),
        contact_min=t.number("contact_min", usual.contact_min, 1.0, 240.0),
        flow_share=t.number("flow_percent", 100.0, 1.0, 100.0) / 100.0,
    )
    t.close()
    return made


def plants_of(tables: list[Table]) -> tuple[Plant, ...]:
    """The planting list."""
    return tuple(_plant(t, n) for n, t in enumerate(tables, start=1))


def _plant(t: Table, number: int) -> Plant:
    made = Plant(
        name=t.text("name", f"plant {number}"),
        kind=t.word("kind", tuple(PLANT_IN), "marginal"),
        count=t.whole("count", 1, 1, 5000),
        pot_in=t.have("pot", "in", 0.0, 36.0, 0.0),
    )
    t.close()
    return made


def uv_of(t: Table | None) -> Uv | None:
    """Ultraviolet as an option."""
    if t is None:
        return None
    made = Uv(watts_1000_gal=t.number("watts_per_1000_gal", Uv().watts_1000_gal, 1.0, 100.0))
    t.close()
    return made


def winter_of(t: Table | None) -> Winter | None:
    """Frost dates, written month-day, and the visits."""
    if t is None:
        return None
    last, first = (_day(t, key) for key in ("last_frost", "first_frost"))
    if last and first and last >= first:
        fix = "spring's last frost comes before autumn's first: write them like 04-25 and 10-20"
        t.fault("first_frost", t.data.get("first_frost"), fix)
    closing, opening = (t.word(key, ("yes", "no"), "yes") == "yes" for key in ("closing", "opening"))
    t.close()
    return Winter(last or (4, 30), first or (10, 15), closing, opening)


def _day(t: Table, key: str) -> tuple[int, int] | None:
    text = t.text(key, "")
    try:
        day = date.fromisoformat(f"2001-{text}")
    except ValueError:
        if t.data:
            t.fault(key, text or "missing", 'write month and day, like "04-25", for the nearest gauge')
        return None
    return day.month, day.day
