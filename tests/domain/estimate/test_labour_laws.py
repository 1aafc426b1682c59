"""Laws of the labour model: more work, worse ground, longer carry never take fewer hours."""

from dataclasses import replace
from itertools import pairwise

from hypothesis import given, settings
from hypothesis import strategies as st

from planner.domain.firm.jobs import ITEMS, Access, Job, Line, Soil
from planner.domain.firm.phases import ORDER
from tests.domain.estimate.ponds import NORTH, told

RATED = [item.key for item in ITEMS.values() if item.rated]

amounts = st.dictionaries(
    st.sampled_from(RATED), st.floats(min_value=0.1, max_value=400.0), min_size=1, max_size=8
)
jobs = st.builds(
    lambda found, soil, access, carry, depth, wet, occupied: Job(
        "J",
        "c",
        soil=soil,
        access=access,
        carry_ft=carry,
        depth_in=depth,
        wet=wet,
        occupied=occupied,
        lines=tuple(Line(key, q) for key, q in found.items()),
    ),
    amounts,
    st.sampled_from(list(Soil)),
    st.sampled_from(list(Access)),
    st.floats(min_value=0.0, max_value=500.0),
    st.floats(min_value=12.0, max_value=90.0),
    st.booleans(),
    st.booleans(),
)
sizes = st.integers(min_value=1, max_value=8)


def hours(job: Job, size: int = 3) -> list[float]:
    """Likely, P50 and P90 crew-hours of the whole job."""
    found = told(job, replace(NORTH, size=size))
    return [found.crew_h, found.crew_h_at(50), found.crew_h_at(90)]


def assert_not_fewer(more: list[float], less: list[float]) -> None:
    assert more[0] >= less[0] * (1 - 1e-9)
    assert more[1] >= less[1] * (1 - 1e-6)


@settings(max_examples=120, deadline=None)
@given(job=jobs, factor=st.floats(min_value=1.0, max_value=5.0), size=sizes)
def test_more_quantity_never_means_fewer_hours(job: Job, factor: float, size: int) -> None:
    for i, line in enumerate(job.lines):
        more = replace(line, quantity=line.quantity * factor)
        grown = replace(job, lines=(*job.lines[:i], more, *job.lines[i + 1 :]))
        assert hours(grown, size)[0] >= hours(job, size)[0] * (1 - 1e-9)


@settings(max_examples=120, deadline=None)
@given(job=jobs, size=sizes)
def test_worse_soil_never_means_fewer_hours(job: Job, size: int) -> None:
    by_soil = [hours(replace(job, soil=soil), size) for soil in Soil]
    for easier, worse in pairwise(by_soil):
        assert_not_fewer(worse, easier)


@settings(max_examples=120, deadline=None)
@given(job=jobs, longer=st.floats(min_value=0.0, max_value=300.0), size=sizes)
def test_longer_carry_never_means_fewer_hours(job: Job, longer: float, size: int) -> None:
    assert_not_fewer(hours(replace(job, carry_ft=job.carry_ft + longer), size), hours(job, size))


@settings(max_examples=120, deadline=None)
@given(job=jobs, size=sizes)
def test_worse_access_wet_ground_and_neighbors_never_mean_fewer_hours(job: Job, size: int) -> None:
    by_access = [hours(replace(job, access=access), size)[0] for access in Access]
    assert by_access[0] <= by_access[1] * (1 + 1e-9) <= by_access[2] * (1 + 2e-9)
    assert_not_fewer(hours(replace(job, wet=True), size), hours(replace(job, wet=False), size))
    assert_not_fewer(hours(replace(job, occupied=True), size), hours(replace(job, occupied=False), size))
    assert_not_fewer(hours(replace(job, depth_in=90.0), size), hours(replace(job, depth_in=24.0), size))


@settings(max_examples=150, deadline=None)
@given(job=jobs, size=sizes)
def test_hours_are_positive_rise_with_the_percentile_and_are_explained(job: Job, size: int) -> None:
    found = told(job, replace(NORTH, size=size))
    assert set(found.phases) == {p for p in ORDER if any(line.phase is p for line in job.lines)}
    for phase in found.phases.values():
        assert phase.crew_h > 0 and phase.hours.log_sd > 0
        assert abs(sum(line.crew_h for line in phase.lines) - phase.crew_h) < 1e-9 * phase.crew_h
        assert sum(phase.line_minutes()) == round(phase.crew_h * 60)
        assert all(line.crew_h >= 0 for line in phase.lines)
        assert abs(sum(phase.parts) - 1.0) < 1e-12
    values = [found.crew_h_at(p) for p in (5, 20, 50, 80, 95)]
    assert values == sorted(values)
    assert abs(sum(found.planned(80).values()) - found.crew_h_at(80)) < 1e-6 * found.crew_h_at(80)
