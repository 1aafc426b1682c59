"""The door for CSV: every kind of file that the office writes and reads, by its name.

`cells` reads the text into rows with their places, `kind` turns rows into changed nouns; `job_kinds` and
`crew_kinds` say what each kind holds. A whole file is read before anything is refused; nothing is stored.
"""

from __future__ import annotations

from planner.flow.keeping.crew_kinds import CREW_KINDS
from planner.flow.keeping.job_kinds import JOB_KINDS
from planner.flow.keeping.kind import Kind

#: name of a kind -> the kind, in the order in which `import` wants them: what others refer to comes first
KINDS: dict[str, Kind] = {k.name: k for k in (*JOB_KINDS, *CREW_KINDS)}
