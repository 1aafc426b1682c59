"""Jobs on the shelf: one row a job, and a row for each gate, blackout, line, need and pin."""

from __future__ import annotations

import json
from typing import Any

from sqlalchemy import Row, delete, insert, select, update

from planner.domain.dates import long_moment
from planner.domain.firm.jobs import DayRange, Gate, Job, Line, Need, Pin, Status
from planner.domain.firm.phases import Phase
from planner.domain.firm.sound import faults_of_job
from planner.domain.plain import to_plain
from planner.domain.spelling import did_you_mean
from planner.errors import BadInput, BadInputs, Overtaken, PlannerError
from planner.store.schema import tables as t
from planner.store.tables.rows import packed, placed, row_of, value_of, values_of
from planner.store.tables.sides import SideShelf

_PARTS = (t.job_gates, t.job_blackouts, t.job_lines, t.job_needs, t.job_pins)


class JobShelf(SideShelf):
    """Reading and writing jobs."""

    def jobs(self, status: Status | None = None) -> list[Job]:
        """Every job, or those of one status, by code."""
        chosen = select(t.jobs).order_by(t.jobs.c.code)
        if status is None:
            return self.once(
                "jobs", lambda: self._with_parts(list(self.connection.execute(chosen).all()), None)
            )
        rows = self.connection.execute(chosen.where(t.jobs.c.status == status.value)).all()
        return self._with_parts(list(rows), [r.code for r in rows])

    def job(self, code: str) -> Job:
        """The job called `code`; BadInput when there is none."""
        row = self.connection.execute(select(t.jobs).where(t.jobs.c.code == code)).one_or_none()
        if row is None:
            fix = did_you_mean(code, self.job_codes(), "unknown code: see `planner job list`")
            raise BadInput("job", code, fix)
        return self._with_parts([row], [code])[0]

    def has_job(self, code: str) -> bool:
        """True when a job of that code is stored."""
        return self.connection.scalar(select(t.jobs.c.code).where(t.jobs.c.code == code)) is not None

    def job_codes(self) -> list[str]:
        """The codes of all jobs, sorted."""
        return list(self.connection.scalars(select(t.jobs.c.code).order_by(t.jobs.c.code)))

    def job_revision(self, code: str) -> int:
        """How often the job was saved; 0 when it is not stored."""
        return self.connection.scalar(select(t.jobs.c.revision).where(t.jobs.c.code == code)) or 0

    def job_revisions(self) -> dict[str, int]:
        """Code -> how often the job was saved."""
        return dict(self.connection.execute(select(t.jobs.c.code, t.jobs.c.revision)).all())

    def job_edition(self, code: str) -> str | None:
        """The rate-book edition that the job was estimated with; None when it was not."""
        return self.connection.scalar(select(t.jobs.c.rate_edition).where(t.jobs.c.code == code))

    def job_editions(self) -> dict[str, str]:
        """Code -> rate-book edition, of the jobs that have one."""
        chosen = select(t.jobs.c.code, t.jobs.c.rate_edition).where(t.jobs.c.rate_edition.is_not(None))
        return {code: edition for code, edition in self.connection.execute(chosen) if edition}

    def save_job(self, job: Job, edition: str | None = None, *, seen: int | None = None) -> None:
        """Insert or update the job with every part. An unchanged job is not written.

        edition: the rate-book edition it was estimated with; None keeps what is stored. seen: the revision
        that the change was made from; when somebody saved the job since, PlannerError and nothing changes.
        """
        if faults := faults_of_job(job):
            raise BadInputs(faults)
        revision = self.job_revision(job.code)
        if seen is not None and seen != revision:
            raise Overtaken(self._overtaken(job.code, seen, revision))
        self.put_job(job, edition or (self.job_edition(job.code) if revision else None))

    def put_job(self, job: Job, edition: str | None) -> None:
        """Keep exactly this job with exactly this rate-book edition."""
        revision = self.job_revision(job.code)
        before = self._remembered(self.job(job.code)) if revision else None
        after = to_plain(job) | {"rate_edition": edition}
        if before is not None and packed(before) == packed(after):
            return
        row = row_of(job, t.jobs, rate_edition=edition, revision=revision + 1)
        if before is None:
            self.connection.execute(insert(t.jobs).values(row))
        else:
            self.connection.execute(update(t.jobs).where(t.jobs.c.code == job.code).values(row))
        self._write_parts(job)
        self.note("job", job.code, before, after)

    def remove_job(self, code: str) -> None:
        """Take the job off the shelf; refused when hours or plans refer to it (cancel it instead)."""
        before = self._remembered(self.job(code))
        for table, what in ((t.logs, "hours are logged"), (t.bookings, "a plan has booked work")):
            if self.connection.scalar(select(table.c.job).where(table.c.job == code).limit(1)) is not None:
                raise PlannerError(
                    f"{what} for job {code}: it stays on record; cancel it with `planner job cancel`"
                )
        self.save_design(code, None)
        self.remove_hold(code)
        self.connection.execute(delete(t.jobs).where(t.jobs.c.code == code))
        self.note("job", code, before, None)

    def _remembered(self, job: Job) -> dict[str, Any]:
        plain: dict[str, Any] = to_plain(job)
        return plain | {"rate_edition": self.job_edition(job.code)}

    def _overtaken(self, code: str, seen: int, revision: int) -> str:
        last = self.connection.execute(
            select(t.history.c.who, t.history.c.at)
            .where(t.history.c.noun == "job", t.history.c.key == code)
            .order_by(t.history.c.id.desc())
            .limit(1)
        ).one_or_none()
        by = f" by {last.who} on {long_moment(last.at)}" if last else ""
        return (
            f"job {code} was changed{by} since you read it (you saw revision {seen}, it is {revision} now): "
            f"nothing was written; look at it with `planner job show {code}` and repeat"
        )

    def _write_parts(self, job: Job) -> None:
        code = job.code
        self.refill(t.job_gates, "job", code, placed(job.gates, t.job_gates, job=code))
        self.refill(t.job_blackouts, "job", code, placed(job.blackouts, t.job_blackouts, job=code))
        self.refill(t.job_lines, "job", code, placed(job.lines, t.job_lines, job=code))
        self.refill(t.job_pins, "job", code, placed(job.pins, t.job_pins, job=code))
        self.refill(t.job_needs, "job", code, [_need_row(code, p, n) for p, n in job.needs.items()])

    def _with_parts(self, rows: list[Row[Any]], keys: list[str] | None) -> list[Job]:
        gates, blackouts, lines, needs, pins = (self.grouped(table, "job", keys) for table in _PARTS)
        return [
            value_of(
                Job,
                row,
                gates=tuple(values_of(Gate, gates.get(row.code, ()))),
                blackouts=tuple(values_of(DayRange, blackouts.get(row.code, ()))),
                lines=tuple(values_of(Line, lines.get(row.code, ()))),
                needs=_needs(needs.get(row.code, [])),
                pins=tuple(values_of(Pin, pins.get(row.code, ()))),
            )
            for row in rows
        ]


def _need_row(code: str, phase: Phase, need: Need) -> dict[str, Any]:
    return {
        "job": code,
        "phase": phase.value,
        "skills": None if need.skills is None else json.dumps(sorted(need.skills)),
        "machines": None if need.machines is None else json.dumps(dict(need.machines), sort_keys=True),
    }


def _needs(rows: list[Row[Any]]) -> dict[Phase, Need]:
    found = {
        Phase(r.phase): Need(
            skills=None if r.skills is None else frozenset(json.loads(r.skills)),
            machines=None if r.machines is None else json.loads(r.machines),
        )
        for r in rows
    }
    return {phase: found[phase] for phase in Phase if phase in found}
