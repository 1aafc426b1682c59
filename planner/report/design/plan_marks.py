"""What stands round the plan: how much ground it shows, dimension lines, arrows, measured points."""

from __future__ import annotations

import math
from collections.abc import Sequence

from planner.domain.design.outline import Outline, Point
from planner.domain.design.section import Section
from planner.domain.quantities.cautions import SET_BACK_FT
from planner.domain.quantities.takeoff import Takeoff
from planner.report.design import svg
from planner.report.design.svg import Spot


def marked_points(outline: Outline) -> list[Point]:
    """The measured points, each once, in the order of measuring."""
    return list(dict.fromkeys(outline.marks))


def arrow_spots(takeoff: Takeoff) -> tuple[Point, Point]:
    """Tip and tail of the arrow at the viewing side [ft]."""
    viewing, shape = takeoff.design.viewing, takeoff.layers[0].top
    angle = math.radians(viewing.direction_deg if viewing else 0.0)
    x, y = math.cos(angle), math.sin(angle)
    center, hull = shape.centroid, shape.convex_hull.boundary.coords
    reach = max((px - center.x) * x + (py - center.y) * y for px, py, *_ in hull)
    tip, tail = reach, reach + 1.6
    return (center.x + tip * x, center.y + tip * y), (center.x + tail * x, center.y + tail * y)


def ground_bounds(takeoff: Takeoff, cut: Section) -> tuple[float, float, float, float]:
    """What must fit on the plan: rim with set-back, boxes, pipe, base line, section line [ft]."""
    left, low, right, high = takeoff.layers[0].top.buffer(SET_BACK_FT).bounds
    places: list[Point] = [*takeoff.layout.route, *takeoff.design.outline.base, cut.start, cut.end]
    reach = 2.0
    falls = takeoff.design.falls
    if takeoff.design.viewing is not None:
        x, y = arrow_spots(takeoff)[1]
        places += [(x - 1.0, y - 1.0), (x + 1.0, y + 1.0)]
    for place in (takeoff.layout.skimmer, takeoff.layout.top_box):
        if place is not None:
            places += [(place[0] + dx, place[1] + dy) for dx in (-reach, reach) for dy in (-reach, reach)]
    if falls and falls.berm and takeoff.layout.top_box:
        half = max(falls.berm.length_ft, falls.berm.width_ft) / 2.0
        x, y = takeoff.layout.top_box
        places += [(x - half, y - half), (x + half, y + half)]
    places += takeoff.design.site.house
    stand = takeoff.design.placing.stand if takeoff.design.placing else None
    marked = [stand, *(boulder.at for boulder in takeoff.design.boulders)]
    places += [place for place in marked if place is not None]
    xs, ys = [x for x, _ in places], [y for _, y in places]
    return (min([left, *xs]), min([low, *ys]), max([right, *xs]), max([high, *ys]))


def dimension(a: Spot, b: Spot, words: str) -> list[str]:
    """A dimension line with slashes at its ends and its words in the middle."""
    middle = ((a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0)
    upright = abs(a[0] - b[0]) < abs(a[1] - b[1])
    spot = (middle[0] - 4.0, middle[1]) if upright else (middle[0], middle[1] - 4.0)
    ticks = [svg.line((x - 3, y + 3), (x + 3, y - 3), "tick") for x, y in (a, b)]
    return [
        svg.line(a, b, "dim"),
        *ticks,
        svg.text(spot, words, "t b halo", anchor="middle", turn=-90.0 if upright else 0.0),
    ]


def arrow_head(tail: Spot, tip: Spot) -> Sequence[str]:
    """An arrow's head at `tip`."""
    angle = math.atan2(tip[1] - tail[1], tip[0] - tail[0])
    wings = [(tip[0] - 8 * math.cos(angle + d), tip[1] - 8 * math.sin(angle + d)) for d in (0.4, -0.4)]
    return [svg.path([wings[0], tip, wings[1]], "arrowhead", closed=True)]
