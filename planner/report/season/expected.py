"""What a plan comes to in life, in words and as data."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from planner.report.season.plans import money

if TYPE_CHECKING:
    from planner.domain.forecast.expected import Aimed, Expected


def expected_lines(aimed: Aimed | None) -> list[str]:
    """Price on paper and in life, promises kept on average; and what the plan best on paper comes to."""
    if aimed is None:
        return []
    lines = [f"{expected_words(aimed.expected)}{f' Taken: {aimed.how}.' if aimed.how else ''}"]
    if aimed.paper is not None:
        lines.append(
            f"The plan best on paper ({money(aimed.paper.paper_cents)}) comes to an expected "
            f"{money(aimed.paper.mean_cents)}, {aimed.paper.kept:.1f} kept: "
            f"planner plan make --on-paper --steps {aimed.paper_steps}"
        )
    return lines


def expected_words(seen: Expected) -> str:
    """ "On paper $11,200, expected $13,400 ±$120 (8 seasons of 10: $11,900 to $16,000); promises ..."."""
    error = f" ±{money(seen.error_cents)}" if seen.error_cents >= 100 else ""
    off = f" ±{seen.kept_error:.1f}" if seen.kept_error >= 0.05 else ""
    kept = f"; promises kept on average {seen.kept:.1f}{off} of {seen.promises}" if seen.promises else ""
    return (
        f"On paper {money(seen.paper_cents)}, expected {money(seen.mean_cents)}{error} (8 seasons of 10: "
        f"{money(seen.low_cents)} to {money(seen.high_cents)}){kept}."
    )


def expected_data(aimed: Aimed | None) -> dict[str, Any] | None:
    """The same for `--json`."""
    if aimed is None:
        return None
    paper = None if aimed.paper is None else _figures(aimed.paper)
    return _figures(aimed.expected) | {"how": aimed.how, "best_on_paper": paper}


def _figures(seen: Expected) -> dict[str, Any]:
    return {
        "paper_cents": seen.paper_cents,
        "mean_cents": seen.mean_cents,
        "error_cents": seen.error_cents,
        "low_cents": seen.low_cents,
        "high_cents": seen.high_cents,
        "expected_kept": seen.kept,
        "expected_kept_error": seen.kept_error,
        "promises": seen.promises,
        "seasons": seen.seasons,
    }
