"""The invented seasons, each typed in as a contractor would, each from a copy of an earlier one.

    @season("the crew is sick", after="published", now="2027-04-06T06:45")
    def sick(desk: Desk) -> None: desk("lost", "sick", "Red", "2027-04-06")

A new season: one such function.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path

from planner.domain.crew_day.returned import ReturnedSheet, ReturnedTask, encode
from planner.domain.firm.phases import Phase
from tests.agreement.desk import Desk

MONDAY = "2027-04-05T06:45"
TUESDAY = "2027-04-06T06:45"
#: Steps of every search: the same plan on every computer.
STEPS = 300
SKILLS = "excavator,stonework,plumbing"
POND = """
name = "{name} (invented)"
water_line_in = 3
[outline]
shape = "ellipse"
length_ft = {long}
width_ft = 9
[[step]]
down_in = 10
ledge_in = 14
[[step]]
down_in = {down}
[waterfall]
drops_in = [12]
lip_in = 20
[skimmer]
at_ft = [-8, 0]
[waterfall_box]
at_ft = [8, 0]
"""
#: What a design may ask for besides the pond.
BESIDES = """
[closing]
mats_ft = 40
fence_ft = 60
toilets = 1
lawn_seed_ft2 = 300
mulched_beds_ft2 = 90
paving_ft2 = 120
rubbish_cy = 2
[ground_water]
days = 2
inflow_gpm = 3
[storm]
place = "Farrow (invented)"
intensity_in_h = 6
source = "invented"
runoff_ft2 = 3000
[town_water]
chlorine_mg_l = 1.5
drain_down_percent = 20
[evaporation]
pan_month_in = 7
auto_fill = "yes"
line_ft = 40
[[pump]]
name = "quiet (invented)"
curve_gpm_ft = [[0, 16], [60, 9], [90, 0]]
watts = 180
price_usd = 400
[power]
cable_ft = 70
trench_ft = 30
tariff_usd_kwh = 0.16
[placing]
dolly_lb = 600
[[boulder]]
name = "seat"
weight_lb = 480
[footing]
length_ft = 5
width_ft = 4
[fish]
count = 3
length_in = 8
[uv]
[[plant]]
name = "iris"
kind = "marginal"
count = 4
pot_in = 2
[winter]
last_frost = "04-20"
first_frost = "10-20"
"""
#: A pond that was measured without a design.
MEASURED = {
    "dig_machine_cy": 6,
    "dig_hand_cy": 1,
    "filter_boxes": 2,
    "liner_ft2": 300,
    "boulder_medium_ton": 2,
    "pipe_ft": 30,
    "connections": 4,
    "fill_gal": 900,
    "hose_gpm": 10,
    "edge_ft": 40,
}


@dataclass(frozen=True, slots=True)
class Season:
    """One season: from which other it starts, the moment, and what is typed."""

    name: str
    after: str | None
    now: str
    build: Callable[[Desk], None]


SEASONS: dict[str, Season] = {}


def season(
    name: str, *, after: str | None = "published", now: str = MONDAY
) -> Callable[[Callable[[Desk], None]], Callable[[Desk], None]]:
    """Enter a season into the list."""

    def enter(build: Callable[[Desk], None]) -> Callable[[Desk], None]:
        assert name not in SEASONS, name
        SEASONS[name] = Season(name, after, now, build)
        return build

    return enter


class Shelf:
    """The seasons that were built so far, each in a folder of its own."""

    def __init__(self, folder: Path) -> None:
        """folder: an empty one."""
        self.folder = folder
        self._built: dict[str, Desk] = {}

    def desk(self, name: str) -> Desk:
        """The season of that name, built when it is asked for the first time."""
        if name not in self._built:
            told, now = SEASONS[name], datetime.fromisoformat(SEASONS[name].now)
            place = self.folder / f"{len(self._built):02}-{name.replace(' ', '-')}"
            if told.after is None:
                place.mkdir()
                desk = Desk(name, place, now)
            else:
                before = self.desk(told.after)
                place = self.folder / f"{len(self._built):02}-{name.replace(' ', '-')}"
                desk = before.copied(name, place, now)
            told.build(desk)
            self._built[name] = desk
        return self._built[name]


def survey(desk: Desk, job: str, **measures: object) -> None:
    """Write a design file and take the job's quantities off it."""
    path = desk.folder / f"{job}.toml"
    path.write_text(POND.format(**{"name": f"Pond {job}", "long": 12, "down": 14} | measures), "utf-8")
    desk("design", "take-off", path, job, "--yes")
    desk.designs[job] = path


def sell(desk: Desk, code: str, promised: str, **more: float) -> None:
    """A sold job with measured quantities."""
    words = [w for item, much in (MEASURED | more).items() for w in ("-q", f"{item}={much:g}")]
    desk("job", "add", code, f"Client {code[-1]} (invented)", "--promised", promised, *words)


#: Day of April, chance of rain [percent], rain [in], low [F]: invented.
WEATHER = [(5, 10, 0.05, 41), (6, 90, 1.2, 38), (7, 20, 0.1, 30), (8, 0, 0, 40), (12, 60, 0.5, 45)]


def ask_for_marks(desk: Desk, *jobs: str) -> None:
    """Call the one-call center for the jobs and tick it off."""
    desk("office", "tick", *(f"locate:{job}" for job in jobs))
    desk.asked |= dict.fromkeys(jobs, desk.now)


def tell(desk: Desk, *make: object) -> None:
    """Plan and publish."""
    desk("plan", "make", "--steps", STEPS, *make)
    desk("plan", "publish")


# ---------------------------------------------------------------- before the work


@season("published", after=None)
def published(desk: Desk) -> None:
    """Two crews, one excavator; a pond with a design, two without, an inquiry; all located, material here."""
    found(desk)
    locate(desk, "2027-04-05", "L01", "L02", "L03")
    here(desk, "L01", "L02", "L03")
    desk("job", "add", "L09", "Client 9 (invented)", "--status", "inquiry", "-q", "dig_machine_cy=5")
    tell(desk)


def found(desk: Desk) -> None:
    """The firm with its crews, its machine and three jobs."""
    desk("db", "create")
    desk("firm", "set", "--name", "Agreeing Ponds (invented)", "--state", "OH")
    desk("firm", "set", "--latitude", 40, "--longitude=-83")
    desk("crew", "add", "Red", "--lead", "Ada", "--size", 3, "--skills", SKILLS)
    desk("crew", "add", "Blue", "--lead", "Bo", "--size", 2, "--skills", SKILLS)
    desk("machine", "add", "excavator", "mini excavator")
    desk("job", "add", "L01", "Client 1 (invented)", "--promised", "2027-04-14")
    survey(desk, "L01")
    sell(desk, "L02", "2027-04-13")
    sell(desk, "L03", "2027-04-23", dig_machine_cy=9)


def locate(desk: Desk, day: str, *jobs: str) -> None:
    """Every owner has answered for the jobs; their digs may begin on the day."""
    for job in jobs:
        desk("job", "gate", job, "utility locate", day, "--met")


def here(desk: Desk, *jobs: str) -> None:
    """All material of the jobs is in the yard."""
    for job in jobs:
        desk("office", "here", job)


@season("locate missing")
def locate_missing(desk: Desk) -> None:
    """Nobody has asked for a locate."""
    for job in ("L01", "L02"):
        desk("job", "gate", job, "utility locate", "2027-04-05", "--drop")
    tell(desk)


@season("orders missing")
def orders_missing(desk: Desk) -> None:
    """What was said to be here is not: one liner is not even ordered, stone is confirmed for a late day."""
    desk("office", "untick", "here:L02:liner", "here:L03:stone")
    desk("office", "arrives", "L03", "stone", "--on", "2027-04-30")


@season("visits that did not come", now=TUESDAY)
def did_not_come(desk: Desk) -> None:
    """Yesterday's deposit and electrician are not ticked off; last week's permit is."""
    desk("job", "gate", "L02", "deposit", "2027-04-05")
    desk("job", "gate", "L03", "electrician", "2027-04-05")
    desk("job", "gate", "L01", "permit", "2027-04-02", "--met")


@season("people from outside", now=TUESDAY)
def from_outside(desk: Desk) -> None:
    """A crane on the stone's day, an inspector too early, a hauler who did not come."""
    rock = next(b for b in desk.shown["bookings"] if (b["job"], b["phase"]) == ("L02", "rock"))
    desk("job", "gate", "L02", "crane", rock["start"][:10], "--day-part", "morning")
    desk("office", "untick", "here:L02:stone")
    desk("office", "arrives", "L02", "stone", "--on", rock["start"][:10])
    desk("job", "gate", "L03", "inspector", "2027-04-07", "--day-part", "afternoon")
    desk("job", "gate", "L01", "hauler", "2027-04-05")
    desk("job", "gate", "L03", "utility crew", "2027-04-08")


@season("a forecast is kept")
def forecast_kept(desk: Desk) -> None:
    """Ten days of weather: one that rain takes likely, one of frost."""
    rows = [f"2027-04-{day:02},{rain},{much},{low},60,8" for day, rain, much, low in WEATHER]
    head = "date,rain_chance,rain_in,low_f,high_f,wind_mph"
    (desk.folder / "forecast.csv").write_text("\n".join([head, *rows]) + "\n", "utf-8")
    desk("weather", "take", desk.folder / "forecast.csv", "--place", "Columbus, OH", "--made", "2027-04-05")


@season("locate dropped under the plan")
def locate_dropped(desk: Desk) -> None:
    """The plan digs this morning, and the office takes a ticket back that was another site's."""
    for job in ("L01", "L02"):
        desk("job", "gate", job, "utility locate", "2027-04-05", "--drop")


@season("locate asked too late", after="locate dropped under the plan")
def locate_too_late(desk: Desk) -> None:
    """The same, and the office asks at once: the marks come after the planned dig."""
    ask_for_marks(desk, "L01", "L02")


@season("locate asked", after="locate missing")
def locate_asked(desk: Desk) -> None:
    """Asked on the last day in time for the dig; nobody has answered yet."""
    ask_for_marks(desk, "L01", "L02")


@season("locate answered", after="locate asked")
def locate_answered(desk: Desk) -> None:
    """Every owner has answered for one of the two."""
    (key,) = (row["key"] for row in desk.data("office", "list") if row["key"].startswith("cleared:L01:"))
    desk("office", "tick", key)


@season("a new job in a draft", after="published")
def only_draft(desk: Desk) -> None:
    """A new job, and a draft that holds it over the published plan."""
    sell(desk, "L04", "2027-04-30")
    locate(desk, "2027-04-05", "L04")
    desk("plan", "make", "--steps", STEPS)


@season("two crews on one job")
def two_crews(desk: Desk) -> None:
    """A large hole that one crew cannot dig and line in time: both come."""
    for job in ("L01", "L02", "L03"):
        desk("job", "change", job, "--status", "inquiry")
    desk("firm", "set", "--weight", "late_day=3000")
    sell(desk, "L05", "2027-04-06", dig_machine_cy=45, dig_hand_cy=12, liner_ft2=1600, boulder_medium_ton=6)
    locate(desk, "2027-04-05", "L05")
    here(desk, "L05")
    tell(desk)
    assert any(len(booking["crews"]) > 1 for booking in desk.shown["bookings"])


@season("promises late and tight")
def late(desk: Desk) -> None:
    """A promise that nobody can keep, one without room, and a promised job that came after the plan."""
    desk("job", "change", "L01", "--promised", "2027-04-07")
    desk("job", "change", "L03", "--promised", "2027-04-15")
    tell(desk)
    sell(desk, "L06", "2027-05-14")


@season("a place is held")
def held(desk: Desk) -> None:
    """An inquiry with a held place."""
    desk("promise", "hold", "L09", "--until", "2027-04-06")


@season("visits between the installs", after="published")
def visits(desk: Desk) -> None:
    """A morning leak search at a pond of ours, an afternoon maintenance, a call-back of two hands."""
    leak = ("leak search", "--pond", "L01", "--hours", "3", "--day-part", "morning")
    desk("visit", "add", "V01", *leak, "--promised", "2027-04-16")
    desk("visit", "add", "V02", "maintenance", "--client", "Client 12 (invented)", "--day-part", "afternoon")
    desk(
        "visit", "add", "V03", "call-back", "--client", "Client 13 (invented)", "--hours", "2", "--hands", "2"
    )
    tell(desk)


@season("people by name, the operator away")
def people(desk: Desk) -> None:
    """Red's operator is away two days and lent for one; Blue has a new hand and an operator of its own."""
    for name, crew, *more in (
        ("Ada", "Red", "--may", "excavator,tow"),
        ("Cy", "Red"),
        ("Bo", "Blue", "--may", "excavator"),
        ("Dee", "Blue", "--counts", 0.5),
    ):
        desk("people", "add", name, "--crew", crew, *more)
    desk("people", "away", "Ada", "2027-04-06", "2027-04-07", "--why", "course")
    desk("people", "lend", "Ada", "Blue", "2027-04-09")
    tell(desk)


@season("one truck for two excavators")
def trucks(desk: Desk) -> None:
    """Two excavators, one truck that brings one a day; Blue's pickup is too light and goes into the shop."""
    desk("machine", "change", "excavator", "--units", 2, "--towed", "9800lb")
    desk("truck", "add", "dump1", "dump truck", "--tows", "12000lb")
    desk("truck", "add", "pickup", "pickup", "--tows", "7000lb", "--crew", "Blue")
    desk("truck", "shop", "pickup", "2027-04-06", "2027-04-07", "--why", "brakes")
    desk("people", "add", "Ada", "--crew", "Red", "--may", "excavator,tow")
    tell(desk)


@season("job and design parted")
def parted(desk: Desk) -> None:
    """The depth in the job's record is changed by hand; the design is not."""
    desk("job", "change", "L01", "--depth", "30in")


@season("design edited")
def edited(desk: Desk) -> None:
    """The pond grew after the plan was told: a deeper floor, a longer rim."""
    survey(desk, "L01", down=20, long=16)


@season("work besides the pond")
def besides(desk: Desk) -> None:
    """The pond asks for all that stands round it: site, power, water, stone, life, cold."""
    path = desk.folder / "L01.toml"
    pond = POND.format(name="Pond L01", long=14, down=14)
    path.write_text(pond + BESIDES, "utf-8")
    desk("design", "take-off", path, "L01", "--yes")
    desk.designs["L01"] = path
    tell(desk)


@season("rates changed")
def rates_changed(desk: Desk) -> None:
    """A new rate book after the plan was told."""
    table = desk.folder / "own.csv"
    table.write_text("key,low,likely,high,source\nrock.set.two,2,3,5,our own\n", "utf-8")
    desk("rates", "import", table, "--note", "own")


@season("metric", after="published")
def metric(desk: Desk) -> None:
    """The firm reads meters."""
    desk("firm", "set", "--units", "metric")


# ---------------------------------------------------------------- during the work


def first_task(desk: Desk) -> dict[str, object]:
    """The first stint of the published plan's first day."""
    rows = desk.data("board", "--week", desk.weeks[0])["stints"]
    return dict(min(rows, key=lambda r: (r["start"], r["crew"])))


@season("begun", now=TUESDAY)
def begun(desk: Desk) -> None:
    """Monday's hours are in, as planned; the plan is still the one that was told."""
    for row in desk.data("board", "--week", "2027-04-05")["stints"]:
        if row["day"] == "2027-04-05":
            log(desk, row)


def log(desk: Desk, row: dict[str, object], *more: object) -> None:
    """Log a stint of the board as it was planned."""
    words = (row["job"], str(row["phase"]).replace("_", " "), row["crew"], row["crew_h"])
    desk("log", "add", *words, "--day", row["day"], *more)


@season("evening", now="2027-04-05T18:00")
def evening(desk: Desk) -> None:
    """Today's hours are in; tomorrow's are to come."""
    for row in desk.data("board", "--week", "2027-04-05")["stints"]:
        if row["day"] == "2027-04-05":
            log(desk, row)


@season("re-planned after a day", after="begun", now=TUESDAY)
def replanned(desk: Desk) -> None:
    """The same, re-planned and told again."""
    desk("replan", "--quick")
    desk("plan", "publish")


@season("draft over published", after="begun", now=TUESDAY)
def draft_over(desk: Desk) -> None:
    """The same, re-planned after rain; the draft is told to nobody."""
    desk("lost", "rain", "2027-04-07")
    desk("replan", "--quick")


@season("crew sick", now=TUESDAY)
def sick(desk: Desk) -> None:
    """A crew is away for three days; nobody has planned anew."""
    desk("lost", "sick", "Red", "2027-04-06", "--until", "2027-04-06")


@season("crew gone for good", now=TUESDAY)
def crew_gone(desk: Desk) -> None:
    """A crew leaves the firm under the published plan; nobody has planned anew."""
    desk("crew", "remove", "Red", "--yes", "--even-so")


@season("crew gone, re-planned", after="crew gone for good", now=TUESDAY)
def crew_gone_replanned(desk: Desk) -> None:
    """The same, planned anew and told."""
    desk("replan", "--quick")
    desk("plan", "publish")


@season("machine gone for good", now=TUESDAY)
def machine_gone(desk: Desk) -> None:
    """The only excavator is sold under the published plan; nobody has planned anew."""
    desk("machine", "remove", "excavator", "--yes", "--even-so")


@season("rain and hands short, re-planned", now=TUESDAY)
def rain(desk: Desk) -> None:
    """Rain on one day, a hand short on another; planned anew and told."""
    desk("lost", "rain", "2027-04-07")
    desk("lost", "short", "Red", "2027-04-08", "--people", 1)
    desk("replan", "--quick")
    desk("plan", "publish")


@season("machine broken", now=TUESDAY)
def broken(desk: Desk) -> None:
    """The only excavator is out for four days; nobody has planned anew."""
    desk("lost", "machine", "excavator", "2027-04-06", "--until", "2027-04-09")


@season("job cancelled", now=TUESDAY)
def cancelled(desk: Desk) -> None:
    """A client says no on Monday evening."""
    desk("job", "cancel", "L02", "--even-so")


@season("walk of the marks missed", now=TUESDAY)
def missed(desk: Desk) -> None:
    """A sheet comes back with hours and a depth outside its band, and no hold point ticked."""
    row = first_task(desk)
    crew, day = str(row["crew"]), str(row["day"])
    sheet = json.loads(desk.text("sheet", crew, day, "--json"))["data"]
    sheet = sheet[0] if isinstance(sheet, list) else sheet
    task = sheet["tasks"][0]
    values = {s["key"]: 99.0 for s in task["steps"] if s["measure"] and s["key"].startswith("floor")}
    back = ReturnedTask(
        str(task["job"]),
        Phase(task["phase"]),
        1,
        crew_h=task["crew_h"],
        people=3,
        share_done=0.5,
        values=values,
    )
    text = encode(ReturnedSheet(crew, date.fromisoformat(day), sheet["plan"], sheet["mark"], "Ada", (back,)))
    file = desk.folder / "back.txt"
    file.write_text(text, "utf-8")
    (desk.folder / "returned.txt").write_text(desk("return", file, "--dry-run"), "utf-8")
    (desk.folder / "returned.json").write_text(desk("return", file, "--accept", "--json"), "utf-8")


@season("a job done", now="2027-04-12T06:45")
def done(desk: Desk) -> None:
    """A week's hours are in, as planned: one pond is done, the next is under way."""
    rows = [r for m in desk.weeks for r in desk.data("board", "--week", m)["stints"]]
    for row in rows:
        if row["day"] < "2027-04-12":
            later = [r for r in rows if (r["job"], r["phase"]) == (row["job"], row["phase"])]
            log(desk, row, *(["--done"] if row == later[-1] else []))


@season("nothing logged for weeks", now="2027-04-30T06:45")
def silent(desk: Desk) -> None:
    """The plan is told and nobody has logged anything since."""
    desk("job", "change", "L01", "--notes", "nobody called")


@season("clocks go forward", after=None, now="2027-03-11T06:45")
def clocks(desk: Desk) -> None:
    """Planned over the night when the clocks change; the material of one job is still to be ordered."""
    found(desk)
    desk("firm", "set", "--season-first", "2027-03-01")
    locate(desk, "2027-03-11", "L01", "L02", "L03")
    here(desk, "L02", "L03")
    tell(desk)
