"""The standard streams of one command: what cannot be written stops nothing, and is told by the exit code.

A closed stream counts as empty or as thrown away. When the reader of a pipe goes away, the command goes on
to its end all the same, so that nothing stays half done. Every other failure is kept for the end.
"""

from __future__ import annotations

import errno
import io
import os
import select
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from typing import TextIO


class _Outlet(io.RawIOBase):
    """A file descriptor that takes everything; `fault` is what the system said first."""

    def __init__(self, number: int) -> None:
        super().__init__()
        self._number = number
        self.fault: OSError | None = None

    def writable(self) -> bool:
        return True

    def fileno(self) -> int:
        return self._number

    def isatty(self) -> bool:
        return os.isatty(self._number)

    def write(self, content: object) -> int:
        size = memoryview(content).nbytes  # type: ignore[arg-type]
        if self.fault is not None:
            return size
        try:
            return os.write(self._number, content)  # type: ignore[arg-type]
        except BlockingIOError:
            select.select([], [self._number], [])
            return 0
        except OSError as fault:
            self.fault = fault
            return size


class Streams:
    """What the commands write to; at the end it is asked whether all of it arrived."""

    def __init__(self) -> None:
        """Nothing is replaced yet."""
        self._outlets: dict[str, _Outlet] = {}

    def take(self, name: str) -> TextIO:
        """What stands in for sys.stdout or sys.stderr; itself when it is no file of the system."""
        stream: TextIO = getattr(sys, name)
        try:
            number = stream.fileno()
        except (OSError, ValueError, AttributeError):
            return stream
        if os.name == "nt" and stream.isatty():
            return stream
        with suppress(OSError, ValueError):
            stream.flush()
        outlet = self._outlets[name] = _Outlet(number)
        return io.TextIOWrapper(
            io.BufferedWriter(outlet),
            encoding=stream.encoding,
            errors=stream.errors,
            line_buffering=outlet.isatty() or name == "stderr",
        )

    def fault(self, name: str) -> OSError | None:
        """Why something did not arrive on stdout or stderr; a reader that went away is no fault."""
        with suppress(OSError, ValueError):
            getattr(sys, name).flush()
        fault = self._outlets[name].fault if name in self._outlets else None
        return None if fault is None or _went_away(fault) else fault


def _went_away(fault: OSError) -> bool:
    return isinstance(fault, BrokenPipeError) or fault.errno == errno.EPIPE


@contextmanager
def guarded() -> Iterator[Streams]:
    """Within the block the standard streams are there and take everything."""
    _open_closed()
    streams, before = Streams(), (sys.stdout, sys.stderr)
    out, err = streams.take("stdout"), streams.take("stderr")
    sys.stdout, sys.stderr = out, err
    try:
        yield streams
    finally:
        for stream in (out, err):
            with suppress(OSError, ValueError):
                stream.flush()
        sys.stdout, sys.stderr = before


def _open_closed() -> None:
    """No file that a command opens may get the number of a closed standard stream."""
    for number, mode in ((0, "r"), (1, "w"), (2, "w")):
        try:
            os.fstat(number)
        except OSError:
            os.open(os.devnull, os.O_RDWR)  # the lowest free number is this one
        name = ("stdin", "stdout", "stderr")[number]
        if getattr(sys, name) is None:
            setattr(sys, name, open(number, mode, encoding="utf-8", closefd=False))  # noqa: SIM115
