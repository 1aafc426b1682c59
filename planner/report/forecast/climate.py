"""The climate stations as a page."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from planner.report.terminal import say, show_table

if TYPE_CHECKING:
    from rich.console import Console

    from planner.domain.forecast.climate import Station

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def gauge_words(name: str, station: Station) -> str:
    """What a firm's own gauge comes to. name: of its file."""
    return f"kept {name} as your own station: {sum(station.wet_days):.1f} wet days a year"


def stations_page(console: Console, stations: Sequence[Station]) -> None:
    """Each station's mean wet days by month, and their sources once."""
    from rich.table import Table
    from rich.text import Text

    table = Table(box=None, pad_edge=False, padding=(0, 1, 0, 0))
    table.add_column("station", no_wrap=True)
    for month in MONTHS:
        table.add_column(month, justify="right", no_wrap=True)
    for station in stations:
        cells = [f"{days:.1f}" for days in station.wet_days]
        table.add_row(Text(station.name), *cells)
    show_table(console, table)
    for source in dict.fromkeys(f"{s.period}: {s.source}" for s in stations):
        say(console, f"days with 0.10 in of rain or more, {source}")
