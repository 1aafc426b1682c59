"""Memory bounds for the fuzzers."""

from __future__ import annotations

import resource
from collections.abc import Iterator

import pytest


@pytest.fixture(autouse=True)
def bounded_memory() -> Iterator[None]:
    """A command that reads without end stops at 6 GB instead of taking the machine down."""
    soft, hard = resource.getrlimit(resource.RLIMIT_AS)
    resource.setrlimit(resource.RLIMIT_AS, (6 * 2**30, hard))
    yield
    resource.setrlimit(resource.RLIMIT_AS, (soft, hard))
