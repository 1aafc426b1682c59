"""The forecast that today's screens go by: the one kept beside the database, while it tells of days ahead."""

from __future__ import annotations

from datetime import date

from planner.domain.firm.firm import Firm
from planner.domain.safety.weather import ForecastFile, check_place, why_not_used
from planner.errors import BadInput
from planner.store.shipped.own_file import folder_of
from planner.store.shipped.weather import FILE, kept_forecast


def forecast_in_force(location: str, firm: Firm, today: date) -> ForecastFile | None:
    """The kept forecast; None where none is kept, it is too old or the firm is elsewhere."""
    kept, why = forecast_and_why(location, firm, today)
    return None if why else kept


def forecast_mark(location: str) -> int:
    """What changes when another forecast is kept [ns]; 0 where none is."""
    folder = folder_of(location)
    file = folder / FILE if folder else None
    return file.stat().st_mtime_ns if file and file.is_file() else 0


def forecast_and_why(location: str, firm: Firm, today: date) -> tuple[ForecastFile | None, str]:
    """The kept forecast, and why it is not used, "" when it is."""
    kept = kept_forecast(folder_of(location), today)
    if kept is None:
        return None, "none is kept"
    try:
        check_place(kept.place, firm)
    except BadInput as fault:
        return kept, f"it is for {kept.place}; {fault.fix}"
    return kept, why_not_used(kept.made, max(kept.days, default=kept.made), today)
