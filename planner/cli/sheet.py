"""(Commands of this group land with their room.)"""

from __future__ import annotations

import typer


def register(app: typer.Typer) -> None:
    """Add the commands."""
