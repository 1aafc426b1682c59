"""Where everything stands in the flat rows.

A compiled function is quick when it is handed few rows: so a whole problem is three of them (`ints`, `axes`,
`money`), a timetable is one (`state`), and what a step writes down is two (`notes`, `sums`). `ints` begins
with a head: first the sizes, then, for every list, the place where it begins. `ints[ints[DUE] + g]` is the
due day of group g. `X_AT` places the pieces of X: those of item i lie from `ints[ints[X_AT] + i]` to
`ints[ints[X_AT] + i + 1]`.
"""

from __future__ import annotations

from typing import Any

#: Whole numbers (`ints`, `axes`, `state`, `notes`) or prices in cents (`money`, `sums`): a list, or an array
#: when compiled.
Row = Any

# ---- head of ints: sizes -----------------------------------------------------------------------------------

#: slots of the horizon and of a day; tasks, workers, units, groups, parts; room of a row; most units a task
#: holds; 1 when sites lie apart; 1 when a task has more than one option; most holds that a step notes.
HORIZON, DAY, TASKS, WORKERS, UNITS, GROUPS, PARTS, ROOM, HELD, DRIVES, CHOOSY, HOLDS = range(12)
#: How a state is cut: where the units of tasks, the rows and their lengths begin, and the step from the
#: starts of all rows to their ends, and on to their tasks.
UNITS_HELD, ROWS, ROW_COUNT, STRIDE = range(12, 16)
#: Weekday of day 0; weeks in a worker's sums, and one more; slots below which a run of work is a crumb.
WEEKDAY, WEEKS, CRUMB = range(16, 19)

# ---- head of ints: where lists begin -----------------------------------------------------------------------

#: In `ints`. OPTION_ALONE: the worker who does it without help, else -1; FIXED: 1 when not to be moved; DUE:
#: a far past without promise; STAGE: 1 opens a hole, 2 closes it; LEAST: slots of its first day; REST: runs
#: of days off begun up to a day; PART_OF: task to part, -1 for fixed ones.
(
    GROUP,
    RELEASE,
    DEADLINE,
    START_AT,
    RANK,
    STAGE,
    LEAST,
    FIXED,
    FIXED_AXIS,
    FIXED_LEAD,
    FIXED_TEAM_AT,
    FIXED_TEAM,
    FIXED_FIRST,
    FIXED_LAST,
    FIXED_DAYS,
    LINK_AT,
    LINK_BEFORE,
    LINK_LEAST,
    LINK_MOST,
    OPTION_AT,
    OPTION_WORK,
    OPTION_AXIS,
    OPTION_ALONE,
    TEAM_AT,
    TEAM,
    USE_AT,
    USE_FIRST,
    USE_COUNT,
    USE_NEED,
    AXIS_BEFORE_AT,
    AXIS_AT_AT,
    AXIS_COUNT,
    WORKER_AXIS,
    WORKER_PAST_AT,
    WORKER_PAST,
    WORKER_PAST_END,
    DRIVE,
    UNIT_MOVE,
    UNIT_OUT_AT,
    UNIT_OUT_FIRST,
    UNIT_OUT_END,
    REST,
    UNIT_PAST_AT,
    UNIT_PAST,
    MEMBER_AT,
    MEMBER,
    DUE,
    WAIT_FROM,
    TOLD_AT,
    TOLD_DAY,
    TOLD_LEAD,
    TOLD_TASK_AT,
    TOLD_TASK,
    PART_AT,
    PART_TASK,
    PART_OF,
    LATE_AT,
) = range(19, 76)

#: In `money`; shares and slots too. DEPOT: worker x group, LEG: group x group; PRICES: hand-over, comeback,
#: site day, open day, day of an open hole, days off with one, days off over begun work, crumb. FIXED_EDGES:
#: slots worked on a fixed task's first and last day, FIXED_OWED: those that take off wages; WEEK_SUM: worker
#: x wages up to a week, SLOT_PRICE: worker; LATE_BY_DAY: what a group's last day costs, pieces as in LATE_AT.
(
    LINK_SHARE,
    DEPOT,
    LEG,
    UNIT_PRICE,
    LATE_PRICE,
    WAIT_PRICE,
    TOLD_PRICE,
    TOLD_CALL,
    PRICES,
    FIXED_EDGES,
    FIXED_OWED,
    WEEK_SUM,
    SLOT_PRICE,
    LATE_BY_DAY,
) = range(76, 90)

#: In `axes`: where the days begun lie, counted from the worked slots.
AXIS_DAY = 90

#: In `notes`, which begin with the dice and six counts.
(
    NOTE_ORDER,
    NOTE_TASKS,
    NOTE_CHOICE,
    NOTE_HOLD_TASK,
    NOTE_HOLD_SLOT,
    NOTE_SPAN_FIRST,
    NOTE_SPAN_LAST,
    NOTE_SPAN_COUNT,
    NOTE_ROWS,
    NOTE_GROUPS,
    NOTE_MARKS,
    NOTE_MERGED,
    NOTE_SITES,
    NOTE_KEYS,
    NOTE_FIT,
    NOTE_BEST,
    NOTE_FOUND,
    NOTE_LATER,
) = range(91, 109)

#: In `sums`. SUM_PRICE: the standing price, then the best.
(
    SUM_PRICE,
    SUM_GROUP_PRICE,
    SUM_GROUP_NEW,
    SUM_UNIT_PRICE,
    SUM_UNIT_NEW,
) = range(109, 114)

#: In `ints`: 1 for a task that may not flow over a night.
ONE_DAY = 114

#: Towing. Sizes: 1 where trucks bring units, trucks, days; then lists in `ints`: 1 where a unit that was
#: nowhere stands already, rank of a unit's weight, worker x days without anybody who tows, rank of what a
#: truck tows, its worker, truck x units that it brings a day; then in `notes`: (unit, worker) of each unit
#: brought on a day, what each truck can still bring, and what a span put in on trial pushes out of a row.
(
    TOWED,
    TRUCKS,
    TOW_DAYS,
    THERE,
    UNIT_TOW,
    NO_TOW,
    TRUCK_TOWS,
    TRUCK_OF,
    TRUCK_LEFT,
    NOTE_LOADS,
    NOTE_LEFT,
    NOTE_PUSHED,
) = range(115, 127)

#: Ruin: in `notes` the parts taken out; in `sums` the prices that stood: the whole, of groups, of units.
NOTE_RUIN, SUM_KEPT = range(127, 129)

HEAD = 129

# ---- state and notes ---------------------------------------------------------------------------------------

#: A task in a state is four numbers: start (-1 without a place), end, option, hold.
END, OPTION, HOLD = 1, 2, 3
#: In notes: how many stand in the order, tasks, holds, groups, rows; after the dice. OWED: steps that a ruin
#: took beforehand.
COUNTS, OWED = 1, 6
