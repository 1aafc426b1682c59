"""What a refusal says: one line a fault on stderr, or after `--json` the same as data on its last line.

The line names field, value and fix. The data have the envelope of every answer, {"planner": "error",
"format": 1, "data": {"exit_code": 2, "faults": [...]}}; each fault has its code, field, value, where, fix,
and the whole line as its message.
"""

from __future__ import annotations

import json
import re
import sys
from collections.abc import Sequence
from typing import Any

from planner.cli import edge
from planner.errors import BadInput, BadInputs, NoPlanFits, PlannerError

#: How a number that Typer refused should be written, by the beginning of the refusal's type.
_NUMBERS = {"float": "write a number", "int": "write a whole number"}


def asks_for_json(words: Sequence[str]) -> bool:
    """Whether a command line asks for its answer as data."""
    return "--json" in (words[: words.index("--")] if "--" in words else words)


def tell(refusal: PlannerError, *, as_json: bool) -> int:
    """Write a refusal to stderr; its exit code."""
    if as_json:
        write_json(refusal.exit_code, rows_of(refusal))
    else:
        for fault in refusal.faults if isinstance(refusal, BadInputs) else (refusal,):
            write_line(str(fault))
    return refusal.exit_code


def tell_words(code: int, kind: str, words: str, *, as_json: bool) -> int:
    """Write what is no PlannerError, in words: `kind` is its code as data. Returns the exit code."""
    if as_json:
        write_json(code, [_row(kind, words)])
    else:
        write_line(words)
    return code


def write_line(words: str) -> None:
    """One line with the program's name before it."""
    edge.say(f"planner: {words}")


def write_json(code: int, rows: Sequence[dict[str, Any]]) -> None:
    """The faults as one line of JSON, in ASCII: any terminal can write it."""
    envelope = {"planner": "error", "format": 1, "data": {"exit_code": code, "faults": list(rows)}}
    sys.stderr.write(json.dumps(envelope) + "\n")


def rows_of(refusal: PlannerError) -> list[dict[str, Any]]:
    """One row a fault: code, field, value, where, fix (null where it has none) and the whole line."""
    if isinstance(refusal, BadInput):
        faults = refusal.faults if isinstance(refusal, BadInputs) else (refusal,)
        return [
            _row(f.code, str(f), field=f.field, value=_plain(f.value), where=f.where or None, fix=f.fix)
            for f in faults
        ]
    if isinstance(refusal, NoPlanFits):
        return [_row(refusal.code, reason) for reason in refusal.reasons]
    _, _, fix = str(refusal).rpartition(": ")
    return [_row(refusal.code, str(refusal), fix=fix)]


def _row(
    kind: str,
    message: str,
    *,
    field: str | None = None,
    value: object = None,
    where: str | None = None,
    fix: str | None = None,
) -> dict[str, Any]:
    return {"code": kind, "field": field, "value": value, "where": where, "fix": fix, "message": message}


def _plain(value: object) -> object:
    """A value as JSON has it; what JSON has no word for is told as text."""
    if isinstance(value, float) and not abs(value) < float("inf"):
        return str(value)
    return value if value is None or isinstance(value, str | int | float | bool) else str(value)


def misuse(fault: Any) -> BadInput | None:
    """Typer's refusal of a command line as the planner says such things; None when `fault` is another."""
    if not hasattr(fault, "format_message"):
        return None
    from planner.domain.spelling import did_you_mean

    said = str(fault.message)
    path = getattr(fault.ctx, "command_path", "planner")
    shows = f"`{path} -h` shows what there is"
    command = getattr(fault.ctx, "command", None)
    if unknown := re.match(r"No such command '(.*?)'", said, re.DOTALL):
        known = getattr(command, "commands", {})
        inside = [
            f"planner {g} {unknown[1]}" for g, c in known.items() if unknown[1] in getattr(c, "commands", ())
        ]
        if len(inside) == 1:
            return BadInput("command", unknown[1], f"did you mean {inside[0]}?")
        if inside:
            return BadInput("command", unknown[1], f"say of what: {', '.join(inside)}")
        return BadInput("command", unknown[1], did_you_mean(unknown[1], known, shows))
    if unknown := re.match(r"No such option: (\S+)", said):
        if re.fullmatch(r"-\d[\d.]*", unknown[1]):
            return BadInput("number", unknown[1], f"write a number from 0 up; `{path} -h` shows how")
        known = [name for p in getattr(command, "params", ()) for name in p.opts if name.startswith("--")]
        return BadInput(unknown[1], "unknown", did_you_mean(unknown[1], known, shows))
    if extra := re.match(r"Got unexpected extra arguments?\S* \((.*)\)", said, re.DOTALL):
        return BadInput("words", extra[1], f'take them out; put a name with blanks in "quotes"; {shows}')
    if type(fault).__name__ == "MissingParameter":
        return BadInput(_name(fault.param), "missing", f"give it; `{path} -h` shows how")
    if wants := re.match(r"Option '(.*)' (requires|does not take)", said):
        short = wants[2] == "requires"
        value, fix = ("missing", "write its value after it") if short else ("a value", "take the value out")
        return BadInput(wants[1], value, f"{fix}; `{path} -h` shows how")
    if param := getattr(fault, "param", None):
        return _bad_value(param, fault, said)
    return BadInput("command", path, f"{said[:1].lower()}{said[1:].rstrip('.')}; {shows}")


def _name(param: Any) -> str:
    """What a person calls a parameter: its longest option, or the name of the argument."""
    if getattr(param, "param_type_name", "") == "argument":
        return str(param.metavar or param.name)
    return str(max(param.opts, key=len))


def _bad_value(param: Any, fault: Any, said: str) -> BadInput:
    errors = getattr(fault.__cause__, "errors", None)
    if errors is None:
        return BadInput(_name(param), "not understood", f"{said[:1].lower()}{said[1:].rstrip('.')}")
    found = errors()[0]
    bounds = found.get("ctx", {})
    fix = next((fix for kind, fix in _NUMBERS.items() if found["type"].startswith(kind)), said.lower())
    for bound, words in (("ge", "at least"), ("le", "at most")):
        if bound in bounds:
            fix = f"write a number of {words} {bounds[bound]:g}"
    return BadInput(_name(param), found["input"], fix)
