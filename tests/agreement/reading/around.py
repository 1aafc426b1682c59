"""What stands around the crews' work: people from outside, told by board, morning, list, sheet, calendar."""

from __future__ import annotations

import re
from itertools import takewhile

from planner.domain.firm.jobs import TRADES
from tests.agreement.desk import Desk
from tests.agreement.telling import Told, day_of, flat, iso, teller

WHO = "|".join(kind.value for kind in TRADES)
_LINE = re.compile(
    rf"(?P<day>\w{{3}} \w{{3}} \d+)(?:, (?:morning|afternoon))?: (?P<who>{WHO}) at (?P<job>[\w-]+)"
    r"(?P<rest>[^\n]*)"
)


def told_lines(desk: Desk, text: str) -> Told:
    """Lines like "Tue Apr 13, morning: crane at P-014, rock Tue Apr 13: misfit"."""
    for found in _LINE.finditer(text):
        key = f"{found['job']} {found['who']}"
        yield "comes", key, day_of(found["day"], desk)
        yield "comes in vain", key, ":" in found["rest"]


@teller("board --json, around", "comes", "comes in vain")
def board_json(desk: Desk) -> Told:
    """Who comes in each week."""
    for monday in desk.weeks:
        for row in desk.data("board", "--week", monday)["from_outside"]:
            yield "comes", f"{row['job']} {row['who']}", iso(row["day"])
            yield "comes in vain", f"{row['job']} {row['who']}", bool(row["misfit"])


@teller("board, around", "comes", "comes in vain")
def board_text(desk: Desk) -> Told:
    """The same on the terminal."""
    for monday in desk.weeks:
        yield from told_lines(desk, desk.text("board", "--week", monday))


@teller("board page, around", "comes", "comes in vain")
def board_page(desk: Desk) -> Told:
    """The same on the page."""
    for monday in desk.weeks:
        yield from told_lines(desk, flat(desk.page("board", "--week", monday)))


@teller("web: week, around", "comes", "comes in vain")
def web_week(desk: Desk) -> Told:
    """The same in the browser."""
    for monday in desk.weeks:
        yield from told_lines(desk, flat(desk.web(f"/week?day={monday}")))


@teller("today, around", "comes", "comes in vain")
def today(desk: Desk) -> Told:
    """The morning on the terminal and in the browser."""
    yield from told_lines(desk, desk.text("today"))
    yield from told_lines(desk, flat(desk.web("/")))
    for row in desk.data("today")["from_outside"]:
        yield "comes", f"{row['job']} {row['who']}", iso(row["day"])


@teller("job show, around", "comes")
def job_show(desk: Desk) -> Told:
    """The gates of each job."""
    for code in desk.jobs:
        text = re.sub(r"\s+", " ", desk.text("job", "show", code))
        for who, day in re.findall(rf"gate ({WHO}) \(comes (\w{{3}} \w{{3}} \d+)", text):
            yield "comes", f"{code} {who}", day_of(day, desk)


@teller("office list, around", "comes", "comes in vain")
def office(desk: Desk) -> Told:
    """The dated appointments of the list."""
    for item in desk.data("office", "list", "--all"):
        who, _, rest = item["key"].partition(":")
        who = who.replace("-", " ")
        if re.fullmatch(WHO, who) and ":" in rest and not item["state"]:
            yield "comes", f"{item['job']} {who}", iso(item["due"])
            yield "comes in vain", f"{item['job']} {who}", bool(item["pressing"])


@teller("sheet, around", "comes")
def sheet(desk: Desk) -> Told:
    """Who arrives on a day's sites."""
    for crew in desk.crews:
        for monday in desk.weeks:
            sheets = desk.data("sheet", crew, monday, "--week")
            for one in sheets if isinstance(sheets, list) else [sheets]:
                for line in one["arrives"]:
                    found = re.match(rf"([\w-]+): ({WHO})\b", line)
                    if found:
                        yield "comes", f"{found[1]} {found[2]}", iso(one["day"])


@teller("calendar, around", "comes")
def calendar(desk: Desk) -> Told:
    """The firm's calendar."""
    for event in desk.data("calendar"):
        found = re.fullmatch(rf"([\w-]+) ({WHO}) comes", event["title"])
        if found and event["status"] != "CANCELLED":
            yield "comes", f"{found[1]} {found[2]}", iso(event["start"])


_WEATHER = re.compile(
    r"(?:Weather )?(\w{3} \w{3} \d+) +(rain \d+ %.*?wind \d+ (?:mph|km/h)); day lost (\d+) %"
)


def told_weather(desk: Desk, text: str) -> Told:
    """Lines like "Thu Apr 8  rain 80 %, 0.6 in; 38 to 52 F; wind 22 mph; day lost 56 %"."""
    for day, words, lost in _WEATHER.findall(re.sub(r"[ \n]+", " ", text)):
        yield "weather", day_of(day, desk).isoformat(), words
        yield "day lost", day_of(day, desk).isoformat(), float(lost), 0.51


@teller("weather show", "weather", "day lost")
def weather(desk: Desk) -> Told:
    """The kept forecast, on the terminal, in the browser and as data."""
    yield from told_weather(desk, desk.text("weather", "show"))
    yield from told_weather(desk, flat(desk.web("/weather")))
    for row in desk.data("weather", "show")["days"]:
        yield "day lost", row["day"], 100 * row["lost_chance"]


@teller("board, weather", "weather", "day lost")
def board_weather(desk: Desk) -> Told:
    """The week's weather on board, its page and its data."""
    for monday in desk.weeks:
        yield from told_weather(desk, desk.text("board", "--week", monday))
        yield from told_weather(desk, flat(desk.page("board", "--week", monday)))
        for row in desk.data("board", "--week", monday)["weather"]:
            yield "day lost", row["day"], 100 * row["lost_chance"]


@teller("web: week, weather", "weather", "day lost")
def week_weather(desk: Desk) -> Told:
    """The same in the browser."""
    for monday in desk.weeks:
        yield from told_weather(desk, flat(desk.web(f"/week?day={monday}")))


@teller("today, weather", "weather", "day lost")
def today_weather(desk: Desk) -> Told:
    """The morning: today's weather, and the days that rain may take."""
    for text in (desk.text("today"), flat(desk.web("/"))):
        said = re.sub(r"\s+", " ", text)
        found = re.search(r"Weather: (rain \d+ %.*?wind \d+ (?:mph|km/h)) \(forecast", said)
        if found:
            yield "weather", desk.now.date().isoformat(), found[1]
        for day, lost in re.findall(r"(\w{3} \w{3} \d+): rain may take the day, (\d+) % likely", said):
            yield "day lost", day_of(day, desk).isoformat(), float(lost), 0.51


@teller("sheet, weather", "weather", "day lost")
def sheet_weather(desk: Desk) -> Told:
    """What a crew reads of its day."""
    for crew in desk.crews:
        for monday in desk.weeks:
            found = desk.data("sheet", crew, monday, "--week")
            for one in found if isinstance(found, list) else [found]:
                for said in (line["text"] for line in one["weather"]):
                    told = re.match(r"Weather: (rain .*?wind \d+ (?:mph|km/h)) \(", said)
                    lost = re.match(r"Rain may take the day, (\d+) % likely", said)
                    if told:
                        yield "weather", one["day"], told[1]
                    if lost:
                        yield "day lost", one["day"], float(lost[1]), 0.51


@teller("office list, weather", "day lost")
def office_weather(desk: Desk) -> Told:
    """The days that the office may call off."""
    for item in desk.data("office", "list", "--all"):
        lost = re.search(r"(\w{3} \w{3} \d+) may be lost to rain, (\d+) % likely", item["what"])
        if lost:
            yield "day lost", day_of(lost[1], desk).isoformat(), float(lost[2]), 0.51


@teller("deliveries --json", "delivered on")
def deliveries(desk: Desk) -> Told:
    """All deliveries to come."""
    for row in desk.data("deliveries", "list", "--days", 300)["deliveries"]:
        for drop in row["jobs"]:
            yield "delivered on", f"{drop['job']} {row['words']}", iso(row["day"])


@teller("deliveries", "delivered on")
def deliveries_text(desk: Desk) -> Told:
    """The same on the terminal and in the browser: day, then order, then one line a job."""
    for text in (
        desk.text("deliveries", "list", "--days", 300),
        flat(desk.web("/office/deliveries?days=300")).partition("So many days")[2],
    ):
        day, order = None, ""
        for line in text.splitlines():
            what = re.match(r" *(?:! late: )?([a-z][^:]*?), (?:\d+ |loads not)", line)
            job = re.match(r" *- ([\w-]+)(?: at the site)?: ", line)
            if re.match(r"\w{3} \w{3} \d+, \d{4}", line):
                day = day_of(line, desk)
            elif what:
                order = re.split(" from ", what[1])[0]
            elif job and job[1] in desk.jobs and day:
                yield "delivered on", f"{job[1]} {order}", day


@teller("sheet, deliveries", "delivered on")
def sheet_deliveries(desk: Desk) -> Told:
    """What arrives on a crew's sites."""
    for crew in desk.crews:
        for monday in desk.weeks:
            found = desk.data("sheet", crew, monday, "--week")
            for one in found if isinstance(found, list) else [found]:
                for line in one["arrives"]:
                    job, _, rest = line.partition(": ")
                    if "; drop it " in rest and iso(one["day"]) >= desk.now.date():
                        yield "delivered on", f"{job} {re.split(': | from ', rest)[0]}", iso(one["day"])


@teller("hours --dollars --json", "labor at the end")
def dollars_json(desk: Desk) -> Told:
    """Labor in dollars as data; beside it the hours x the hands of a job that one crew size does."""
    for row in desk.data("hours", "--dollars")["jobs"]:
        yield "labor at the end", row["job"], row["end_usd"]
        yield (
            "labor at the end",
            row["job"],
            sum(p["worked_usd"] + p["left_usd"] for p in row["phases"]),
            0.01,
        )


@teller("hours --dollars", "labor at the end")
def dollars_text(desk: Desk) -> Told:
    """The same on the terminal and in the browser, in whole dollars."""
    for line in takewhile(lambda line: "material" not in line, desk.lines("hours", "--dollars")):
        cells = line.split()
        if cells and cells[0] in desk.jobs and len(cells) > 5:
            yield "labor at the end", cells[0], float(cells[5].replace(",", "")), 0.51
    table = re.search(r'(?s)aria-label="Dollars by job">.*?</table>', desk.web("/hours/owner"))
    for row in re.findall(r"(?s)<tr>(.*?)</tr>", table[0] if table else ""):
        cells = [flat(cell) for cell in re.findall(r"(?s)<td[^>]*>(.*?)</td>", row)]
        if cells and cells[0] in desk.jobs:
            yield "labor at the end", cells[0], float(cells[5].replace(",", "")), 0.51
