"""SVG by hand: a few shapes with everything escaped. Coordinates are in hundredths of an inch on paper."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from xml.sax.saxutils import escape, quoteattr

Spot = tuple[float, float]

#: A figure with its fraction or unit, which stay on one line.
_WHOLE = re.compile(r"(\d) (1/2\"|(?:m|mm|ft|in|cy|gal|gpm|lb|ton)\b)")


def n(value: float) -> str:
    """A coordinate with two decimals at most."""
    return f"{value:.2f}".rstrip("0").rstrip(".")


def attrs(**named: object) -> str:
    """Attributes; underscores become dashes, None is left out."""
    parts = []
    for name, value in named.items():
        if value is not None:
            shown = n(value) if isinstance(value, float) else str(value)
            parts.append(f" {name.rstrip('_').replace('_', '-')}={quoteattr(shown)}")
    return "".join(parts)


def tag(name: str, **named: object) -> str:
    """One closed element."""
    return f"<{name}{attrs(**named)}/>"


def line(a: Spot, b: Spot, class_: str) -> str:
    """A straight line."""
    return tag("line", x1=a[0], y1=a[1], x2=b[0], y2=b[1], class_=class_)


def path(points: Sequence[Spot], class_: str, *, closed: bool = False) -> str:
    """A line through points."""
    return tag("path", d=steps(points, closed=closed), class_=class_)


def area(rings: Iterable[Sequence[Spot]], class_: str) -> str:
    """A filled area of several rings; holes by the even-odd rule."""
    outline = " ".join(steps(ring, closed=True) for ring in rings)
    return tag("path", d=outline, class_=class_, fill_rule="evenodd")


def steps(points: Sequence[Spot], *, closed: bool = False) -> str:
    """Path data through points."""
    head, *rest = points
    body = "".join(f"L{n(x)} {n(y)}" for x, y in rest)
    return f"M{n(head[0])} {n(head[1])}{body}{'Z' if closed else ''}"


def text(at: Spot, words: str, class_: str, *, anchor: str = "start", turn: float = 0.0) -> str:
    """Text at a spot, turned by `turn` degrees clockwise."""
    turned = f"rotate({n(turn)} {n(at[0])} {n(at[1])})" if turn else None
    place = attrs(x=at[0], y=at[1], class_=class_, text_anchor=anchor, transform=turned)
    return f"<text{place}>{escape(words)}</text>"


def circle(at: Spot, radius: float, class_: str) -> str:
    """A circle."""
    return tag("circle", cx=at[0], cy=at[1], r=radius, class_=class_)


def rect(
    at: Spot, width: float, height: float, class_: str, *, turn: float = 0.0, round_: float = 0.0
) -> str:
    """A rectangle by its upper left corner, turned about its middle."""
    middle = (at[0] + width / 2.0, at[1] + height / 2.0)
    turned = f"rotate({n(turn)} {n(middle[0])} {n(middle[1])})" if turn else None
    return tag(
        "rect",
        x=at[0],
        y=at[1],
        width=width,
        height=height,
        rx=round_ or None,
        class_=class_,
        transform=turned,
    )


def page(paper: tuple[str, str], size: Spot, style: str, title: str, body: Sequence[str]) -> str:
    """A whole drawing: `paper` width and height with their unit ("11in"), coordinates 0 to `size`."""
    head = (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{paper[0]}" height="{paper[1]}" '
        f'viewBox="0 0 {n(size[0])} {n(size[1])}" role="img">'
    )
    inner = "\n".join(body)
    return f"{head}\n<title>{escape(title)}</title>\n<style>{style}</style>\n{inner}\n</svg>\n"


def wrapped(words: str, width: int, most: int = 99) -> list[str]:
    """Words broken into lines of about `width` characters; the last of `most` lines ends with three dots."""
    import textwrap

    held = _WHOLE.sub("\\1\u00a0\\2", words)
    rows = [row.replace("\u00a0", " ") for row in textwrap.wrap(held, width)] or [""]
    if len(rows) > most:
        rows = [*rows[: most - 1], rows[most - 1][: width - 1] + "…"]
    return rows
