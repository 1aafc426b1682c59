"""How logs fold into the state of a phase."""

from __future__ import annotations

from datetime import date
from itertools import permutations

from planner.domain.firm.actuals import Log, progress
from planner.domain.firm.phases import Phase


def log(day: int, share: float | None, hours: float = 4.0, **more: object) -> Log:
    return Log(date(2027, 4, day), "North", "P-1", Phase.DIG, hours, share, **more)  # type: ignore[arg-type]


def test_a_share_that_falls_is_believed_from_the_latest_day_on() -> None:
    """Monday said 60 %, Tuesday looked again and said 40 %: 40 % counts, whatever the order of the entries;
    Wednesday said nothing of it, so Tuesday's word stands. Two words of one day: the larger."""
    entries = [log(5, 0.6), log(6, 0.4), log(6, 0.3), log(7, None)]
    for order in permutations(entries):
        found = progress(list(order))["P-1", Phase.DIG]
        assert (found.share, found.done, found.spent_crew_h) == (0.4, False, 16.0)
        assert (found.first, found.last) == (date(2027, 4, 5), date(2027, 4, 7))


def test_done_is_said_by_a_flag_or_by_the_whole_share() -> None:
    assert progress([log(5, None, done=True), log(6, 0.2)])["P-1", Phase.DIG].share == 1.0
    assert progress([log(5, 1.0)])["P-1", Phase.DIG].done
    assert not progress([log(5, 0.99)])["P-1", Phase.DIG].done
    assert progress([log(5, None)])["P-1", Phase.DIG].share == 0.0
