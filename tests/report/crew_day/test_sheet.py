"""The day sheet: what a crew finds on it, and how it prints."""

import io
import re
from dataclasses import replace
from datetime import date

import pytest
from rich.console import Console

from planner.domain.crew_day.daysheet import day_sheet
from planner.domain.firm.actuals import Log
from planner.domain.firm.crews import Crew
from planner.domain.firm.jobs import DayRange, Gate, GateKind
from planner.domain.firm.lost import LostKind, LostTime
from planner.domain.firm.phases import Phase
from planner.domain.safety.heat import Forecast
from planner.errors import BadInput
from planner.report.crew_day.sheet import print_sheet, sheet_data, tomorrow_words
from planner.report.pages import place_link, sheet_page
from planner.store.shipped.rules import phase_rules
from tests.report.conftest import FERN, designed

TUESDAY = date(2027, 4, 6)


@pytest.fixture
def sheet(roster, plan, lists):
    return day_sheet(roster, plan, "North", TUESDAY, lists, rules=phase_rules())


def drawn(sheet, width: int = 100) -> str:
    out = io.StringIO()
    print_sheet(sheet, Console(file=out, width=width, markup=False, highlight=False, emoji=False))
    return out.getvalue()


def test_tasks_stand_in_order_with_start_hours_and_quantities(sheet):
    dig, filters = sheet.tasks
    assert (dig.stint.key.phase, filters.stint.key.phase) == (Phase.DIG, Phase.SET_FILTERS)
    assert sheet.crew_h == 8 and dig.stint.crew_h == 5
    assert {q.words: q.amount for q in dig.quantities}["bank dug by machine"] == "18.5 cy"
    assert [h.key for h in filters.holds] == [
        "skimmer-level",
        "skimmer-water-line",
        "fall-level",
        "lip-drawn",
        "level-again",
    ]


def test_cautions_are_of_these_phases_only(sheet):
    text = " ".join(sheet.cautions)
    assert "811" in text and "slung" not in text and "Drowning" not in text


def test_every_caution_stands_once(sheet):
    everything = [*sheet.cautions, *sheet.every_day, *sheet.today, *sheet.rain, *sheet.load]
    assert len(everything) == len(set(everything))


def test_tomorrow_is_the_next_day_with_work(roster, plan, lists):
    friday = day_sheet(roster, plan, "South", date(2027, 4, 9), lists)
    assert tomorrow_words(friday.tomorrow) == "Next: Mon Apr 12: P-014 plumbing 4 h from 7:00"
    last = day_sheet(roster, plan, "North", date(2027, 4, 9), lists)
    assert "no work planned" in tomorrow_words(last.tomorrow)


def test_the_split_fill_shows_each_part_its_steps_and_hose_hours(roster, plan, lists):
    water = day_sheet(roster, plan, "South", date(2027, 4, 13), lists).tasks[0]
    edge = day_sheet(roster, plan, "South", date(2027, 4, 14), lists).tasks[0]
    assert "cure-over" in {n.key for n in water.ready.lines} and "gfci" in {n.key for n in edge.ready.lines}
    # 2,250 gal by 11 gpm is 204.5 min = 3.4 h: 5/8 in hose, 100 ft, 40 psi (Iowa State University Extension,
    # Horticulture and Home Pest News, 28 June 1996, p. 111).
    assert {q.words: q.amount for q in water.quantities}["open hose, about"] == "3.4 h"
    assert [q.words for q in edge.quantities] == ["edge trimmed and backfilled"]


def test_an_unticked_gate_is_shown_before_its_phase(roster, plan, lists):
    gate = Gate(GateKind.PERMIT, date(2027, 4, 1))
    jobs = {**roster.jobs, "P-014": replace(roster.jobs["P-014"], gates=(gate,))}
    made = day_sheet(replace(roster, jobs=jobs), plan, "North", TUESDAY, lists)
    assert "permit" in made.tasks[0].open_gates[0] and "permit" in drawn(made)
    jobs["P-014"] = replace(jobs["P-014"], gates=(replace(gate, met=True),))
    assert day_sheet(replace(roster, jobs=jobs), plan, "North", TUESDAY, lists).tasks[0].open_gates == ()


def test_a_late_delivery_or_a_machine_down_is_shown_on_its_day(roster, plan, lists):
    day = DayRange(date(2027, 4, 5), date(2027, 4, 5))
    lost = (
        LostTime(LostKind.DELIVERY, day, "P-014", phase="dig", note="truck broke down"),
        LostTime(LostKind.MACHINE_DOWN, day, "excavator", people=1),
        LostTime(LostKind.DELIVERY, day, "P-014", phase="rock"),
    )
    roster = replace(roster, lost=lost)
    told = day_sheet(roster, plan, "North", date(2027, 4, 5), lists).tasks[0].open_gates
    assert len(told) == 2 and "truck broke down" in told[0] and "excavator: 1 out of order" in told[1]
    assert day_sheet(roster, plan, "North", TUESDAY, lists).tasks[0].open_gates == ()


def test_next_phase_says_what_it_waits_for(roster, plan, lists):
    made = day_sheet(roster, plan, "South", date(2027, 4, 12), lists, rules=phase_rules())
    assert made.tasks[0].next_waits == (
        "fill may start 24 h after the end: sealant and foam cure before water",
    )


def test_the_mark_names_what_the_sheet_says(roster, plan, lists):
    def mark(day=TUESDAY, crew="North", by=plan, firm=roster.firm, lists=lists, fern=FERN, **job):
        jobs = {**roster.jobs, "P-014": replace(roster.jobs["P-014"], **job)}
        now = replace(roster, jobs=jobs, firm=firm, designs={"P-014": designed(fern)})
        return day_sheet(now, by, crew, day, lists).mark

    phase = lists.phases[Phase.DIG]
    band = replace(phase.steps[-1].measure, over=0.25)
    tighter = replace(phase, steps=(*phase.steps[:-1], replace(phase.steps[-1], measure=band)))
    other = {
        mark(),
        mark(date(2027, 4, 7)),
        mark(crew="South"),
        mark(firm=replace(roster.firm, units="metric")),
        mark(fern=FERN.replace("down_in = 7", "down_in = 13")),
        mark(site_notes="mind the dog"),
        mark(lists=replace(lists, phases={**lists.phases, Phase.DIG: tighter})),
    }
    assert len(other) == 7
    published = replace(plan, number=5, made_at=plan.made_at.replace(day=3), published_at=None)
    same = {mark(), mark(by=published), mark(notes="pays on time now"), mark(phone="555-0199")}
    assert same == {mark()}


def test_no_work_says_why(roster, plan, lists):
    assert day_sheet(roster, plan, "River", date(2027, 4, 7), lists).why_off == "training"
    text = drawn(day_sheet(roster, plan, "River", date(2027, 4, 7), lists))
    assert "No work today: training" in text
    holiday = day_sheet(roster, plan, "North", date(2027, 5, 31), lists)  # Memorial Day
    assert holiday.why_off == "holiday"


def test_the_lead_is_told_whom_to_call(roster, plan, lists):
    firm = replace(roster.firm, name="Rill & Bank", phone="614-555-0100")
    called = day_sheet(replace(roster, firm=firm), plan, "North", TUESDAY, lists)
    assert "Office: Rill & Bank, 614-555-0100" in drawn(called)
    assert 'Office: <a href="tel:6145550100">Rill &amp; Bank, 614-555-0100</a>' in sheet_page([called])
    assert sheet_data(called)["office"] == "Rill & Bank, 614-555-0100"
    nobody = replace(roster, firm=replace(firm, phone=""))
    silent = day_sheet(nobody, plan, "North", TUESDAY, lists)
    assert silent.office == "" and "Office:" not in drawn(silent)
    assert silent.mark == called.mark, "whom to call is not what the crew works by"


def test_unknown_crew_is_refused(roster, plan, lists):
    with pytest.raises(BadInput, match="use one of"):
        day_sheet(roster, plan, "Nobody", TUESDAY, lists)


def test_golden_sheet(roster, plan, lists, golden):
    forecast = Forecast(96, 55, low_f=38, wind_mph=15)
    made = day_sheet(roster, plan, "North", TUESDAY, lists, rules=phase_rules(), forecast=forecast)
    golden("sheet-north-100.txt", drawn(made))


@pytest.mark.parametrize("width", [60, 80, 100, 140])
def test_the_sheet_fits_its_width(sheet, width):
    assert max(len(line) for line in drawn(sheet, width).splitlines()) <= width


def test_hostile_words_stay_words(hostile, plan, lists):
    made = day_sheet(hostile, plan, "North", TUESDAY, lists)
    page = sheet_page([made])
    assert page.count("<script") == 1 and "&lt;script&gt;alert" in page  # the one script is ours
    assert "\u2028" not in drawn(made)
    assert 'href="https://www.openstreetmap.org/' in page and "BEGIN:VEVENT&" in page


def test_a_crew_name_cannot_leave_its_attribute(roster, plan, lists):
    name = 'A" onload="alert(1)'
    crews = {name: Crew(name, "<b>", 3)}
    bookings = tuple(replace(b, crews=(name,)) for b in plan.bookings[:2])
    page = sheet_page(
        [day_sheet(replace(roster, crews=crews), replace(plan, bookings=bookings), name, TUESDAY, lists)]
    )
    assert 'data-crew="A&#34; onload=&#34;alert(1)"' in page


def test_page_is_small_and_asks_for_nothing(roster, plan, lists):
    week = [day_sheet(roster, plan, "North", date(2027, 4, d), lists) for d in range(5, 10)]
    page = sheet_page(week)
    assert len(page.encode()) < 240_000
    assert page.count('src="data:image/svg+xml;base64,') == 2, (
        "the drawing's two sheets stand once on the week"
    )
    page = page.replace('src="data:image/svg+xml;base64,', "")
    assert page.count("http://") == 1, "the name of SVG (W3C), which nothing fetches"
    page = page.replace("http://www.w3.org/2000/svg", "")
    page = re.sub(r'href="https://www.openstreetmap.org/[^"]*"', "", page)  # goes there when it is tapped
    for word in ("http://", "https://", "src=", "@import", "url("):
        assert word not in page
    assert "default-src 'none'" in page


def test_place_opens_on_any_phone_and_in_its_own_map_where_the_script_runs(jobs, sheet):
    # An iPhone does nothing with geo: links (RFC 5870): without a script the link is a plain https one.
    point = "?mlat=39.960000&mlon=-83.000000#map=17/39.960000/-83.000000"
    assert place_link(jobs["P-014"]) == f"https://www.openstreetmap.org/{point}"
    assert place_link(jobs["P-015"]) == "https://www.openstreetmap.org/search?query=3%20Pretend%20Road"
    assert 'data-place="12%20Made-up%20Lane' in sheet_page([sheet])
    assert place_link(replace(jobs["P-015"], address="")) == ""


def test_json_carries_steps_with_bands(sheet):
    data = sheet_data(sheet)
    steps = {s["key"]: s for s in data["tasks"][0]["steps"]}
    assert steps["shelf-1"]["measure"] == {
        "what": "depth below the water line",
        "unit": "in",
        "low": 5,
        "high": 7,
    }
    assert data["sunrise"] and data["plan"] == 4


def test_private_notes_and_phones_stay_in_the_office(sheet):
    text = drawn(sheet) + sheet_page([sheet])
    assert "gate code" in text and "pays late" not in text and "555-0100" not in text


def test_a_sheet_says_that_job_and_design_differ(roster, plan, lists):
    assert not any(
        "differ" in text for text in day_sheet(roster, plan, "North", TUESDAY, lists).tasks[0].open_gates
    )
    jobs = {**roster.jobs, "P-014": replace(roster.jobs["P-014"], depth_in=30.0)}
    for task in day_sheet(replace(roster, jobs=jobs), plan, "North", TUESDAY, lists).tasks:
        assert any("depth 30 in, design 24 in" in text for text in task.open_gates)
    bad = replace(roster, designs={}, unread={"P-014": "step = 0"})
    told = day_sheet(bad, plan, "North", TUESDAY, lists).tasks[0].open_gates
    assert any("cannot be read" in text for text in told)


def test_the_sheets_json_carries_the_levels(sheet):
    levels = {row["level"]: row for row in sheet_data(sheet)["tasks"][0]["levels"]}
    assert (levels["floor"]["below_rim"], levels["floor"]["below_water"]) == (24, 21)
    assert (levels["skimmer seat"]["below_rim"], levels["skimmer seat"]["below_water"]) == (28, 25)


def test_a_phase_that_brought_no_hours_begins_on_the_next_day(roster, plan, lists):
    """The locate walk stands on day two when the hours that came back say that nobody dug on day one."""
    monday, tuesday = date(2027, 4, 5), TUESDAY
    first = day_sheet(roster, plan, "North", monday, lists).tasks[0]
    assert first.stint.begins and not first.stint.finishes

    def steps(**known) -> list[str]:
        (task,) = (
            t
            for t in day_sheet(replace(roster, **known), plan, "North", tuesday, lists).tasks
            if t.stint.key == first.stint.key
        )
        return [line.key for line in task.ready.lines]

    key = (first.stint.key.job, first.stint.key.phase)
    walked = set(steps(heard={"North": monday})) - set(steps())
    assert walked and walked <= {line.key for line in first.ready.lines}
    assert steps(heard={"North": monday}, begun={key: monday}) == steps()
    assert steps(heard={"North": date(2027, 4, 2)}) == steps()


def test_a_fill_in_one_piece_carries_the_quantities_of_both_parts(roster, plan, lists):
    def told(bookings) -> set[str]:
        made = day_sheet(roster, replace(plan, bookings=bookings), "South", date(2027, 4, 13), lists)
        return {q.words for q in made.tasks[0].quantities}

    first = told(plan.bookings)
    whole = told(tuple(b for b in plan.bookings if b.key.part == 1))
    assert first < whole and "open hose, about" in first


def test_on_a_day_with_two_jobs_the_load_says_for_which(roster, plan, lists):
    first = plan.bookings[0]
    late = {"start": first.start.replace(hour=13), "end": first.start.replace(hour=15)}
    other = replace(first, key=first.key._replace(job="P-015"), **late)
    own = replace(first, end=first.start.replace(hour=11))
    made = day_sheet(roster, replace(plan, bookings=(own, other)), "North", first.start.date(), lists)
    assert {line.partition(":")[0] for line in made.load} == {"P-014", "P-015"}
    alone = day_sheet(roster, replace(plan, bookings=(own,)), "North", first.start.date(), lists)
    assert not any(line.startswith("P-014") for line in alone.load)


@pytest.mark.parametrize(("back", "signed"), [(date(2027, 4, 5), {"locate"}), (TUESDAY, set())])
def test_only_what_an_earlier_day_signed_is_signed(roster, plan, lists, back, signed):
    """A sheet that is made again on its own day asks for its hold points anew."""
    log = Log(back, "North", "P-014", Phase.DIG, 2.0, note="SIGNED locate", source="sheet 12345678")
    made = day_sheet(roster, plan, "North", TUESDAY, lists, rules=phase_rules(), logged=[log])
    assert made.tasks[0].signed == signed
