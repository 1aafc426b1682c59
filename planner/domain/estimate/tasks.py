"""From a phase's quantities to its tasks, phase by phase."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from planner.domain.estimate.earth_tasks import dig_tasks
from planner.domain.estimate.further_tasks import further_tasks
from planner.domain.estimate.rock_tasks import rock_tasks
from planner.domain.estimate.task import Task, Tasks, Way, hand_dig, num, once, rated
from planner.domain.estimate.visits import visit_tasks
from planner.domain.firm.phases import Phase


def tasks_of(phase: Phase, way: Way) -> Tasks:
    """The tasks of `phase`; empty when the job has no quantity for it."""
    found, further = _PHASES[phase](way), further_tasks(phase, way)
    if phase is Phase.VISIT or (not found.tasks and not further):
        return found
    key = f"{phase.value}.setup"
    return Tasks((once(way, key), *found.tasks, *further), found.machine_h, found.machine_steps)


def _set_filters(way: Way) -> Tasks:
    seats = hand_dig(way, way.job.amount("box_dig_cy"), "dig the box seats by hand")
    bog = hand_dig(way, way.job.amount("bog_dig_cy"), "dig the bog by hand")
    return Tasks((*rated(way, "filters.box", way.job.amount("filter_boxes"), "count"), *seats, *bog))


def _liner(way: Way) -> Tasks:
    liner_ft2 = way.job.amount("liner_ft2")
    each_lb = liner_ft2 * way.book.value("liner.lb_ft2") / way.crew.size
    over = max(1.0, each_lb / way.book.value("lift.share_lb"))
    heavy = over ** way.book.value("liner.heavy_power")
    return Tasks(
        (
            *rated(way, "liner.underlayment", way.job.amount("underlayment_ft2"), "ft2"),
            *rated(
                way,
                "liner.place",
                liner_ft2,
                "ft2",
                factor=heavy,
                factor_words=f"{num(each_lb)} lb a person, {num(over)} times the limit, to the power of "
                f"{num(way.book.value('liner.heavy_power'))}",
                factor_rows=("liner.lb_ft2", "lift.share_lb", "liner.heavy_power"),
            ),
            *rated(way, "liner.seam", way.job.amount("seams_ft"), "ft"),
        )
    )


def _plumbing(way: Way) -> Tasks:
    return Tasks(
        (
            *rated(way, "pipe.lay", way.job.amount("pipe_ft"), "ft"),
            *rated(way, "pipe.connection", way.job.amount("connections"), "count"),
            *rated(way, "joint.sealed", way.job.amount("sealed_joints"), "count"),
        )
    )


def _fill(way: Way) -> Tasks:
    water = rated(way, "fill.rinse", way.job.amount("fill_gal"), "gal")
    edge = rated(way, "edge.trim", way.job.amount("edge_ft"), "ft", part=2)
    if not water and not edge:
        return Tasks(())
    return Tasks((*water, *edge, once(way, "fill.start", part=2)))


def unattended_h(way: Way) -> tuple[float, str]:
    """Hours that the hose runs by itself, and the arithmetic; 0 without water."""
    gallons = way.job.amount("fill_gal")
    flow = way.job.amount("hose_gpm") or way.book.value("hose.gpm")
    hours = gallons / flow / 60.0
    return hours, f"{num(gallons)} gal ÷ {num(flow)} gpm ÷ 60 = {num(hours)} h unattended"


def fill_parts(tasks: tuple[Task, ...]) -> tuple[float, ...]:
    """Shares of the attended hours before and after the water runs; they sum to 1."""
    after = sum(t.labour_h[1] for t in tasks if t.part == 2) / sum(t.labour_h[1] for t in tasks)
    return (1.0 - after, after)


_PHASES: Mapping[Phase, Callable[[Way], Tasks]] = {
    Phase.DIG: dig_tasks,
    Phase.SET_FILTERS: _set_filters,
    Phase.LINER: _liner,
    Phase.ROCK: rock_tasks,
    Phase.PLUMBING: _plumbing,
    Phase.FILL: _fill,
    Phase.VISIT: visit_tasks,
}
