"""Names as people type them: what a mistyped name was probably meant to be.

Case, spaces, dashes, underscores and leading zeros of a number do not matter: "l9" is L09. Text in, text out.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from difflib import get_close_matches


def squeezed(name: str) -> str:
    """The name without what people leave out or add: case, spaces, dashes, underscores, leading zeros.

    >>> squeezed("L-09"), squeezed("set filters")
    ('l9', 'setfilters')
    """
    return re.sub(r"(?<!\d)0+(?=\d)", "", re.sub(r"[\s_-]+", "", name.strip().lower()))


def meant(typed: str, known: Iterable[str]) -> str | None:
    """The known name that `typed` probably stands for: the same but for its spelling, else a close one.

    None when two are as likely, or none is near.

    >>> meant("l09", ["L08", "L09"]), meant("promise", ["promised", "phone"]), meant("xyz", ["promised"])
    ('L09', 'promised', None)
    """
    by_form: dict[str, list[str]] = {}
    for name in known:
        by_form.setdefault(squeezed(name), []).append(name)
    form = squeezed(typed)
    if form in by_form:
        same = by_form[form]
        return same[0] if len(same) == 1 else None
    if len(form) < 3:
        return None
    begun = [form_ for form_ in by_form if len(form) > 3 and form_.startswith(form)]
    close = begun if len(begun) == 1 else get_close_matches(form, by_form, 1, cutoff=0.75)
    return by_form[close[0]][0] if close else None


def did_you_mean(typed: str, known: Iterable[str], otherwise: str) -> str:
    """The fix of an unknown name: "did you mean L09?", else `otherwise`.

    >>> did_you_mean("L9", ["L09"], "see `planner job list`")
    'did you mean L09?'
    """
    name = meant(typed, known)
    return f"did you mean {name}?" if name else otherwise
