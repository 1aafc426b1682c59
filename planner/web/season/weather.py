"""A forecast of the days ahead: what is kept, and the form that takes a new one in."""

from __future__ import annotations

from starlette.datastructures import UploadFile

from planner.errors import BadInput
from planner.web.desk import Go, Page, Visit

#: A forecast's file is at most this long here [bytes].
FORECAST_BYTES = 200_000


def weather(visit: Visit) -> Page:
    """The days ahead with their chance of being lost, and the form."""
    from planner.flow.forecast.weather import load_ahead
    from planner.report.crew_day.weather import day_lines

    kept = load_ahead(visit.location, visit.today)
    lines = day_lines(kept.forecast, kept.units, visit.today) if kept.forecast else []
    source = kept.forecast.source if kept.forecast else ""
    view = {
        "source": source[:1].upper() + source[1:],
        "forecast": kept.forecast,
        "why": kept.why,
        "lines": lines,
        "today": visit.today,
    }
    return Page("season/weather.html", view)


def take(visit: Visit) -> Go:
    """Check a file, or rows typed in its place, and keep it."""
    from planner.domain.firm import entry
    from planner.flow.forecast.weather import keep_forecast

    file = visit.form.get("file")
    sent = isinstance(file, UploadFile) and bool(file.filename)
    name = file.filename or "" if sent and isinstance(file, UploadFile) else "rows"
    raw = file.file.read(FORECAST_BYTES + 1) if isinstance(file, UploadFile) and sent else b""
    raw = raw or visit.typed("rows").encode()
    if not raw.strip():
        raise BadInput("file", "none", "choose the forecast's CSV file, or type its rows")
    if len(raw) > FORECAST_BYTES:
        raise BadInput("file", name[:40], f"it is longer than {FORECAST_BYTES} bytes: shorten it")
    made = entry.day("made", visit.typed("made"), visit.today) if visit.typed("made") else None
    keep_forecast(visit.location, name[:80], raw, visit.today, place=visit.typed("place"), made=made)
    return Go("/weather", "kept: today, sheets, the office's list and the chances go by it")


def drop(visit: Visit) -> Go:
    """Put the kept forecast away."""
    from planner.flow.forecast.weather import drop_forecast

    drop_forecast(visit.location)
    return Go("/weather", "put away: rain and frost go by the climate's figures")


#: (address, what answers, whether it writes)
PAGES = (
    ("/weather", weather, False),
    ("/weather/take", take, True),
    ("/weather/drop", drop, True),
)
