"""The program's door: `planner` and `python -m planner`. Ctrl-C ends quietly while libraries still load."""

from __future__ import annotations

import os
import signal
import sys
from types import FrameType

STOPPED = 130


def run() -> None:
    """Entry point of the console script.

    Its matrices are small: with more than one thread each, the threads of numpy's library mostly wait, and
    burn processor time that `--seconds` did not ask for.
    """
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    signal.signal(signal.SIGINT, _leave)
    from planner.cli.main import main

    signal.signal(signal.SIGINT, signal.default_int_handler)
    try:
        code = main()
    except KeyboardInterrupt:
        code = STOPPED
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    sys.exit(code)


def _leave(_: int, __: FrameType | None) -> None:
    """Nothing was begun yet, so there is nothing to tidy."""
    os._exit(STOPPED)


if __name__ == "__main__":
    run()
