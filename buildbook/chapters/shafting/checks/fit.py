"""SHA-04: the taper of the shaft end, how the hub touches it, and whether the key holds it off."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from buildbook.chapters.readings import carried
from buildbook.chapters.shafting.formulas.line import taper_per_metre
from buildbook.chapters.shafting.records import ShaftEnd
from buildbook.chapters.shafting.subjects import Subject, about, customary, fact, not_read, reading, rule, together
from buildbook.chapters.subjects import Used, limits
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key
from buildbook.core.judging import judge
from buildbook.core.quantity import Part, Quantity
from buildbook.core.wording import fixed, plain_number

CHECK = "SHA-04"
RATE, CONTACT, MARK = "taper", "blue contact", "hub on its mark"
NOTHING = "Taper and contact of this shaft were not checked."
NO_TAPER, NO_CONTACT = "The taper was not measured.", "The contact with the hub was not marked with blue."
NO_MARK = "Whether the hub reached its mark with the key is not on record."
EYE: Used = Used((), (), (), ())


def seated(evidence: Evidence) -> Iterable[Finding]:
    """SHA-04: the taper of every shaft end."""
    return Subject(CHECK, ShaftEnd, (RATE, CONTACT, MARK), NOTHING, _attempt).findings(evidence)


def _attempt(evidence: Evidence, part: str, attempt: int, rows: Sequence[ShaftEnd]) -> Iterable[Finding]:
    row, key = rows[0], Key(CHECK, RATE, part, "", attempt)
    if row.small is None or row.taper is None:
        yield not_read(evidence, key, rows, NO_TAPER)
    else:
        yield from _taper(evidence, key, row)
    contact = replace(key, quantity=CONTACT)
    if row.contact is None:
        yield not_read(evidence, contact, rows, NO_CONTACT)
    else:
        eye = Part("contact judged by eye", rule("contact by eye") / 2.0)
        line = f"one look: {plain_number(row.contact)} %, good to {plain_number(rule('contact by eye'))} points"
        told = about("marked with blue, judged by eye", [row], EYE, (line,), (customary("contact by eye"),))
        wanted = limits(evidence, CHECK, CONTACT, place=part)
        yield from judge(contact, Quantity.combined(row.contact, "%", (eye,)), wanted, told)
    mark = replace(key, quantity=MARK)
    if row.same_mark is None:
        yield not_read(evidence, mark, rows, NO_MARK)
    else:
        words = "same mark with and without key" if row.same_mark else "held off its mark by the key"
        told = about("hub pushed on without and with its key", [row], EYE, ())
        yield from fact(evidence, mark, row.same_mark, words, told)


def _taper(evidence: Evidence, key: Key, row: ShaftEnd) -> Iterable[Finding]:
    """Of the three readings each instrument's part, carried into the result; both diameters taken as independent."""
    large = reading(evidence, [row], "diameter", "micrometer", "diameter")
    small = reading(evidence, [row], "small", "micrometer", "diameter")
    along = reading(evidence, [row], "taper", "calliper", "length")
    value = taper_per_metre(row.diameter, row.small or 0.0, row.taper or 0.0)
    inputs = {
        "large": (row.diameter, large.parts, "diameter at the large end"),
        "small": (row.small or 0.0, small.parts, "diameter at the small end"),
        "length": (row.taper or 0.0, along.parts, "length of the taper"),
    }
    sure = large.parts and small.parts and along.parts
    use = together((large, small, along), carried(taper_per_metre, inputs) if sure else ())
    sizes = f"{plain_number(row.diameter)} mm to {plain_number(row.small or 0.0)} mm in {plain_number(row.taper or 0)}"
    words = f"{sizes} mm: one in {fixed(1000.0 / value, 2)}"
    told = about("from two diameters and the length between them", [row], use, (words,))
    yield from judge(key, Quantity.combined(value, "mm/m", use.parts), limits(evidence, CHECK, RATE, place=key.place),
                     told)  # fmt: skip
