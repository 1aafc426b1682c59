"""How likely each promise is kept: the season played as usual or as asked; the firm's own rain gauge."""

from __future__ import annotations

from functools import partial

from planner.domain.firm import entry
from planner.report.terminal import as_text
from planner.web.desk import Go, Page, Visit, told
from planner.web.work import Stopped, Tell

#: A gauge's file is at most this long [bytes]: it has twelve lines.
GAUGE_BYTES = 20_000
#: How often a season is played unless the form says otherwise.
SEASONS = 1000


def ask(visit: Visit) -> Page:
    """The form of a season played otherwise, and the climate stations at hand."""
    from planner.flow.forecast.climate import all_stations
    from planner.flow.season.plans import plan_heads
    from planner.report.forecast.climate import stations_page

    stations = all_stations(visit.location)
    view = {
        "stations": [station.name for station in stations],
        "text": as_text(lambda console: stations_page(console, stations), 110),
        "heads": sorted((head.number for head in plan_heads(visit.location)), reverse=True),
        "seasons": SEASONS,
    }
    return Page("season/chances.html", view)


def chance(visit: Visit) -> Go:
    """Play the season many times: how likely each promise is kept."""
    from planner.flow.forecast.chance import chances
    from planner.flow.season.limits import check_played
    from planner.report.forecast.chance import chance_page, kept_words
    from planner.report.wording import plan_words

    seasons = entry.whole("seasons", visit.typed("seasons") or str(SEASONS))
    seed = entry.whole("seed", visit.typed("seed") or "1")
    check_played(seasons, seed, dash="")
    wet, carried = visit.typed("per_wet_day").strip(), visit.typed("carry_over").strip()
    number, early = visit.number("plan"), visit.typed("early") == "yes"
    play = partial(
        chances,
        *(visit.location, visit.now),
        seasons=seasons,
        seed=seed,
        number=number,
        station=visit.typed("station") or None,
        per_wet_day=entry.number("per wet day", wet) if wet else None,
        carry_over=entry.number("carry over", carried) if carried else None,
        early=early,
        quick=visit.typed("quick") == "yes",
    )
    desk, usual = visit.desk, not (number or early or wet or carried or visit.typed("station"))

    def work(tell: Tell, _stopped: Stopped) -> Page:
        tell(f"playing the season {seasons:,} times ...")
        found = play()
        name = plan_words(found.plan.number, found.plan.published_at is not None).capitalize()
        text = as_text(
            lambda console: chance_page(
                *(console, found.outlook, name, found.basis),
                raises=found.raises,
                unplayed=found.unplayed,
                moved=found.moved,
            )
        )
        if usual:
            desk.keep_chances(kept_words(found.outlook))
        ways = (("The season with these chances", "/season"),) if usual else ()
        return told("Chances of the promises", text, "/plan/chances", ways=ways)

    visit.desk.work.begin("playing the season", visit.who, work)
    return Go("/work")


def station(visit: Visit) -> Go:
    """Keep the firm's own rain gauge: wet days a month from a CSV file."""
    from planner.flow.forecast.climate import keep_gauge
    from planner.report.forecast.climate import gauge_words

    name, raw = visit.upload(GAUGE_BYTES, "choose the gauge's CSV file: month, wet_days")
    return Go("/plan/chances", gauge_words(name, keep_gauge(visit.location, name, raw)))


#: (address, what answers, whether it writes)
PAGES = (
    ("/plan/chance", chance, False),
    ("/plan/chances", ask, False),
    ("/plan/chances/station", station, True),
)
