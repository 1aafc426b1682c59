"""What placed work costs already, and what more work could share with it: where every floor begins.

Fixed and past work is known. What it costs, and no further work can lessen, is counted as it is; the days on
which more could be done beside it are told apart, so that no floor counts them twice.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from planner.schedule.model.decode import Piece
from planner.schedule.model.price import Pricer
from planner.schedule.model.problem import Prices
from planner.schedule.model.shop import Shop
from planner.schedule.model.timetable import Timetable


@dataclass(frozen=True, slots=True)
class Begun:
    """Where placed work stands.

    days: group -> its first and last day; shared: group -> its crew days from the first on which free work
    may lie; sites: (pool number, group) with a unit of it there; moved: units that were somewhere.
    """

    days: dict[int, tuple[int, int]]
    shared: dict[int, int]
    sites: set[tuple[int, int]]
    moved: set[int]

    @staticmethod
    def of(shop: Shop, pricer: Pricer) -> Begun:
        """Of the shop's fixed and past tasks."""
        day = shop.day_slots
        soon = min((shop.release[t] for t in shop.free), default=shop.horizon) // day
        days: dict[int, tuple[int, int]] = {}
        held: dict[int, set[tuple[int, int]]] = {}
        sites: set[tuple[int, int]] = set()
        moved: set[int] = set()
        for i, task in enumerate(shop.tasks):
            group = shop.group[i]
            if task.fixed is None or group < 0:
                continue
            first, last = days.get(group, (task.fixed.start // day, task.fixed.end // day))
            days[group] = min(first, task.fixed.start // day), max(last, task.fixed.end // day)
            for worker in pricer.team_of_fixed[i]:
                held.setdefault(group, set()).update((worker, d) for d in task.fixed.days if d >= soon)
            for pool, unit in task.fixed.units:
                number = next((n for n, p in enumerate(shop.problem.pools) if p.key == pool), -1)
                sites.add((number, group))
                if number >= 0 and unit < shop.problem.pools[number].units:
                    moved.add(shop.unit_number(pool, unit))
        return Begun(days, {group: len(found) for group, found in held.items()}, sites, moved)


def fixed_price(shop: Shop, pricer: Pricer, table: Timetable, parts: list[Piece], begun: Begun) -> float:
    """What fixed work costs already, and no more work can lessen; with the machine moves that sites
    force [cents].

    A unit's moves are the changes in its row of sites: each new site adds one to those of its fixed work.
    """
    moves = _moves(shop, parts, begun)
    if all(t.fixed is None for t in shop.tasks):
        return moves
    own, cents = pricer.prices, 0.0
    bare = Pricer(shop)
    bare.slot_price = [0.0] * len(bare.slot_price)
    bare.late_by_day = [()] * len(bare.late_by_day)
    direct = _direct(shop)
    still = {shop.group[part[0]] for part in parts}
    comeback = own.comeback if direct else 0.0
    for group in range(len(bare.due)):
        if group in still:
            bare.prices = Prices(hand_over=own.hand_over, comeback=comeback)
            held = bare.late_price[group], bare.wait_price[group], bare.told[group]
            bare.late_price[group], bare.wait_price[group], bare.told[group] = 0.0, 0.0, []
            cents += bare.group_price(table, group)[0]
            bare.late_price[group], bare.wait_price[group], bare.told[group] = held
        else:
            bare.prices = replace(own, makespan=0.0, comeback=comeback, site_day=0.0, crumb=0.0)
            cents += bare.group_price(table, group)[0]
    bare.prices = Prices(comeback=comeback, site_day=own.site_day)
    if direct:
        cents += sum(bare.worker_price(table, w) for w in range(len(table.worker_rows)))
    return cents + moves + bare.units_price(table)


def _direct(shop: Shop) -> bool:
    """True when no way by another site is cheaper than the direct one."""
    import numpy as np

    leg = np.array(shop.leg)
    straight = all(bool((leg <= leg[:, [k]] + leg[[k], :] + 1e-6).all()) for k in range(len(leg)))
    depots = [np.array(row) for row in shop.depot]
    return straight and all(
        bool((d <= (d[:, None] + leg).min(axis=0) + 1e-6).all())
        and bool((leg <= d[:, None] + d[None, :] + 1e-6).all())
        for d in depots
        if len(d)
    )


def least_ways(shop: Shop, worker: int) -> Any:
    """Least price from the worker's depot to each site, by whichever sites [cents]."""
    import numpy as np

    least, leg = np.array(shop.depot[worker]), np.array(shop.leg)
    for _ in range(len(least)):
        nearer = np.minimum(least, (least[:, None] + leg).min(axis=0)) if len(least) else least
        if np.array_equal(nearer, least):
            break
        least = nearer
    return least


def _moves(shop: Shop, parts: list[Piece], begun: Begun) -> float:
    """Machine moves that new sites force; the first site of a unit that was nowhere is free."""
    cents = 0.0
    for number, pool in enumerate(shop.problem.pools):
        units = [u for u, p in enumerate(shop.pool_of) if p == number]
        if not pool.move_price or not units:
            continue
        sites = sum(
            any(all(any(first == units[0] for first, _, _ in o.uses) for o in shop.options[t]) for t in part)
            for part in parts
            if (number, shop.group[part[0]]) not in begun.sites
        )
        cents += pool.move_price * max(0, sites - len([u for u in units if u not in begun.moved]))
    return cents
