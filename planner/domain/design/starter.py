"""A design to begin with: a plain outline with even shelves, as a text that the office then makes its own."""

from __future__ import annotations

from planner.errors import BadInput

SHAPES = ("rectangle", "ellipse", "kidney")
#: A shelf wide enough to stand stone and plants on [in]. Common practice, no published source.
SHELF_IN = 14.0


def starter(shape: str, length_ft: float, width_ft: float, deep_in: float, shelves: int, name: str) -> str:
    """The text of a design: `shelves` shelves between rim and floor, walls of equal height.

    length_ft, width_ft: of the outline at the rim [ft]; deep_in: rim to floor [in]. Raises BadInput.

    >>> starter("ellipse", 16, 11, 24, 2, "Fern").splitlines()[8]
    'down_in = 8'
    """
    if shape not in SHAPES:
        raise BadInput("shape", shape, f"use one of: {', '.join(SHAPES)}")
    if not 0 <= shelves <= 5:
        raise BadInput("shelves", shelves, "choose 0 to 5")
    for field, value, low, high in (
        ("length", length_ft, 3.0, 200.0),
        ("width", width_ft, 3.0, 200.0),
        ("depth", deep_in, 6.0, 120.0),
    ):
        if not low <= value <= high:
            raise BadInput(field, f"{value:g}", f"choose {low:g} to {high:g}")
    title = "".join(c for c in name if c.isprintable() and c not in '"\\\\')[:60]
    lines = [f'name = "{title}"', 'units = "us"', "", "[outline]", f'shape = "{shape}"']
    lines += [f"length_ft = {length_ft:g}", f"width_ft = {width_ft:g}"]
    down = deep_in / (shelves + 1)
    for _ in range(shelves):
        lines += ["[[step]]", f"down_in = {down:g}", f"ledge_in = {SHELF_IN:g}"]
    lines += ["[[step]]", f"down_in = {down:g}"]
    return "\n".join(lines) + "\n"
