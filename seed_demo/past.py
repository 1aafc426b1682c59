"""The demo's spring so far: which crew did which job in what order, and the hours that came of it.

Nothing here is real. Each crew works through its queue from the season's first day; the job that it is on
this morning is under way.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date, timedelta

from planner.domain.crew_day.misses import FROM_SHEET, MISSED
from planner.domain.estimate.labour import estimate
from planner.domain.firm.actuals import Log
from planner.domain.firm.phases import Phase
from planner.domain.season.facts import Facts
from seed_demo.truth import PastJob, past_logs

#: Crew -> job codes in the order in which it took them.
QUEUES: Mapping[str, tuple[str, ...]] = {
    "Heron": ("Q01", "Q04", "Q07", "Q10", "Q13", "Q16", "Q18"),
    "Otter": ("Q02", "Q05", "Q08", "Q11", "Q14", "Q17", "Q19"),
    "Kingfisher": ("Q03", "Q06", "Q09", "Q12", "Q15"),
}


#: Last Friday's surprises as leads' returned sheets leave them: job and phase -> the note of its last hours.
#: The office has settled none of them this morning.
SURPRISES: Mapping[tuple[str, Phase], str] = {
    ("Q19", Phase.LINER): MISSED
    + "hold point passed over (dusk, nobody could see it any more): Look over every square foot in low light "
    "from the side: cuts, stones beneath, bridges. Fix now. Then no stone before this is signed.",
    ("Q09", Phase.FILL): MISSED + "drop in an hour, pump off 1/4 in, wanted at most 1/8 in",
    ("Q19", Phase.ROCK): "note: the owner asks for one more boulder to sit on: who calls her?",
}
#: Source of hours that came back by a sheet; of which, the demo keeps no copy.
BY_SHEET = f"{FROM_SHEET}of paper"


def spring_logs(facts: Facts, first: date, today: date) -> list[Log]:
    """Logs of all queues before `today`, drawn from the hidden truth."""
    jobs = {job.code: job for job in facts.jobs}
    machines = {machine.key: machine for machine in facts.machines}
    logs: list[Log] = []
    for crew in facts.crews:
        day = first
        for code in QUEUES.get(crew.name, ()):
            told = past_logs(
                [PastJob(jobs[code], crew, day)],
                lambda job, who: estimate(job, who, facts.rates, facts.firm, facts.rules, machines),
                facts.firm,
            )
            logs += told
            day = told[-1].day + timedelta(days=1)
    told = sorted((e for e in logs if e.day < today), key=lambda e: (e.day, e.crew, e.job))
    last = {(e.job, e.phase): n for n, e in enumerate(told)}
    for key, note in SURPRISES.items():
        told[last[key]] = replace(told[last[key]], note=note, source=BY_SHEET)
    return told
