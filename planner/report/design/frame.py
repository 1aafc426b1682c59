"""What each sheet of a drawing has: paper, frame, title, revision, a bar to lay a tape on, what to mind.

In: a take-off, the firm's units, the title's rows. Out: SVG elements and whole sheets.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from planner.domain.dates import long_day
from planner.domain.design.design import revision_of
from planner.domain.firm.jobs import Job
from planner.domain.quantities.cautions import SET_BACK_FT
from planner.domain.quantities.takeoff import Takeoff
from planner.report.design import svg
from planner.report.design.scale import Scale, length_words
from planner.units import M_PER_FT, METRIC

STYLE = (
    "text{font-family:Helvetica,Arial,sans-serif;fill:#111}"
    ".t{font-size:12px}.s{font-size:10.5px}.b{font-weight:bold}.h{font-size:17px;font-weight:bold}"
    ".halo{paint-order:stroke;stroke:#fff;stroke-width:3px;stroke-linejoin:round}"
    "path,line,rect,circle{fill:none;stroke:#111;stroke-width:.8}"
    ".frame{stroke-width:1.5}.thin{stroke:#888;stroke-width:.5}"
    ".ground{stroke:none}.d0{fill:#e3eef6}.d1{fill:#c3d9e8}.d2{fill:#a2c3d9}.d3{fill:#82accb}.d4{fill:#6a97b9}"
    ".d5{fill:#5585a8}.floor{fill:#7fa8c6}.toe{stroke:#456;stroke-width:.5;stroke-dasharray:2 2}"
    ".rim{stroke-width:2.2}.edge{stroke-width:1}.setback{stroke:#a33;stroke-width:.7;stroke-dasharray:2 3}"
    ".berm{fill:#efe9dc;stroke:#7a6a45;stroke-dasharray:6 3}"
    ".stream{fill:#cfe3f0;stroke:#357}.lip{stroke-width:3}"
    ".box{fill:#fff;stroke-width:1.4}.pipe{stroke:#111;stroke-width:1.6;stroke-dasharray:9 3 2 3}"
    ".base{stroke:#555;stroke-dasharray:12 3 2 3;stroke-width:.6}.stake{fill:#111}"
    ".mark{fill:#fff;stroke-width:.8}.cut{stroke-width:2}.cutthin{stroke-width:.4;stroke-dasharray:14 4 2 4}"
    ".house{stroke-width:3.2;stroke:#555}.dim,.tick{stroke-width:.8}.ext,.level{stroke:#777;stroke-width:.4}.arrow{stroke-width:1.2}"
    ".arrowhead{fill:#111}.earth{fill:#efe9dc;stroke:none}.water{fill:#cfe3f0;stroke:none}"
    ".waterline{stroke:#357;stroke-width:1.2}.stone{fill:#d9d6d0;stroke:#555;stroke-width:.7}"
    ".liner{stroke-width:2.2;stroke-linejoin:round}.bar{fill:#111}"
    ".fill{fill:#f6f1e6;stroke:#7a6a45;stroke-dasharray:6 3}.pad{fill:#b9b4a8;stroke-width:1}"
    ".foam{stroke:#c60;stroke-width:4}.running{stroke:#357;stroke-width:1.8}.break{stroke-width:1.4}"
)

LETTER, A4 = (("11in", "8.5in"), (1100.0, 850.0)), (("297mm", "210mm"), (1169.3, 826.8))
#: The column on the right of each sheet, on paper.
COLUMN = 285.0


def title_of(job: Job | None, day: date, crew: str = "") -> tuple[str, ...]:
    """What the title block says of a job: code and client, address, for which crew and day, or when drawn."""
    if job is None:
        return ()
    whom = f"for crew {crew}, {long_day(day)}" if crew else f"drawn {long_day(day)}"
    return tuple(filter(None, (f"{job.code}, {job.client}", job.address, whom)))


def paper_of(units: str) -> tuple[tuple[str, str], svg.Spot]:
    """The paper's width and height with their unit, and its coordinates."""
    return A4 if units == METRIC else LETTER


def sheet(takeoff: Takeoff, units: str, body: Sequence[str]) -> str:
    """A whole sheet: the body inside its frame."""
    paper, (width, height) = paper_of(units)
    framed = [
        svg.rect((0.0, 0.0), width, height, "paper"),
        svg.rect((15.0, 15.0), width - 30.0, height - 30.0, "frame"),
        svg.line((width - COLUMN - 15.0, 15.0), (width - COLUMN - 15.0, height - 15.0), "thin"),
        *body,
    ]
    style = STYLE + ".paper{fill:#fff;stroke:none}"
    return svg.page(paper, (width, height), style, takeoff.design.name, framed)


def head(takeoff: Takeoff, at: svg.Spot, title: Sequence[str], sheet_words: str) -> tuple[list[str], float]:
    """Name, job, revision and which sheet this is; and where the next words may stand."""
    x, y = at
    made = []
    for row in svg.wrapped(takeoff.design.name, 28, 3):
        made.append(svg.text((x, y), row, "h"))
        y += 20.0
    revision = f"{sheet_words}, revision {revision_of(takeoff.design)}"
    for row in [*(r for told in title for r in svg.wrapped(told, 46, 2)), revision]:
        made.append(svg.text((x, y), row, "t s b"))
        y += 14.0
    return made, y


def bar(scale: Scale, at: svg.Spot, units: str) -> list[str]:
    """A scale bar of a round length, about an inch long."""
    unit_ft = 1.0 / M_PER_FT if units == METRIC else 1.0
    steps = (0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0)
    length = next((s for s in steps if s * unit_ft * scale.per_ft >= 60.0), steps[-1])
    paper = length * unit_ft * scale.per_ft
    name = f"{length:g} {'m' if units == METRIC else 'ft'}"
    return [
        svg.rect(at, paper, 5.0, "box"),
        svg.rect(at, paper / 2.0, 5.0, "bar"),
        svg.text((at[0] + paper + 6.0, at[1] + 6.0), name, "t s"),
    ]


def foot(at: svg.Spot, units: str) -> list[str]:
    """What everybody minds, at the foot of the column."""
    x, y = at
    back = length_words(SET_BACK_FT, units)
    rows = (
        f"Spoil, stone and machines {back} back from the edge.",
        "No dig before utilities are marked. Wiring: licensed electrician.",
        "A quantity drawing, not engineering: local code wins.",
        "Print at 100 %; check the scale bar.",
    )
    lines = [line for row in rows for line in svg.wrapped(row, 54)]
    return [svg.text((x, y + 14.0 * (i - len(lines))), row, "t s") for i, row in enumerate(lines)]
