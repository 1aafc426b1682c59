"""What a search may be asked for: the bounds that the terminal and the browser say alike."""

from __future__ import annotations

from planner.errors import BadInput

#: The longest note that a plan carries [characters].
LONGEST_NOTE = 500


def check_search(seconds: float, seed: int, note: str, *, least: float = 1e-3, dash: str = "--") -> None:
    """Refuse limits of a search that make no sense. least: fewest seconds; dash: before a field's name."""
    if not least <= seconds <= 3600:
        words = "from 0 to 3600" if least == 0 else "more than 0 and at most 3600"
        raise BadInput(f"{dash}seconds", seconds, f"choose {words}")
    _check_seed(seed, dash)
    if len(note) > LONGEST_NOTE or not note.isprintable():
        raise BadInput(f"{dash}note", note, f"write one line of up to {LONGEST_NOTE} characters")


def check_steps(steps: int | None, cores: int, *, dash: str = "--") -> None:
    """Refuse steps and cores out of reach."""
    if steps is not None and not 0 <= steps <= 10**12:
        raise BadInput(f"{dash}steps", steps, "choose a whole number from 0 to 1000000000000")
    if not 1 <= cores <= 64:
        raise BadInput(f"{dash}cores", cores, "choose a whole number from 1 to 64")


def check_thin(keep: int, days: int) -> None:
    """Refuse a thinning of drafts out of reach. keep: newest that stay; days: younger ones stay."""
    if not 1 <= keep <= 10_000:
        raise BadInput("keep", keep, "choose a whole number from 1 to 10000")
    if not 0 <= days <= 36_500:
        raise BadInput("days", days, "choose a whole number from 0 to 36500")


def check_played(seasons: int, seed: int, *, dash: str = "--") -> None:
    """Refuse a number of played seasons, or a seed, out of reach."""
    if not 10 <= seasons <= 100_000:
        raise BadInput(f"{dash}seasons", seasons, "choose from 10 to 100000")
    _check_seed(seed, dash)


def _check_seed(seed: int, dash: str) -> None:
    if not 0 <= seed <= 2**31 - 1:
        raise BadInput(f"{dash}seed", seed, "choose a whole number from 0 to 2147483647")
