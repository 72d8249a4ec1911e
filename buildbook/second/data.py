"""The comparison as data: JSON with its schema, and a table with the surveyor's values first."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from buildbook.parcel.csv_text import csv_bytes
from buildbook.render.jsonfile import canonical, schema_of
from buildbook.second import said
from buildbook.second.comparison import Comparison, Lone, Pair, Side

HEADS = (
    "number",
    "check",
    "quantity",
    "place",
    "place_words",
    "condition",
    "surveyor_value",
    "surveyor_U_95",
    "surveyor_U",
    "surveyor_k",
    "surveyor_degrees_of_freedom",
    "surveyor_u",
    "surveyor_u_parts",
    "surveyor_u_part_values",
    "surveyor_u_part_degrees",
    "surveyor_resolution",
    "surveyor_certificate",
    "surveyor_verdict",
    "surveyor_shows_limit_missed",
    "yard_value",
    "yard_U_95",
    "yard_U",
    "yard_k",
    "yard_degrees_of_freedom",
    "yard_u",
    "yard_u_parts",
    "yard_u_part_values",
    "yard_u_part_degrees",
    "yard_resolution",
    "yard_certificate",
    "yard_verdict",
    "yard_shows_limit_met",
    "unit",
    "limit_low",
    "limit_high",
    "limit",
    "limit_is_about_both",
    "difference",
    "combined_U_95",
    "En",
    "outcome",
    "both_outside_the_limit",
    "why",
    "could_not_have_found_a_difference_that_matters",
    "no_limit_says_what_matters",
    "same_instrument",
    "days_between",
    "days_since_delivery",
    "surveyor_read",
    "yard_read",
    "surveyor_instruments",
    "yard_instruments",
    "surveyor_calibration_not_shown",
    "yard_calibration_not_shown",
    "surveyor_rows",
    "yard_rows",
    "surveyor_condition",
    "yard_condition",
    "surveyor_attempt",
    "yard_attempt",
    "notes",
)


def comparison_json(comparison: Comparison) -> bytes:
    """The whole comparison as canonical JSON (RFC 8785), numbers in full precision."""
    return canonical(comparison)


def schema() -> dict[str, Any]:
    """The JSON Schema (2020-12) of `comparison.json`, made from its types: every field required, no other allowed.

    Example:
        >>> schema()["title"]
        'Comparison'
    """
    return schema_of(Comparison)


def comparison_csv(comparison: Comparison) -> bytes:
    """Every pair and every lone reading in a row, the surveyor's columns first, numbers in full precision."""
    rows = [_of_pair(pair) for pair in (*comparison.pairs, *comparison.in_words)]
    for who, lines in (("surveyor", comparison.surveyor_only), ("yard", comparison.yard_only)):
        rows += [_of_lone(line, who) for line in lines]
    return csv_bytes(HEADS, ([row.get(head) for head in HEADS] for row in rows))


def _of_pair(pair: Pair) -> dict[str, Any]:
    limit = pair.limit
    return {
        "number": pair.number,
        **_subject(pair),
        **_side("surveyor", pair.surveyor),
        **_side("yard", pair.yard),
        "surveyor_shows_limit_missed": pair.surveyor.shows,
        "yard_shows_limit_met": pair.yard.shows,
        "unit": pair.surveyor.unit or pair.yard.unit,
        "limit_low": limit.low if limit else None,
        "limit_high": limit.high if limit else None,
        "limit": limit.words if limit else "no limit set",
        "limit_is_about_both": pair.one_limit,
        "difference": pair.difference,
        "combined_U_95": pair.joint,
        "En": pair.en,
        "outcome": pair.outcome.value,
        "both_outside_the_limit": pair.both_outside if limit else None,
        "why": "; ".join(pair.why),
        "could_not_have_found_a_difference_that_matters": pair.too_coarse,
        "no_limit_says_what_matters": pair.without_limit,
        "same_instrument": " ".join(pair.same_instruments),
        "days_between": pair.days_between,
        "days_since_delivery": pair.days_since_delivery,
        "notes": " ".join(pair.notes),
    }


def _of_lone(line: Lone, who: str) -> dict[str, Any]:
    shows = "surveyor_shows_limit_missed" if who == "surveyor" else "yard_shows_limit_met"
    about = {**_subject(line), **_side(who, line.side), shows: line.side.shows}
    return {
        **about,
        "unit": line.side.unit,
        "limit": line.limit,
        "outcome": said.ONLY[who],
        "notes": " ".join(line.notes),
    }


def _subject(line: Pair | Lone) -> dict[str, Any]:
    it = line.subject
    names = ("check", "quantity", "place", "place_words", "condition")
    return {name: getattr(it, name) for name in names}


def _side(who: str, side: Side) -> dict[str, Any]:
    return {
        f"{who}_value": side.text if side.value is None else side.value,
        f"{who}_U_95": side.expanded_at_95,
        **_uncertainty(who, side),
        f"{who}_verdict": side.verdict.value,
        f"{who}_read": side.last,
        f"{who}_instruments": "; ".join(side.instruments),
        f"{who}_calibration_not_shown": " ".join(side.calibration),
        f"{who}_rows": "; ".join(side.rows),
        f"{who}_condition": side.condition,
        f"{who}_attempt": side.attempt,
    }


def _uncertainty(who: str, side: Side) -> dict[str, Any]:
    """What U is made of: the lists have an entry for each part, a part that is taken as known an empty one."""
    return {
        f"{who}_U": side.expanded if side.standard is not None else None,
        f"{who}_k": side.coverage,
        f"{who}_degrees_of_freedom": side.degrees,
        f"{who}_u": side.standard,
        f"{who}_u_parts": _list(part.name.replace(";", ",") for part in side.parts),
        f"{who}_u_part_values": _list(part.standard for part in side.parts),
        f"{who}_u_part_degrees": _list(part.degrees for part in side.parts),
        f"{who}_resolution": _list(said.resolution(it) for it in side.stated if it.resolution is not None),
        f"{who}_certificate": _list(said.certificate(it) for it in side.stated if it.uncertainty is not None),
    }


def _list(values: Iterable[Any]) -> str:
    """Several values in a cell, numbers in full precision."""
    return "; ".join("" if value is None else str(value) for value in values)
