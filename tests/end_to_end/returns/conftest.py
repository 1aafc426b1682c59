"""The pages' own small season, planned and stored."""

from tests.report.conftest import firm, golden, hostile, jobs, lists, plan, roster, stored

__all__ = ["firm", "golden", "hostile", "jobs", "lists", "plan", "roster", "stored"]
