"""Which of the published bookings of the next days can stay as they are.

Every published booking is laid where it was, if it still fits there, the others after: what comes to lie
where it lay stays, with everything else that does; what does not has become impossible and is left to move.
"""

from __future__ import annotations

from planner.domain.season.season import Season
from planner.domain.season.told_days import to_stay, with_frozen
from planner.errors import NoPlanFits, NoPlanInTime
from planner.schedule.answers.repair import patch


def freeze(season: Season) -> Season:
    """The season with those of the next days' bookings kept that can be; none if the rest has no place."""
    asked = to_stay(season)
    if not asked:
        return season
    try:
        laid = {b.key: b for b in patch(season, tuple(season.published.values())).bookings}
    except (NoPlanFits, NoPlanInTime):
        return season
    return with_frozen(
        season,
        (b for key, b in asked.items() if (laid[key].start, laid[key].crews) == (b.start, b.crews)),
    )
