"""Care for the database: its state, copies, restoring, and the health check."""

from __future__ import annotations

import os
from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from planner.domain.firm.records import BackupCopy, Finding, Moved
from planner.domain.season.breaches import breaches
from planner.domain.season.facts import Facts, season_of
from planner.domain.season.plan import Plan
from planner.domain.standing.in_force import hindered
from planner.domain.standing.roster import Roster
from planner.domain.standing.stale import stale_words
from planner.errors import BadInput, PlannerError, StoreTrouble
from planner.store.engine import REVISION, OlderForm, Store, note_kept, something_kept, wall_clock

if TYPE_CHECKING:
    pass

__all__ = ["something_kept"]


@dataclass(frozen=True, slots=True)
class State:
    """The database at a glance. size_bytes: None on a server; entries: what -> how many."""

    name: str
    revision: str | None
    newest_revision: str
    size_bytes: int | None
    entries: dict[str, int]
    copies: tuple[BackupCopy, ...]


def state(location: str) -> State:
    """What the database holds and which copies there are."""
    from planner.store.safekeeping.health import counts

    store = Store(location)
    revision = store.revision()
    entries: dict[str, int] = {}
    if revision == REVISION:
        with store.reading() as book:
            entries = counts(book)
    size = store.path.stat().st_size if store.path is not None else None
    return State(store.name, revision, REVISION, size, entries, tuple(list_copies(location)))


def name_of(location: str) -> str:
    """How the database may be called before anyone: without a password."""
    return Store(location).name


def firm_now(location: str) -> datetime:
    """The firm's local time; this computer's where there is no database to ask."""
    try:
        return Store(location).clock()
    except StoreTrouble:
        return wall_clock()


def holds_secret(location: str) -> bool:
    """True when the address of a server has a password in it."""
    url = Store(location).url
    return url is not None and bool(url.password or {"password", "sslpassword"} & set(url.query))


def list_copies(location: str) -> list[BackupCopy]:
    """The copies of the database on this computer, newest first."""
    from planner.store.safekeeping import backup, server_copies

    store = Store(location)
    made = server_copies.copies(store.url) if store.url is not None else backup.copies(store.path or Path())
    found = [BackupCopy(str(c.path), c.made_at, c.why, c.path.stat().st_size) for c in made]
    return found[::-1]


def back_up(location: str, to: str | None) -> Path:
    """Make a copy now."""
    store = Store(location)
    with store.reading():
        pass
    if to is None:
        return _copied(store, None)
    target = Path(to).expanduser()
    if os.path.lexists(target):
        raise BadInput("--to", to, "it exists: name a new file")
    if not target.parent.is_dir():
        raise BadInput(
            "--to", to, f"there is no folder {target.parent}: plug the stick in, or make the folder"
        )
    return _copied(store, target)


def _copied(store: Store, to: Path | None) -> Path:
    from planner.store.safekeeping import backup, server_copies

    if store.path is None:
        copy = server_copies.back_up(store, "asked", store.clock(), to=to)
    else:
        copy = backup.back_up(store.path, "asked", store.clock(), to=to)
    note_kept()
    return copy


def restore(location: str, copy: str) -> Path | None:
    """Bring a copy back; returns where the present database was kept."""
    from planner.store.safekeeping import restore as store_restore
    from planner.store.safekeeping import server_copies

    store = Store(location)
    if not Path(copy).is_file():
        raise BadInput("backup", copy, "no such file: see `planner db state` for the copies there are")
    if store.path is None:
        kept = server_copies.restore(store, Path(copy), store.clock())
    else:
        kept = store_restore.restore(store.path, Path(copy), store.clock())
    note_kept()
    return kept


def check(location: str, now: datetime) -> list[Finding]:
    """Every finding about the file, the references, the published plan and the rates."""
    from planner.store.safekeeping.health import file_faults, findings, unreadable_rows

    store = Store(location)
    if store.path is not None and store.path.is_file():
        advice = "bring back a backup with `planner db restore`"
        if faults := file_faults(store.path, references=False):
            return [Finding(True, f"the database file: {f}", advice) for f in faults]
    if rows := unreadable_rows(store):
        return rows
    from planner.flow.stored.facts import read_facts, rules_beside
    from planner.flow.stored.roster import moved_since, read_in_force

    rules = rules_beside(location)
    with store.reading() as book:
        found = findings(book, store, now)
        facts = read_facts(book, rules)
        moved = moved_since(book, location, facts.published) if facts.published else ()
        seen = read_in_force(book, location, now.date()) if facts.published else None
    found += _clock_elsewhere(location, facts.firm.time_zone)
    return [*found, *_broken_rules(facts, moved), *(_hindered(*seen) if seen else ())]


def _hindered(roster: Roster, plan: Plan) -> list[Finding]:
    """What of the published plan cannot go as planned, by what every page says: gates, crews, machines."""
    advice = "re-plan with `planner replan`, or settle what it waits for"
    rows = sorted(hindered(roster, plan).items())
    told = [
        Finding(False, f"published plan {plan.number}: {code} cannot go as planned: {why}", advice)
        for code, why in rows[:5]
    ]
    if len(rows) > 5:
        more = f"{len(rows) - 5} more jobs of plan {plan.number} cannot go as planned"
        told.append(Finding(False, more, advice))
    return told


def _clock_elsewhere(location: str, time_zone: str) -> list[Finding]:
    """That this computer's clock is in another zone than the firm: every time here is the firm's."""
    apart_h = round((firm_now(location) - wall_clock()).total_seconds() / 900) / 4
    if not apart_h:
        return []
    apart = f"the firm's clock ({time_zone}) is {apart_h:+g} h from this computer's"
    advice = "if the zone is wrong: `planner firm set --time-zone ZONE`"
    return [Finding(False, f"{apart}: every time here is the firm's", advice)]


def spoilt(location: str) -> str | None:
    """Why stored data may have stopped a command, in one line; None when all of them read."""
    from planner.store.safekeeping.health import file_faults
    from planner.store.safekeeping.inventory import take_stock

    try:
        store = Store(location)
        faults = file_faults(store.path, references=False) if store.path is not None else []
        rows = [] if faults else take_stock(store)
        if not faults and not rows and store.path is not None:
            faults = file_faults(store.path)
    except PlannerError as refusal:
        return str(refusal)
    if faults:
        advice = "bring back a backup with `planner db restore`"
        return f"the database {store.name} is damaged ({faults[0]}): {advice}"
    if not rows:
        return None
    more = f", and {len(rows) - 1} more" if len(rows) > 1 else ""
    return f"{rows[0].row} cannot be read ({rows[0].what}){more}: run `planner db check`"


def _broken_rules(facts: Facts, moved: Collection[Moved]) -> list[Finding]:
    """Breaches in the published plan, judged at the moment it was made."""
    plan = facts.published
    if plan is None:
        return []
    advice = "make a new plan with `planner plan make` and publish it"
    try:
        broken = breaches(season_of(facts, plan.made_at), plan.bookings)
    except PlannerError as refusal:
        what = f"the published plan cannot be judged: {refusal}"
        return [Finding(True, what, "fix that, then plan again")]
    when = f"; {stale_words(moved)}" if moved else ""
    told = [
        Finding(True, f"published plan {plan.number}: {b.rule}: {b.text}{when}", advice) for b in broken[:5]
    ]
    if len(broken) > 5:
        told.append(Finding(True, f"{len(broken) - 5} more broken rules in plan {plan.number}", advice))
    return told


def create_store(location: str, who: str) -> tuple[str, bool]:
    """Make the database with the shipped rate book; (its name, False when it was there already)."""
    from planner.store.safekeeping.migrate import create

    store = Store(location)
    if not create(store):
        return store.name, False
    with store.writing(who) as book:
        book.save_rate_book(book.rate_book())
    return store.name, True


def made_ready(location: str, who: str) -> str:
    """Make the database, or bring an older form up to date after a copy; what was done, "" for nothing.

    Raises StoreTrouble when it cannot be used, or is of a newer program.
    """
    try:
        name, made = create_store(location, who)
        return f"made {name}" if made else ""
    except OlderForm:
        name, copy, why = upgrade_store(location)
    kept = f"; a copy of it as it was: {copy}" if copy else f"; no copy was made: {why}" if why else ""
    return f"brought {name} up to date{kept}"


def upgrade_store(location: str) -> tuple[str, Path | None, str]:
    """Bring the schema up to date; (its name, the copy made before, why there is none though one was due)."""
    from planner.store.safekeeping import server_copies
    from planner.store.safekeeping.migrate import upgrade

    store = Store(location)
    why = []

    def copied(server: Store) -> Path | None:
        try:
            copy = server_copies.back_up(server, "migration", server.clock())
        except StoreTrouble as trouble:
            why.append(str(trouble))
            return None
        server_copies.rotate(server)
        return copy

    copy = upgrade(store, copied)
    return store.name, copy, "".join(why)


def where_copies_lie(location: str) -> str:
    """On a server: where the copies are, who makes them, and what stands in their way. Of a file nothing."""
    from planner.store.safekeeping import server_copies, server_tools

    store = Store(location)
    if store.url is None:
        return ""
    try:
        for tool in ("pg_dump", "pg_restore"):
            server_tools.must_fit(store, tool)
        makes = "one is made on the first change of each day from this computer"
    except StoreTrouble as trouble:
        makes = f"none can be made from here: {trouble}"
    return (
        f"copies made on this computer lie in {server_copies.folder_of(store.url)}, {makes}; those of other "
        "offices lie on their computers, and the server's own backups are not known here"
    )
