"""PAR-01, PAR-03 and PAR-04: the parts list, the register and the reports, read again.

Written from the pages of the checks. What is asked for is common practice, but for the hold point, whose meaning is
that of public teaching pages: work does not go on before release.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace

from tests.again.common_rules import Key, Limit, Own, Package, Row

WORDS = Limit(guard=0)  # a requirement in words has no ends
REGISTER = "parts/register.csv"


def places(rows: list[Row]) -> frozenset[str]:
    """The places of some rows."""
    return frozenset(row.where for row in rows)


def told(key: Key, verdict: str, rows: list[Row], observed: str | None = None) -> Own:
    """A finding about a requirement in words."""
    return Own(verdict, limit=WORDS, observed=observed, rows=places(rows), key=key)


def names(package: Package) -> dict[str, str]:
    """What each item of the list is."""
    return {row.text("item"): row.text("name") for row in package.rows("parts/list.csv")}


def in_words(words: list[str]) -> str:
    """Several numbers as the book lists them."""
    return " and ".join([", ".join(words[:-1]), words[-1]]) if len(words) > 1 else words[0]


def listed(package: Package) -> Iterator[Own]:
    """PAR-01: fitted numbers of each item, counted against the list, for each group; items that the list lacks."""
    register = package.rows(REGISTER)
    groups: dict[str, list[Row]] = {}
    for item in package.rows("parts/list.csv"):
        groups.setdefault(item.text("group"), []).append(item)
    for group, items in groups.items():
        ids = [item.text("item") for item in items]
        at = [*items, *(row for row in register if row.text("item") in ids)]
        differs, lacks, total = False, False, 0
        for item in items:
            its = [row.text("state") for row in register if row.text("item") == item.text("item")]
            asked, fitted, stock = int(item.value("quantity")), its.count("fitted"), its.count("in stock")
            total += asked
            lacks |= fitted + stock < asked
            differs |= fitted > asked or (fitted < asked <= fitted + stock)
        observed = f"{len(items)} items, {total} parts, all in the register"
        verdict = "fail" if differs else "no record" if lacks else "pass"
        key = Key("PAR-01", "items of the parts list in the register", "", group)
        yield told(key, verdict, at, observed if verdict == "pass" else None)
    made = [row for row in register if row.text("state") != "not used"]
    strange = [row for row in made if row.text("item") not in names(package)]
    key = Key("PAR-01", "parts beyond the parts list")
    if strange:
        yield told(key, "fail", strange)
    else:
        yield told(key, "pass", made, f"{len(made)} parts, each with an item of the list")


def released(package: Package) -> Iterator[Own]:
    """PAR-03: for each part that is fitted, the time of release is not later than that of fitting."""
    drawn = {row.text("place") for row in package.rows("places.csv")}
    for row in package.rows(REGISTER):
        if row.text("state") != "fitted":
            continue
        key = Key("PAR-03", "release before fitting", row.text("part"))
        free, fitted = row.text("released_on"), row.text("fitted_on")
        if not (free and fitted):
            yield told(key, "no record", [row], "")
            continue
        in_time = row.when("released_on") <= row.when("fitted_on")
        name = names(package)[row.text("item")]
        observed = f"released {free} by {row.text('released_by')}, fitted {fitted}"
        if row.text("part") not in drawn:  # a part that has a place bears its name there
            observed = f"{name}: {observed}"
        yield told(key, "pass" if in_time else "fail", [row], observed)


def remade(package: Package) -> Iterator[Own]:
    """PAR-04: each scrapped number with its report and the part that took its place; then the run of numbers."""
    register = {row.text("part"): row for row in package.rows(REGISTER)}
    reports = {row.text("report"): row for row in package.rows("nonconformities.csv")}
    for number, row in register.items():
        if row.text("state") != "scrapped":
            continue
        report, heir = reports.get(row.text("report")), register.get(row.text("replaced_by"))
        at = [one for one in (row, report, heir) if one is not None]
        verdict = "no record"
        if report is not None and heir is not None:
            said = report.text("disposition") == "scrap" or bool(report.text("replaced_on"))
            shared = [one for one in register.values() if one.text("replaced_by") == row.text("replaced_by")]
            fits = heir.text("item") == row.text("item") and heir.text("state") in ("fitted", "scrapped")
            verdict = "pass" if said and fits and len(shared) == 1 else "fail"
        observed = f"scrapped by report {row.text('report')}, replaced by {row.text('replaced_by')}"
        own = told(Key("PAR-04", "what became of a scrapped number", number), verdict, at)
        yield replace(own, seen=(observed,)) if verdict == "pass" else own
    yield _run(list(register.values()))


def _run(rows: list[Row]) -> Own:
    """Counts at the end of each number, by what stands before them: none missing, none twice."""
    series: dict[str, list[tuple[int, str]]] = {}
    for row in rows:
        digits = re.search(r"\d+$", row.text("part"))
        assert digits, row.where
        series.setdefault(row.text("part")[: digits.start()], []).append((int(digits[0]), row.text("part")))
    words, verdict = [], "pass"
    for _, found in sorted(series.items()):
        counts = sorted(count for count, _ in found)
        if len(set(counts)) < len(counts):
            verdict = "fail"
        elif counts[-1] - counts[0] + 1 > len(counts) and verdict == "pass":
            verdict = "no record"
        words.append(f"{min(found)[1]} to {max(found)[1]} without a gap")
    return told(Key("PAR-04", "run of part numbers"), verdict, rows, "; ".join(words) if verdict == "pass" else None)
