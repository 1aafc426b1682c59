"""What the schemas of the JSON answers are made of, and the rule that a measured number tells its unit.

A schema is written from answers of the invented seasons (REWRITE_CONTRACTS=1), read by a person, and kept in
tests/contracts.json: a key that goes, comes or changes its kind fails until that person has agreed.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

#: Objects whose keys are data (names, phases, items) and not fields: where in which answer.
MAPS = re.compile(
    r"(season\.crews|\.phases|\.machines|\.planned_crew_h|\.cost_cents|\.entries|\.prices|\.flags|\.values"
    r"|\.fittings|\.phase_scale|\.rows_by_kind|history\[\]\.(before|after)|import\.[a-z_]+)$"
)
#: Endings that tell a unit, a count, or what else the number is.
ENDING = re.compile(
    r"^share|_(h|s|crew_h|labour_h|min|days|cents|usd|in|ft|ft2|ft3|ft_s|gpm|gal|cy|lb|ton|t|mi|mph|deg|bytes|share"
    r"|percent|percentile|sd|h_day|count|gpm_ft|id|factor|F|f|gph_per_in|m|cm|m2|m3|l|kg|mm"
    r"|oz|cfs|psf|awg|a|v|amps|watts|usd_month|kwh_month|gal_day|lb_day)$"
)
#: Numbers that have no unit: counts, ordinal numbers, ratios, chances from 0 to 1.
_BARE = """
action before before_chance calls carry_over chance cores counts crews customers_to_call days_before defaults
entries error exit_code expected_kept expected_kept_error fits_season fits_season_error hands high id
importance job_log_sd jobs kept kept_change kept_error lines load lost_chance lost_per_wet_day low machines
more_kept new number observations old on_site own_log_sd pace part parts people percentile phase_scale plan
promised promises rain_chance renew_by_day repair_taken revision row_count rows seasons seed sequence
shelves size steps then_chance tows_day truckloads unit units value wander weekdays weight wet_days
"""
BARE = frozenset(_BARE.split())
#: Money weights of the firm [USD], named for what one of them prices; the rule's own days are working days.
NAMED_FOR_THE_TERM = re.compile(r"(\.weights\.[a-z_]+|locate\.rule\.(latest|life|notice|renew_before))$")


def schema_of(name: str, data: list[Any]) -> dict[str, Any]:
    """The schema of an answer: its envelope, and its data as in these samples."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": name,
        "type": "object",
        "required": ["planner", "format", "data"],
        "additionalProperties": False,
        "properties": {"planner": {"const": name}, "format": {"const": 1}, "data": _kind(name, data)},
    }


def _kind(path: str, samples: list[Any]) -> dict[str, Any]:
    """One schema that all samples of a place obey."""
    found: list[dict[str, Any]] = []
    if objects := [s for s in samples if isinstance(s, Mapping)]:
        found.append(_object(path, objects))
    if lists := [s for s in samples if isinstance(s, list)]:
        inner = [part for s in lists for part in s]
        found.append({"type": "array"} | ({"items": _kind(f"{path}[]", inner)} if inner else {}))
    plain = {_word(s) for s in samples if not isinstance(s, Mapping | list)}
    if "number" in plain:
        plain.discard("integer")
    if plain == {"null"} and not found:
        return {}  # no season has filled it in
    if plain:
        found.append({"type": sorted(plain) if len(plain) > 1 else min(plain)})
    return found[0] if len(found) == 1 else {"anyOf": found} if found else {}


def _object(path: str, objects: list[Mapping[str, Any]]) -> dict[str, Any]:
    keys = list(dict.fromkeys(key for o in objects for key in o))
    if MAPS.search(path):
        values = [v for o in objects for v in o.values()]
        return {"type": "object", "additionalProperties": _kind(f"{path}.*", values) if values else True}
    return {
        "type": "object",
        "required": [key for key in keys if all(key in o for o in objects)],
        "additionalProperties": False,
        "properties": {key: _kind(f"{path}.{key}", [o[key] for o in objects if key in o]) for key in keys},
    }


def filled_in(fresh: Any, kept: Any) -> Any:
    """The fresh schema; where its samples said nothing (an empty list or map, only null) what was kept stays.

    A field that a fresh sample no longer has goes, as before: only silence is filled in.
    """
    if not isinstance(fresh, Mapping) or not isinstance(kept, Mapping):
        return kept if fresh is True else fresh
    if not fresh:
        return kept
    out = dict(fresh)
    twin = next((k for k in kept.get("anyOf", (kept,)) if k.get("type") == fresh.get("type")), {})
    if fresh.get("type") == "array" and (twin.get("items") or "items" in fresh):
        out["items"] = filled_in(fresh.get("items", {}), twin.get("items", {}))
    if fresh.get("type") == "object":
        inside = twin.get("properties", {})
        if "properties" in fresh:
            out["properties"] = {k: filled_in(v, inside.get(k, {})) for k, v in fresh["properties"].items()}
        if isinstance(twin.get("additionalProperties"), Mapping) and fresh["additionalProperties"]:
            out["additionalProperties"] = filled_in(
                fresh["additionalProperties"], twin["additionalProperties"]
            )
    if "anyOf" in fresh:
        out["anyOf"] = [filled_in(part, kept) for part in fresh["anyOf"]]
    return out


def _word(value: object) -> str:
    if value is None:
        return "null"
    if isinstance(value, bool):
        return "boolean"
    return "integer" if isinstance(value, int) else "number" if isinstance(value, float) else "string"


def without_unit(schema: Mapping[str, Any], path: str = "", *, told: bool = False) -> Iterator[str]:
    """Places of numbers whose unit stands neither in a key on the way nor in a `unit` beside them."""
    kinds = schema.get("type", ())
    kinds = [kinds] if isinstance(kinds, str) else kinds
    if not told and {"number", "integer"} & set(kinds):
        yield path
    for other in schema.get("anyOf", ()):
        yield from without_unit(other, path, told=told)
    if isinstance(schema.get("items"), Mapping):
        yield from without_unit(schema["items"], path, told=told)
    if isinstance(schema.get("additionalProperties"), Mapping):
        yield from without_unit(schema["additionalProperties"], f"{path}.*", told=told)
    inside = schema.get("properties", {})
    beside = "unit" in inside and inside["unit"].get("type") == "string"
    for key, part in inside.items():
        place = f"{path}.{key}"
        known = bool(ENDING.search(key)) or key in BARE or bool(NAMED_FOR_THE_TERM.search(place))
        yield from without_unit(part, place, told=told or beside or known)
