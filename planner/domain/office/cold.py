"""Frost on the office's list: work that it may spoil, and the visits before winter and in spring.

In: the desk with its forecast; the frost dates of each kept design. Out: items. Temperatures are the makers'
usual limits for foam, sealant and cement (40 F, common practice: the can's own sheet wins).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date

from planner.domain.dates import day_words, long_day
from planner.domain.design.living import Winter
from planner.domain.firm.phases import Phase
from planner.domain.office.items import Desk, Kind, OfficeItem
from planner.domain.season.plan import Booking

#: What frost does to each phase, as the office must know it.
_SPOILS = {
    Phase.ROCK: "stone foam does not cure below 40 F",
    Phase.PLUMBING: "sealant and cement want 40 F and dry faces",
    Phase.FILL: "no water stands in lines overnight, plants wait",
}
#: Days before the first frost by which the closing visit is agreed.
_AGREE_DAYS = 10


def frost_items(desk: Desk) -> Iterator[OfficeItem]:
    """One item a job whose planned work may meet frost, due on the first such day."""
    winters = dict(_winters(desk))
    for code in sorted({b.job for b in desk.bookings().values()}):
        met: dict[Phase, date] = {}
        for b in desk.bookings().values():
            day = _frosty_day(desk, b, winters.get(code)) if b.job == code and b.phase in _SPOILS else None
            if day is not None:
                met[b.phase] = min(day, met.get(b.phase, day))
        if met:
            told = "; ".join(f"{p.words} {day_words(met[p])}: {_SPOILS[p]}" for p in _SPOILS if p in met)
            words = f"frost may come at {code} {_frost_words(desk, winters.get(code), met.values())}: {told}"
            yield OfficeItem(f"frost:{code}", Kind.FROST, min(met.values()), code, words)


def _frosty_day(desk: Desk, booking: Booking, winter: Winter | None) -> date | None:
    """The work's first day that may see frost: by the forecast if it tells of it, else by the climate."""
    first, last, told = booking.start.date(), booking.end.date(), desk.forecast
    if told is not None:
        for day, one in told.days.items():
            if max(first, desk.today) <= day <= last and one.frosty:
                return day
        if told.on(first) is not None:
            return None
    return first if winter is not None and winter.frosty(first) else None


def _frost_words(desk: Desk, winter: Winter | None, days: Iterable[date]) -> str:
    """What says so: the forecast, where it tells of every such day; the climate; or both."""
    told = desk.forecast
    if told is not None and all(told.on(day) for day in days):
        return f"by the {told.source}"
    climate = f"until {winter.words(winter.last)} and from {winter.words(winter.first)}" if winter else ""
    return f"{climate}, and by the {told.source}" if told and any(map(told.on, days)) else climate


def visit_items(desk: Desk) -> Iterator[OfficeItem]:
    """The closing visit before the first frost after the job's end, and the opening visit in spring."""
    for code, winter in _winters(desk):
        job = desk.season.jobs[code]
        ends = [b.end.date() for b in desk.bookings().values() if b.job == code]
        if not ends:
            continue
        frost = winter.first_after(max(ends))
        spring = date(frost.year + 1, *winter.last)
        if job.amount("winter_closings"):
            due = desk.working_days_before(frost, _AGREE_DAYS)
            day = day_words(frost)
            words = f"agree the closing visit at {code} before {day}, the first frost: planner guide design"
            yield OfficeItem(f"winter:{code}:{frost.year}", Kind.VISIT, due, code, words)
        if job.amount("spring_openings"):
            due = desk.working_days_before(spring, _AGREE_DAYS)
            words = f"agree the opening visit at {code} after {long_day(spring)}, the last frost"
            yield OfficeItem(f"spring:{code}:{spring.year}", Kind.VISIT, due, code, words)


def _winters(desk: Desk) -> Iterator[tuple[str, Winter]]:
    for code, design in desk.designs.items():
        if design.winter is not None and code in desk.season.jobs:
            yield code, design.winter
