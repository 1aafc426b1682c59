"""The judge's rules of visits: one day, in the part of it that was promised, by a crew with its hands."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import time

from planner.domain.dates import moment_words
from planner.domain.season.case import Breach, Case

#: part of the day -> from when on the clock, until when (midnight: the day's end)
_PARTS = {"morning": (time(0), time(12)), "afternoon": (time(12), time(0))}


def _one_day(case: Case) -> Iterator[Breach]:
    """A visit begins and ends on one day, in the part of the day that was promised."""
    for key, booking in case.booked.items():
        work = case.season.works[key]
        if not work.one_day or work.fixed is not None:
            continue
        begin, end = booking.start, booking.end
        if begin.date() != end.date():
            text = f"{key.words} begins {moment_words(begin)}, ends {moment_words(end)}: a visit is one day's"
            yield Breach("one day", key, text)
        part = case.season.jobs[key.job].day_part.value
        opens, shuts = _PARTS.get(part, (time(0), time(0)))
        if begin.time() < opens or (shuts > time(0) and (end.time() > shuts or begin.time() >= shuts)):
            text = f"{key.words} is {begin:%H:%M} to {end:%H:%M}, promised for the {part}"
            yield Breach("part of the day", key, text)


def _enough_hands(case: Case) -> Iterator[Breach]:
    """A visit's crew has the hands that it asks for."""
    for key, booking in case.booked.items():
        work, crew = case.season.works[key], case.season.crews.get(booking.crews[0])
        asked = case.season.jobs[key.job].hands
        if work.one_day and work.fixed is None and crew is not None and crew.size < asked:
            yield Breach("hands", key, f"{key.words} asks for {asked} hands, {crew.name} has {crew.size}")


#: rule group -> the function that looks for it
VISITS: dict[str, Callable[[Case], Iterator[Breach]]] = {"one day": _one_day, "hands": _enough_hands}
