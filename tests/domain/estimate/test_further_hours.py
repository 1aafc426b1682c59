"""Hours of further work: each item by hand, nothing for who asks for nothing, visits beside the estimate."""

from __future__ import annotations

import pytest

from planner.domain.estimate.labour import estimate
from planner.domain.estimate.visits import visits
from planner.domain.firm.items import ITEMS
from planner.domain.firm.jobs import Access, Job, Line
from planner.domain.firm.phases import ORDER, Phase
from tests.domain.estimate.ponds import BOOK, FIRM, MACHINES, NORTH, RULES, only, pond

RATED = [item for item in ITEMS.values() if item.rate]


def labour_h(job: Job, phase: Phase) -> float:
    """Labour-hours of a phase's tasks: no factor, no loss to the crew's size, no wait for the machine."""
    found = estimate(job, NORTH, BOOK, FIRM, RULES, MACHINES)
    apart = ("crew size", "hands wait")
    return sum(line.labour_h for line in found.phases[phase].lines if not line.words.startswith(apart))


@pytest.mark.parametrize("item", RATED, ids=lambda item: item.key)
def test_each_item_adds_its_quantity_times_its_rate_to_its_phase(item: object) -> None:
    assert isinstance(item, type(RATED[0]))
    bare, more = pond(), pond(**{item.key: 7.0})
    added = labour_h(more, item.phase) - labour_h(bare, item.phase)
    assert added == pytest.approx(7.0 * BOOK.value(item.rate))
    for phase in ORDER:
        if phase is not item.phase:
            assert labour_h(more, phase) == labour_h(bare, phase)


def test_further_work_alone_makes_its_phase_with_the_phases_setup() -> None:
    job = only(seed_ft2=1000.0)
    assert labour_h(job, Phase.FILL) == pytest.approx(
        BOOK.value("fill.setup") + 1000 * BOOK.value("seed.sow")
    )


def test_named_boulders_take_the_machine_and_without_one_bars_and_a_dolly() -> None:
    by_machine, by_hand = only(named_boulder_ton=1.0), only(named_boulder_ton=1.0)
    by_hand = Job("P-1", "x", occupied=False, access=Access.HAND, lines=by_hand.lines)
    stones, feet = 2000 / BOOK.value("stone.large_lb"), by_hand.carry_ft
    dolly = stones * 2 * (2 * feet / BOOK.value("dolly.speed_ft_min") + BOOK.value("dolly.lost_min")) / 60
    hands = BOOK.value("rock.setup") + BOOK.value("rock.set.bars") + dolly
    assert labour_h(by_hand, Phase.ROCK) == pytest.approx(hands)
    assert labour_h(by_machine, Phase.ROCK) < hands


def test_the_bog_is_dug_like_any_seat() -> None:
    added = labour_h(pond(bog_dig_cy=2.0), Phase.SET_FILTERS) - labour_h(pond(), Phase.SET_FILTERS)
    assert added == pytest.approx(2.0 * BOOK.value("dig.hand.loam"))


def test_visits_stand_beside_the_estimate_and_not_in_it() -> None:
    job = pond(winter_closings=1.0, spring_openings=1.0, leaf_net_ft2=110.0)
    assert labour_h(job, Phase.FILL) == labour_h(pond(), Phase.FILL)
    closing, opening = visits(job, BOOK)
    assert closing.labour_h[1] == pytest.approx(
        BOOK.value("visit.close") + 110 * BOOK.value("visit.close_ft2")
    )
    assert opening.labour_h[1] == pytest.approx(
        BOOK.value("visit.open") + 2500 * BOOK.value("visit.open_gal")
    )
    assert visits(Job("P-2", "x", lines=(Line("fill_gal", 900),)), BOOK) == ()
