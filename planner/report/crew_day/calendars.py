"""A calendar as an iCalendar file (RFC 5545, with names of RFC 7986), written by the icalendar library."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from planner import __version__
from planner.domain.office.events import Event
from planner.report.wording import one_line

if TYPE_CHECKING:
    from icalendar import Component


def calendar_file(name: str, events: Sequence[Event], time_zone: str, made_at: datetime) -> bytes:
    """The `.ics` content. time_zone: of the firm, for timed events; made_at: wall time there, for DTSTAMP.

    Line ends, escapes and folding at 75 octets are the library's; a VTIMEZONE is added for timed events.
    """
    from icalendar import Calendar

    zone = ZoneInfo(time_zone)
    stamp = made_at.replace(tzinfo=zone).astimezone(UTC)
    calendar = Calendar()
    calendar.add("prodid", f"-//planner//garden-pond season {__version__}//EN")
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    calendar.add("name", name)
    calendar.add("x-wr-calname", name)
    calendar.add("refresh-interval", timedelta(hours=12), parameters={"VALUE": "DURATION"})
    for event in events:
        calendar.add_component(_component(event, zone, stamp))
    years = [e.first_day.year for e in events] or [made_at.year]
    calendar.add_missing_timezones(date(min(years) - 1, 1, 1), date(max(years) + 2, 1, 1))
    content: bytes = calendar.to_ical()
    return content


def _component(event: Event, zone: ZoneInfo, stamp: datetime) -> Component:
    from icalendar import Event as Entry
    from icalendar import vRecur

    made = Entry()
    made.add("uid", event.uid)
    made.add("sequence", event.sequence)
    made.add("dtstamp", stamp)
    made.add("summary", clean(event.title))
    made.add("dtstart", _when(event.start, zone))
    made.add("dtend", _when(event.end, zone))
    if event.rule:
        made.add("rrule", vRecur.from_ical(event.rule))
    made.add("status", "CANCELLED" if event.cancelled else "CONFIRMED")
    made.add("transp", "TRANSPARENT" if not isinstance(event.start, datetime) else "OPAQUE")
    if event.place.strip():
        made.add("location", clean(event.place))
    if event.latitude_deg is not None and event.longitude_deg is not None:
        made.add("geo", (event.latitude_deg, event.longitude_deg))
    if event.text:
        made.add("description", "\n".join(clean(line) for line in event.text.splitlines()))
    return made


def _when(moment: datetime | date, zone: ZoneInfo) -> datetime | date:
    return moment.replace(tzinfo=zone) if isinstance(moment, datetime) else moment


def clean(text: str) -> str:
    """Text from people on one line: no control character may begin a line of its own in the file."""
    return one_line(text)


def calendar_data(events: Sequence[Event]) -> list[dict[str, object]]:
    """The events for `--json`."""
    return [
        {
            "uid": e.uid,
            "sequence": e.sequence,
            "status": "CANCELLED" if e.cancelled else "CONFIRMED",
            "title": e.title,
            "start": e.start.isoformat(),
            "end": e.end.isoformat(),
            "place": e.place,
        }
        for e in events
    ]
