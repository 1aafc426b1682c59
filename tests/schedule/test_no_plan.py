"""Words when nothing fits: one job, one cause, one line, one code; the cause named, not only the job."""

from dataclasses import replace
from datetime import date

import pytest

from planner.domain.firm.crews import Crew, Machine, MachineOut
from planner.domain.firm.jobs import DayRange, Job
from planner.domain.firm.lost import LostKind, LostTime
from planner.domain.firm.phases import ORDER, Phase
from planner.domain.season.season import After, Season
from planner.errors import NoPlanFits, NoPlanInTime
from planner.schedule.answers.clashes import find_clashes
from planner.schedule.answers.repair import insert, repair
from planner.schedule.model.effort import Effort
from planner.schedule.solve import solve
from tests.schedule.tiny import key, season, work

QUICK = Effort(steps=2_500, exact_work=1.0)

ALL_SEASON = DayRange(date(2027, 4, 1), date(2027, 4, 30), "gearbox")


def refused(s: Season) -> tuple[str, ...]:
    """What planning says, and re-planning in the order of a plan says the same with the same code."""
    with pytest.raises(NoPlanFits) as planned:
        solve(s, effort=QUICK)
    with pytest.raises(NoPlanFits) as replanned:
        repair(s, [])
    assert replanned.value.reasons == planned.value.reasons
    return planned.value.reasons


def digs(count: int) -> list:
    return [work(f"J{n}", 4.0, machines={"excavator": 1}) for n in range(1, count + 1)]


def test_a_machine_that_is_out_all_season_is_named_once_for_all_its_jobs() -> None:
    out = Machine("excavator", "mini excavator", 1, out=(MachineOut(ALL_SEASON),))
    (line,) = refused(season(*digs(4), machines=[out]))
    assert line.startswith(
        "client J1 J1 dig, client J2 J2 dig, client J3 J3 dig, client J4 J4 dig: each "
        "needs the mini excavator: out Mon Apr 5 to Fri Apr 30 (gearbox)"
    )


def test_a_machine_that_is_down_by_an_entry_of_lost_time_is_named_too() -> None:
    down = LostTime(LostKind.MACHINE_DOWN, ALL_SEASON, "excavator", people=1)
    (line,) = refused(season(*digs(1), machines=[Machine("excavator", "")], lost=(down,)))
    assert "J1 dig needs the excavator: out" in line


def test_crews_that_are_away_and_a_site_that_is_closed_are_named() -> None:
    away = Crew("A", "a", days_off=(DayRange(date(2027, 4, 6), date(2027, 4, 30)),))
    (line,) = refused(season(work("P", 12.0), crews=[away]))
    assert "needs a crew that is away (A Tue Apr 6 to Fri Apr 30)" in line
    shut = Job("P", "client", blackouts=(DayRange(date(2027, 4, 6), date(2027, 4, 30)),))
    (line,) = refused(season(work("P", 12.0), jobs=[shut]))
    assert "finds its site closed Tue Apr 6 to Fri Apr 30" in line


def test_the_clients_of_the_jobs_are_named() -> None:
    jobs = [Job("L08", "Okoro"), Job("L09", "Reed")]
    rock = [work(job.code, 8.0, Phase.ROCK, skills=frozenset({"stonework"})) for job in jobs]
    (line,) = refused(season(*rock, jobs=jobs))
    assert line == "Okoro L08 rock, Reed L09 rock: each needs someone for stonework: no crew has it"
    # two of 16 h in three days of one crew of 8 h: the bigger part first
    long = [work("L08", 16.0), work("L09", 18.0)]
    (line,) = refused(season(*long, jobs=jobs, last_day=date(2027, 4, 7)))
    assert line.endswith("24 are left until Wed Apr 7, 2027 (Reed L09 18 h, Okoro L08 16 h)")
    with pytest.raises(NoPlanInTime, match=r"for (Okoro L08|Reed L09) in this order"):
        far = [replace(j, latitude_deg=41.0 + i, longitude_deg=-74.0) for i, j in enumerate(jobs)]
        repair(season(*(work(j.code, 12.0) for j in jobs), jobs=far, last_day=date(2027, 4, 7)), [])


def test_one_late_permit_is_told_once_for_all_phases_of_its_job() -> None:
    late = {"opens": date(2027, 5, 3), "opens_why": "permit"}
    phases = [work("P", 2.0, phase, **late) for phase in ORDER]
    (line,) = refused(season(*phases))
    assert line == "client P P dig may begin on Mon May 3 (permit): the season ends on Fri Apr 30, 2027"


def test_a_gate_too_near_the_end_is_the_cause_of_what_follows_it() -> None:
    dig = work("P", 4.0, opens=date(2027, 4, 30), opens_why="permit")
    rock = work("P", 8.0, Phase.ROCK, after=(After(key("P")),))
    (line,) = refused(season(dig, rock))
    assert "may begin on Fri Apr 30 (permit)" in line


def test_too_much_work_is_counted_and_names_the_crews() -> None:
    # One crew, three days of eight hours: 24 crew-h for 5 jobs of 8 h. Counted, not searched.
    s = season(*(work(f"J{i}", 8.0) for i in range(5)), last_day=date(2027, 4, 7))
    (line,) = refused(s)
    assert line == (
        "the work that only A may lead takes 40 crew-h at least, and 24 are left until Wed Apr 7, 2027"
        " (client J0 J0 8 h, client J1 J1 8 h, client J2 J2 8 h, client J3 J3 8 h, client J4 J4 8 h)"
    )


def test_the_rare_skill_is_counted_by_itself() -> None:
    # B alone may lead rock: 30 h of it in 24 h, while A would have time.
    crews = [Crew("A", "a"), Crew("B", "b", skills=frozenset({"stonework"}))]
    rock = [
        work(f"J{i}", 10.0, Phase.ROCK, crews=("A", "B"), skills=frozenset({"stonework"})) for i in range(3)
    ]
    (line,) = find_clashes(season(*rock, crews=crews, last_day=date(2027, 4, 7)))
    assert "only B may lead takes 30 crew-h" in line


def test_a_full_season_is_never_called_too_full() -> None:
    s = season(*(work(f"J{i}", 8.0) for i in range(3)), last_day=date(2027, 4, 7))
    assert find_clashes(s) == []
    assert len(solve(s, effort=QUICK).bookings) == 3


def test_a_new_job_without_place_says_why() -> None:
    out = Machine("excavator", "mini excavator", 1, out=(MachineOut(ALL_SEASON),))
    with pytest.raises(NoPlanFits, match="needs the mini excavator: out"):
        insert(season(*digs(1), machines=[out]), [], "J1")


def test_what_the_search_could_not_place_is_named() -> None:
    # 24 h of work in 24 h of one crew, but the drives between four sites need some of it too.
    jobs = [Job(f"J{i}", "", latitude_deg=41.0 + i / 10, longitude_deg=-74.0) for i in range(4)]
    s = season(*(work(f"J{i}", 6.0) for i in range(4)), jobs=jobs, last_day=date(2027, 4, 7))
    with pytest.raises(NoPlanInTime, match=r"no place found before Wed Apr 7, 2027 for J\d: allow more time"):
        solve(s, effort=replace(QUICK, seconds=0.0))
    with pytest.raises(NoPlanInTime, match=r"no place found before Wed Apr 7, 2027 for J\d in this order"):
        repair(s, [])
