"""The little firm in a database of its own."""

from tests.flow.conftest import firm_db

__all__ = ["firm_db"]
