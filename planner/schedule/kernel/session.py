"""A search at work on flat rows: what stands, what is tried, what was best.

In: a problem and timetables. Out: steps done and timetables; the functions of the kernel behind plain
methods.
"""

from __future__ import annotations

from planner.schedule.kernel import layout
from planner.schedule.kernel.compiling import COMPILED
from planner.schedule.kernel.cooling import anneal
from planner.schedule.kernel.flat import facts_of, notes_of, state_of, table_of
from planner.schedule.kernel.laying import accept, follow, price_all, relay
from planner.schedule.kernel.layout import Row
from planner.schedule.model.decode import Piece
from planner.schedule.model.price import Pricer
from planner.schedule.model.shop import Shop
from planner.schedule.model.timetable import Timetable

#: Steps between two looks at the clock: some hundredths of a second.
STRIDE_STEPS = 2000 if COMPILED else 100


class Session:
    """`now` stands; `trial` is like it between steps; `best` is the best that stood since `begin`.

    price and best_price [cents] count each task without a place as `laying.UNPLACED`.
    """

    def __init__(self, shop: Shop, pricer: Pricer, parts: list[Piece], seed: int) -> None:
        """Flatten the problem; a timetable comes with `begin`."""
        self.shop, self.parts = shop, parts
        self.facts = facts_of(shop, pricer, parts)
        self.notes, self.sums = notes_of(self.facts, seed)
        self._price_at = int(self.facts.ints[layout.SUM_PRICE])
        self._choice_at = int(self.facts.ints[layout.NOTE_CHOICE])
        self.now = self.trial = self.best = self.kept = self.flat(Timetable(shop))

    def flat(self, table: Timetable) -> Row:
        """A timetable as flat rows."""
        return state_of(self.facts, table)

    def table(self, state: Row) -> Timetable:
        """Flat rows as a timetable."""
        return table_of(self.shop, self.facts, state)

    @property
    def price(self) -> float:
        """What stands costs so much [cents]."""
        return float(self.sums[self._price_at])

    @property
    def best_price(self) -> float:
        """The best that stood costs so much [cents]."""
        return float(self.sums[self._price_at + 1])

    def begin(self, state: Row) -> float:
        """Go on from a state (it is copied); its price [cents]."""
        self.now, self.trial, self.best, self.kept = (state.copy() for _ in range(4))
        price = float(price_all(*self.facts, self.now, self.notes, self.sums))
        self.sums[self._price_at + 1] = price
        return price

    def anneal(self, steps: int, heat: float, cooling: float) -> float:
        """So many steps from `heat` [cents] on; the heat that is left."""
        rows = (self.now, self.trial, self.best, self.kept, self.notes, self.sums)
        return float(anneal(*self.facts, *rows, steps, heat, cooling))

    def lay(self, order: list[int], holds: dict[int, int], choice: dict[int, int] | None = None) -> float:
        """Lay parts again in this order, with these tasks held back to slots and these done by an option;
        the change of price [cents].

        `accept` or `reject` comes next.
        """
        ints = self.facts.ints
        order_at, task_at, slot_at = (
            int(ints[place]) for place in (layout.NOTE_ORDER, layout.NOTE_HOLD_TASK, layout.NOTE_HOLD_SLOT)
        )
        for place, part in enumerate(order):
            self.notes[order_at + place] = part
        for place, (task, slot) in enumerate(holds.items()):
            self.notes[task_at + place], self.notes[slot_at + place] = task, slot
        self.notes[layout.COUNTS + 2] = len(holds)
        for task, option in (choice or {}).items():
            self.notes[self._choice_at + task] = option
        return float(relay(*self.facts, self.now, self.trial, self.notes, self.sums, len(order)))

    def accept(self, delta: float) -> None:
        """What was laid stands."""
        accept(self.facts.ints, self.now, self.trial, self.notes, self.sums, delta)

    def reject(self) -> None:
        """What was laid is forgotten."""
        follow(self.facts.ints, self.now, self.trial, self.notes)

    def start(self, task: int) -> int:
        """Where what stands begins a task."""
        return int(self.now[4 * task])

    def trial_end(self, task: int) -> int:
        """Where what was laid ends a task."""
        return int(self.trial[4 * task + layout.END])

    def end(self, task: int) -> int:
        """Where what stands ends a task."""
        return int(self.now[4 * task + layout.END])
