"""A problem as JSON and back, so that anybody's instances run through the same engine.

Format 1: the fields of `planner.schedule.model.problem.Problem` by name; pairs of sites as rows of
[from, to, value].
"""

from __future__ import annotations

from dataclasses import MISSING, asdict, fields
from typing import Any

from planner.errors import BadInput
from planner.schedule.model.problem import (
    Fixed,
    Group,
    Lag,
    Pool,
    Prices,
    Problem,
    Solution,
    Task,
    Told,
    Truck,
    Way,
    Worker,
)

FORMAT = 1


def to_json(problem: Problem) -> dict[str, Any]:
    """The problem as plain lists, dicts, strings and numbers."""
    data: dict[str, Any] = {"format": FORMAT, **asdict(problem)}
    for name in ("drive", "leg_price"):
        data[name] = [[a, b, value] for (a, b), value in getattr(problem, name).items()]
    return data


def from_json(data: Any) -> Problem:
    """The problem that `to_json` wrote, or one written by hand; BadInput names what is wrong."""
    if not isinstance(data, dict) or data.get("format") != FORMAT:
        shown = data.get("format") if isinstance(data, dict) else data
        raise BadInput("format", shown, "give a problem of format 1")
    known = {f.name for f in fields(Problem)} | {"format"}
    for name in data:
        if name not in known:
            raise BadInput("problem", name, f"use only these names: {', '.join(sorted(known))}")
    try:
        return Problem(
            horizon=int(data["horizon"]),
            tasks=tuple(_task(row) for row in data["tasks"]),
            workers=tuple(_worker(row) for row in data.get("workers", [])),
            pools=tuple(_make(Pool, row, out=_rows(row.get("out", []))) for row in data.get("pools", [])),
            groups=tuple(_group(row) for row in data.get("groups", [])),
            lags=tuple(_make(Lag, row) for row in data.get("lags", [])),
            drive={(a, b): int(v) for a, b, v in data.get("drive", [])},
            leg_price={(a, b): float(v) for a, b, v in data.get("leg_price", [])},
            told=tuple(_make(Told, row, tasks=tuple(row["tasks"])) for row in data.get("told", [])),
            prices=_make(Prices, data.get("prices", {})),
            day_slots=int(data.get("day_slots", 1)),
            rests=tuple(int(day) for day in data.get("rests", [])),
            weekday=int(data.get("weekday", 0)),
            crumb_slots=int(data.get("crumb_slots", 0)),
            trucks=tuple(_make(Truck, row, out=tuple(row.get("out", ()))) for row in data.get("trucks", [])),
        )
    except KeyError as missing:
        raise BadInput("problem", str(missing.args[0]), "this field is missing") from None
    except (TypeError, ValueError, AttributeError) as wrong:
        raise BadInput("problem", str(wrong), "write it as `to_json` does") from None


def solution_json(solution: Solution) -> dict[str, Any]:
    """A solution as plain data."""
    return {"format": FORMAT, **asdict(solution)}


def _task(row: dict[str, Any]) -> Task:
    fixed = row.get("fixed")
    task: Task = _make(
        Task,
        row,
        ways=tuple(_way(way) for way in row.get("ways", [])),
        fixed=None
        if fixed is None
        else _make(
            Fixed,
            fixed,
            workers=tuple(fixed.get("workers", ())),
            units=_rows(fixed.get("units", [])),
            days=tuple(fixed.get("days", ())),
            closed=_rows(fixed.get("closed", [])),
        ),
    )
    return task


def _way(row: dict[str, Any]) -> Way:
    workers, closed = tuple(row.get("workers", ())), _rows(row.get("closed", []))
    way: Way = _make(Way, row, workers=workers, closed=closed)
    return way


def _worker(row: dict[str, Any]) -> Worker:
    spans = row.get("open")
    weeks = tuple(row.get("week_prices", ()))
    no_tow = tuple(row.get("no_tow", ()))
    ready = {"open": None if spans is None else _rows(spans), "week_prices": weeks, "no_tow": no_tow}
    worker: Worker = _make(Worker, row, **ready)
    return worker


def _group(row: dict[str, Any]) -> Group:
    closed, by_day = _rows(row.get("closed", [])), tuple(row.get("late_by_day", ()))
    group: Group = _make(Group, row, closed=closed, late_by_day=by_day)
    return group


def _make(kind: Any, row: dict[str, Any], **ready: Any) -> Any:
    names = {f.name for f in fields(kind)}
    for name in row:
        if name not in names:
            raise BadInput(kind.__name__.lower(), name, f"use only these names: {', '.join(sorted(names))}")
    for field in fields(kind):
        if field.default is MISSING and field.default_factory is MISSING and field.name not in row:
            raise BadInput(kind.__name__.lower(), field.name, "this field is missing")
    return kind(**{**row, **ready})


def _rows(rows: Any) -> tuple[Any, ...]:
    return tuple(tuple(row) for row in rows)
