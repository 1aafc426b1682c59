"""Labour as an owner looks at it: in the terminal and for `--json`."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

from rich.table import Table
from rich.text import Text

from planner.domain.hours.ledger import Account, Besides, JobLedger, Ledger
from planner.report.terminal import say, show_table
from planner.report.wording import hours, one_line, sure_words

if TYPE_CHECKING:
    from rich.console import Console

    from planner.domain.firm.phases import Phase
    from planner.domain.hours.pictures import Held, Pictures, Ratio

#: Cells of a picture in the terminal, and the ratios at its ends.
WIDE, LEAST, MOST = 41, 0.5, 2.0
HEADS = ("sold", "now", "worked", "left", "at the end", "over")


def account_cells(account: Account) -> tuple[str, ...]:
    """Sold, told now, worked, left, at the end, and what that is beyond those sold."""
    over = f"{account.over_h:+.1f}" if account.worked_h and account.sold_h else ""
    figures = (account.sold_h, account.now_h, account.worked_h, account.left_h, account.end_h)
    return (*(f"{h:.1f}" for h in figures), over)


def left_words(job: JobLedger) -> str:
    """ "9 to 14", the hours left at P50 and P90; "" when nothing is left."""
    return f"{job.going.left_at(50):.1f} to {job.going.left_at(90):.1f}" if job.going.rest else ""


def wrong_words(job: JobLedger) -> str:
    """Why a job is said to go wrong, and what can still be done about it."""
    account = job.account
    passed = "; ".join(_passed_words(job, phase) for phase in job.wrong)
    whole = f"the job ends within the {hours(account.sold_h)} sold with {job.chance:.0%}"
    ahead = sum(a.left_h > 0 and a.worked_h == 0 for a in job.phases.values())
    still = f"{ahead} phase{'s' if ahead != 1 else ''} not begun" if ahead else "no phase is left to begin"
    return f"{job.job} {one_line(job.client)}: {passed + '; ' if passed else ''}{whole}; {still}"


def _passed_words(job: JobLedger, phase: Phase) -> str:
    account = job.phases[phase]
    worked = f"{phase.words} {hours(account.worked_h)} of {hours(account.sold_h)} worked"
    return f"{worked}, ends within them with {job.within[phase]:.0%}"


def besides_words(worked: Besides, left: Besides) -> list[str]:
    """Set-up, clearing up and driving, worked and left, as lines."""
    return [
        f"{name}: {hours(round(a, 1))} so far, {hours(round(b, 1))} to come{more}"
        for name, a, b, more in (
            (
                f"set-up and pack-up of {worked.site_days} and {left.site_days} days on site",
                worked.setup_h,
                left.setup_h,
                "",
            ),
            ("laying out and setting up the phases", worked.phase_setup_h, left.phase_setup_h, ""),
            ("clearing up", worked.clearing_h, left.clearing_h, ""),
            ("driving", worked.driving_h, left.driving_h, ", beside the crew-hours"),
        )
    ]


def together(found: Iterable[Besides]) -> Besides:
    """All of them added up."""
    rows = list(found)
    return Besides(
        sum(b.site_days for b in rows),
        sum(b.setup_h for b in rows),
        sum(b.phase_setup_h for b in rows),
        sum(b.clearing_h for b in rows),
        sum(b.driving_h for b in rows),
    )


def ledger_page(console: Console, found: Ledger) -> None:
    """By job, by phase, by crew; what goes wrong first."""
    if not found.jobs:
        say(console, "No job is sold or under way: planner job add, planner hours --done for finished ones.")
        return
    wrong = found.wrong()
    for job in wrong:
        say(console, f"! {wrong_words(job)}", style="bold")
    if wrong:
        console.print()
    for head, rows in parts_of(found):
        show_table(console, plain_table(head, rows))
        console.print()
    for line in besides_words(together(j.worked for j in found.jobs), together(j.left for j in found.jobs)):
        say(console, line)
    for line in basis_lines(found):
        say(console, line)


def parts_of(found: Ledger) -> list[tuple[tuple[str, ...], list[tuple[str, ...]]]]:
    """The three tables as heads and rows of text."""
    jobs = [
        (j.job, *account_cells(j.account), left_words(j), f"{j.chance:.0%}" if j.begun else "")
        for j in found.jobs
    ]
    phases = [(phase.words, *account_cells(a)) for phase, a in found.by_phase().items()]
    crews = [(crew, *account_cells(a)) for crew, a in found.by_crew().items()]
    if len(found.jobs) > 1:
        jobs.append(("all", *account_cells(found.account), "", ""))
    return [
        (("job", *HEADS, "left, range", "kept"), jobs),
        (("phase", *HEADS), phases),
        (("crew", *HEADS), crews),
    ]


def basis_lines(found: Ledger) -> list[str]:
    """What the columns mean."""
    plan = f"plan {found.plan}" if found.plan else "no plan yet"
    return [
        f"Crew-hours on site. Sold: {sure_words(found.percentile)} hours by the edition that told the job, "
        f"for the crew that does it; now: by the newest edition; left: as the board counts it ({plan}).",
        "The range of what is left (from likely to what 9 in 10 jobs do not exceed) and kept (chance to end "
        "within the hours sold) are judged by the hours so far.",
    ]


def plain_table(head: Sequence[str], rows: Sequence[Sequence[str]]) -> Table:
    """A table without lines: names to the left, figures to the right."""
    made = Table(box=None, pad_edge=False)
    for n, name in enumerate(head):
        made.add_column(Text(name), justify="left" if n == 0 else "right")
    for row in rows:
        made.add_row(*(Text(cell) for cell in row))
    return made


def ledger_data(found: Ledger) -> dict[str, Any]:
    """The ledger for `--json`."""
    return {
        "plan": found.plan,
        "percentile": found.percentile,
        "jobs": [_job_data(job) for job in found.jobs],
        "phases": [{"phase": p.value, **_account_data(a)} for p, a in found.by_phase().items()],
        "crews": [{"crew": c, **_account_data(a)} for c, a in found.by_crew().items()],
        "going_wrong": [job.job for job in found.wrong()],
    }


def _job_data(job: JobLedger) -> dict[str, Any]:
    return {
        "job": job.job,
        "client": job.client,
        **_account_data(job.account),
        "left_p50_h": job.going.left_at(50),
        "left_p80_h": job.going.left_at(80),
        "left_p90_h": job.going.left_at(90),
        "kept_share": job.chance if job.begun else None,
        "goes_wrong": job.goes_wrong,
        "phases": [
            {
                "phase": phase.value,
                "crew": job.crews[phase],
                **_account_data(account),
                "kept_share": job.within.get(phase),
            }
            for phase, account in job.phases.items()
        ],
        "besides_worked": _besides_data(job.worked),
        "besides_left": _besides_data(job.left),
    }


def _account_data(a: Account) -> dict[str, float]:
    return {
        "sold_h": a.sold_h,
        "now_h": a.now_h,
        "worked_h": a.worked_h,
        "left_h": a.left_h,
        "end_h": a.end_h,
    }


def _besides_data(b: Besides) -> dict[str, float]:
    return {
        "site_day_count": b.site_days,
        "setup_h": b.setup_h,
        "phase_setup_h": b.phase_setup_h,
        "clearing_h": b.clearing_h,
        "driving_h": b.driving_h,
    }


def pictures_page(console: Console, found: Pictures) -> None:
    """The three pictures in letters."""
    if not found.points:
        say(console, "No phase is finished yet: the pictures need logged hours (planner log add).")
        return
    for head, ratios in (
        ("Worked over told, by phase (1 = as told)", found.told_worked),
        ("Worked over told, by month of the phase's last day", found.drift),
    ):
        say(console, head, style="bold")
        show_table(console, _ratios(ratios))
        console.print()
    say(console, "Phases that stayed within their safe hours (80 % is honest)", style="bold")
    show_table(console, _covers(found.coverage))


def bar(low: float, middle: float, high: float, at: float, least: float, most: float) -> str:
    """Letters from `least` to `most`: "-" from low to high, "o" in the middle, "|" at the mark.

    >>> bar(0.25, 0.5, 0.75, 0.0, 0.0, 1.0)[:12]
    '|         --'
    """

    def cell(value: float) -> int:
        share = (min(most, max(least, value)) - least) / (most - least)
        return round(share * (WIDE - 1))

    cells = [" "] * WIDE
    for n in range(cell(low), cell(high) + 1):
        cells[n] = "-"
    cells[cell(at)] = "|"
    cells[cell(middle)] = "o"
    return "".join(cells)


def _ratios(rows: Sequence[Ratio]) -> Table:
    told = []
    for r in rows:
        drawn = bar(r.low, r.middle, r.high, 1.0, LEAST, MOST)
        told.append((r.label, r.count, f"{r.middle:.2f}", f"{r.low:.2f} to {r.high:.2f}", drawn))
    return _barred("middle", "95 %", told)


def _covers(rows: Sequence[Held]) -> Table:
    told = []
    for h in rows:
        drawn = bar(h.low, h.share, h.high, 0.8, 0.0, 1.0)
        told.append((h.label, h.count, f"{h.share:.0%}", f"{h.low:.0%} to {h.high:.0%}", drawn))
    return _barred("within", "long run, 95 %", told)


def _barred(middle: str, between: str, rows: Sequence[tuple[str, int, str, str, str]]) -> Table:
    """What it is of, from how many phases, a middle, its bounds, and a bar of characters."""
    made = plain_table(("", "phases", middle, between, ""), [])
    made.columns[-1].justify = "left"
    made.columns[-1].no_wrap = True
    for row in rows:
        made.add_row(*(Text(str(cell)) for cell in row))
    return made


def pictures_data(found: Pictures) -> dict[str, Any]:
    """The pictures for `--json`."""
    ratio = [(name, getattr(found, name)) for name in ("told_worked", "drift")]
    return {
        **{
            name: [
                {
                    "label": r.label,
                    "count": r.count,
                    "middle_factor": r.middle,
                    "low_factor": r.low,
                    "high_factor": r.high,
                }
                for r in rows
            ]
            for name, rows in ratio
        },
        "coverage": [
            {
                "label": h.label,
                "count": h.count,
                "held_count": h.held,
                "low_share": h.low,
                "high_share": h.high,
            }
            for h in found.coverage
        ],
    }
