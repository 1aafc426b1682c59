"""The demo's spring so far: which crew did which job in what order, and the hours that came of it.

Nothing here is real. Each crew works through its queue from the season's first day; the job that it is on
this morning is under way.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta

from planner.domain.estimate.labour import estimate
from planner.domain.firm.actuals import Log
from planner.domain.season.facts import Facts
from seed_demo.truth import PastJob, past_logs

#: Crew -> job codes in the order in which it took them.
QUEUES: Mapping[str, tuple[str, ...]] = {
    "Heron": ("Q01", "Q04", "Q07", "Q10", "Q13", "Q16", "Q18"),
    "Otter": ("Q02", "Q05", "Q08", "Q11", "Q14", "Q17", "Q19"),
    "Kingfisher": ("Q03", "Q06", "Q09", "Q12", "Q15"),
}


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
    return sorted((e for e in logs if e.day < today), key=lambda e: (e.day, e.crew, e.job))
