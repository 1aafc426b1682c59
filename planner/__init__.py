"""planner: job scheduling and the crew's day for a garden-pond contractor."""

__version__ = "0.2.0"
