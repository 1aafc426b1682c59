"""Is machine code for the kernel ready on this computer, and who makes it?

Compiling takes some twenty seconds of one core, once for each version of the program: it happens in the
background, at low priority, and until it is done the search runs as plain Python and nothing is said. What
was compiled lies in the user's cache folder, under a name that the sources, the compiler and the computer
decide.
"""

from __future__ import annotations

import os
import platform
import subprocess
import sys
import time
from contextlib import suppress
from hashlib import sha256
from importlib import import_module
from importlib.metadata import version
from importlib.util import find_spec
from pathlib import Path
from typing import Any

#: "0": never compile or use what was compiled; "1": compile now where nothing is ready; else in the
#: background.
WISH = "PLANNER_COMPILED"
#: A compilation that took longer than this is taken for dead [s].
GIVEN_UP_S = 1800.0


def compiler() -> Any:
    """The compiler when its work lies ready (or the wish is to wait for it); else None: run as plain
    Python."""
    wish = os.environ.get(WISH, "")
    if wish == "0" or find_spec("numba") is None:
        return None
    folder = place()
    if wish != "1" and not (folder / "ready").exists():
        return None
    with suppress(OSError):  # seen by `filling.long_unused`
        os.utime(folder / "ready")
    os.environ["NUMBA_CACHE_DIR"] = str(folder)
    return import_module("numba")


def place() -> Path:
    """The folder for what this version of the kernel, as the search calls it, was compiled to here."""
    from platformdirs import user_cache_path

    digest = sha256()
    kernel = Path(__file__).parent
    for source in (*sorted(kernel.glob("*.py")), *sorted((kernel.parent / "search").glob("*.py"))):
        digest.update(source.read_bytes())
    for word in (
        sys.version,
        platform.machine(),
        platform.node(),
        version("numba"),
        str(kernel),
    ):
        digest.update(word.encode())
    return user_cache_path("planner") / "compiled" / digest.hexdigest()[:16]


def compile_for_next_time() -> None:
    """Begin to compile in the background when nothing is ready and nobody is at it. Says nothing, fails
    silently: the search works without."""
    if os.environ.get(WISH, "") in {"0", "1"} or find_spec("numba") is None:
        return
    try:
        folder = place()
        if (folder / "ready").exists() or not _claim(folder / "under way"):
            return
        subprocess.Popen(
            [sys.executable, "-m", "planner.schedule.search.filling"],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            env={**os.environ, WISH: "1"},
            start_new_session=True,
        )
    except OSError:
        return


def _claim(mark: Path) -> bool:
    """True when this process may compile: nobody else has been at it for the last half hour."""
    mark.parent.mkdir(parents=True, exist_ok=True)
    if mark.exists() and time.time() - mark.stat().st_mtime < GIVEN_UP_S:
        return False
    mark.write_text(str(os.getpid()), encoding="utf-8")
    return True
