"""One invented firm's spring: twelve ponds, four with an electrician, a hauler, a crane and an inspector,
twenty visits, one truck for two excavators, forecast, time clock.

All names are invented. The season goes through the commands as a person would type them.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path

from tests.agreement.desk import Desk

SKILLS = "excavator,stonework,plumbing"
#: Code -> (client, promised, bank cy by machine, liner ft2, boulders ton); all invented.
PONDS = {
    f"S{n:02}": (f"{name} (invented)", promised, cy, liner, ton)
    for n, (name, promised, cy, liner, ton) in enumerate(
        [
            ("Alder", "2027-04-20", 8, 380, 3),
            ("Birch", "2027-04-23", 6, 320, 2),
            ("Cedar", "2027-04-30", 12, 520, 5),
            ("Dogwood", "2027-05-05", 9, 420, 4),
            ("Elder", "2027-05-10", 7, 350, 3),
            ("Fern", "2027-05-14", 10, 460, 4),
            ("Gorse", "2027-05-19", 8, 380, 3),
            ("Hazel", "2027-05-25", 11, 500, 5),
            ("Iris", "2027-05-28", 6, 300, 2),
            ("Juniper", "2027-06-04", 9, 420, 4),
            ("Larch", "2027-06-09", 7, 360, 3),
            ("Maple", "2027-06-15", 10, 440, 4),
        ],
        1,
    )
}
#: Twenty visits to ponds of other years: code -> (kind, hours, part of the day); all invented.
VISITS = {
    f"V-{n:02}": (
        ("spring opening", 3, "any time"),
        ("leak search", 2, "morning"),
        ("call-back", 1.5, "afternoon"),
        ("maintenance", 2.5, "any time"),
    )[n % 4]
    for n in range(1, 21)
}
#: Crew -> its people as the time clock knows them.
PEOPLE = {"Red": ("Ada", "Amy", "Al"), "Blue": ("Bo", "Bea")}
#: What the clock's file is told once.
WHO = [word for crew, names in PEOPLE.items() for n in names for word in ("--person", f"{n}={crew}")]
#: Ponds with a licensed electrician's visit.
WIRED = ("S02", "S05", "S08", "S11")
#: Three other trades on days of their own.
OTHERS = (("S03", "hauler", "2027-04-14"), ("S04", "crane", "2027-04-20"), ("S05", "inspector", "2027-05-04"))
MONDAY = datetime(2027, 4, 5, 6, 45)
RAINY = "2027-04-07"
FORECAST = f"""date,rain_chance,rain_in,low_f,high_f,wind_mph
2027-04-05,5,0.02,44,66,6
2027-04-06,20,0.1,40,60,9
{RAINY},95,1.4,35,47,27
2027-04-08,15,0.1,33,58,8
2027-04-09,5,0,41,66,5
"""


def spring(folder: Path) -> Desk:
    """The firm on Monday April 5 with its plan published and its forecast taken in."""
    desk = Desk("spring", folder, MONDAY)
    desk("db", "create")
    desk("firm", "set", "--name", "Spring Ponds (invented)", "--state", "OH", "--phone", "614-555-0142")
    desk("firm", "set", "--latitude", 40, "--longitude=-83")
    desk("crew", "add", "Red", "--lead", "Ada", "--size", 3, "--skills", SKILLS)
    desk("crew", "add", "Blue", "--lead", "Bo", "--size", 2, "--skills", SKILLS)
    desk("machine", "add", "excavator", "mini excavator", "--units", 2, "--towed", "9800lb", "--mass", 2.7)
    desk("truck", "add", "dump1", "dump truck", "--tows", "12000lb")
    for code, (client, promised, cy, liner, ton) in PONDS.items():
        wired = ("-q", "electrician_visits=1") if code in WIRED else ()
        lines = ("-q", f"dig_machine_cy={cy}", "-q", f"liner_ft2={liner}", "-q", f"boulder_small_ton={ton}")
        more = ("-q", "pipe_ft=30", "-q", "connections=6", "-q", "fill_gal=1800")
        address = f"{code[1:]} Willow Lane, Tansy Hollow, OH (invented)"
        desk("job", "add", code, client, "--address", address, "--promised", promised, *lines, *more, *wired)
        desk("job", "gate", code, "utility locate", "2027-04-05", "--met")
    for code, trade, day in OTHERS:
        desk("job", "gate", code, trade, day, "--day-part", "morning")
    for n, (code, (kind, hours, part)) in enumerate(VISITS.items()):
        place = ("--client", f"Visited {code} (invented)", "--address", f"{n} Reed Road (invented)")
        wanted = ("--hours", hours, "--day-part", part, "--promised", f"2027-05-{10 + n}")
        desk("visit", "add", code, kind, *place, *wanted)
    for code in ("S01", "S02", "S03"):
        desk("office", "here", code)
    desk("office", "arrives", "S04", "stone", "--on", "2027-04-19")
    desk("plan", "make", "--steps", 600)
    desk("plan", "publish")
    (folder / "week.csv").write_text(FORECAST, "utf-8")
    desk("weather", "take", folder / "week.csv", "--place", "Columbus, OH", "--made", "today")
    return desk


def evening(desk: Desk) -> Path:
    """The time clock's file of the day: each of the crew's people on what the board holds."""
    rows = ["person,in,out,job,phase"]
    at = desk.now.date()
    for stint in desk.data("board")["stints"]:
        if stint["day"] == at.isoformat():
            work = (stint["start"], stint["end"], stint["job"], stint["phase"])
            rows += [",".join((person, *work)) for person in PEOPLE[stint["crew"]]]
    file = desk.folder / f"clock-{at}.csv"
    file.write_text("\n".join(dict.fromkeys(rows)) + "\n", "utf-8")
    return file


def next_morning(desk: Desk) -> None:
    """The clock goes on to the next day's morning."""
    desk.now = datetime.combine(desk.now.date() + timedelta(days=1), MONDAY.time())
