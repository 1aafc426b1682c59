"""Towing's figures against published rules, worked by hand.

49 CFR 383.91(a)(1), seen: group A is a combination rated 26,001 lb or more whose towed unit is rated above
10,000 lb. 49 CFR 393.106(d), seen in FMCSA guidance: working load limits together at least half of the
weight. 49 CFR 393.130, seen in FMCSA's handbook on cargo securement, chapter 10: machines of 10,000 lb
and more (4,500 kg); its four tie-downs from memory. Tongue load 10 to 15 % of the loaded trailer: seen in a
vehicle maker's owner's manual.
"""

from __future__ import annotations

import pytest

from planner.domain.safety.towing import group_a, held_lb, least_tiedowns, tongue_lb, tow_words


@pytest.mark.parametrize(
    ("combined", "towed", "asked"),
    [
        (26_001, 10_001, True),  # both limits passed
        (26_000, 10_001, False),  # rated together a pound below
        (26_001, 10_000, False),  # "in excess of 10,000 pounds"
        (33_000, 14_000, True),
        (19_500, 9_900, False),
    ],
)
def test_group_a_by_383_91(combined: float, towed: float, asked: bool) -> None:
    assert group_a(combined, towed) is asked


@pytest.mark.parametrize(("machine", "count"), [(3_750, 2), (9_999, 2), (10_000, 4), (18_000, 4)])
def test_four_tie_downs_from_ten_thousand_pounds(machine: float, count: int) -> None:
    assert least_tiedowns(machine) == count


def test_working_load_limits_are_half_the_weight() -> None:
    # 4,500 kg of 393.130 are 9,921 lb; half of 8,000 lb asks for four chains of 1,000 lb, or two of 2,000.
    assert held_lb(8_000) == 4 * 1_000 == 2 * 2_000


def test_tongue_of_a_loaded_trailer() -> None:
    # A trailer of 2,000 lb with 3,000 lb on it: 500 to 750 lb on the ball (a printed example).
    assert tongue_lb(2_000 + 3_000) == pytest.approx((500, 750))


def test_words_name_the_license_where_the_trailer_is_heavy() -> None:
    light = tow_words("mini excavator", "pickup", 5_900, 3_750, "us")
    heavy = tow_words("excavator", "dump truck", 14_000, 11_000, "us")
    assert "tongue 590 lb to 885 lb" in light and "tied down front and rear" in light
    assert "at least 1,875 lb" in light and "383.91" not in light
    assert "four tie-downs or more" in heavy and "26,001 lb or more" in heavy and "383.91" in heavy


def test_a_metric_firm_reads_kilograms() -> None:
    # 9,800 lb x 0.45359237 = 4,445 kg; to three digits as all measures of the sheets.
    assert "4,450 kg with its trailer" in tow_words("Bagger", "truck", 9_800, 0, "metric")
