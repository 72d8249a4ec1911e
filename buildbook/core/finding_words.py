"""Findings in words, with so many digits that value, limit and verdict do not contradict each other."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache

from buildbook.core.decide import outcome
from buildbook.core.finding import Finding, Verdict
from buildbook.core.limit import Limit
from buildbook.core.quantity import Quantity
from buildbook.core.wording import (
    Shares,
    as_number,
    capital,
    limit_number,
    limit_text,
    printed_numbers,
    shares,
    subject_text,
    value_text,
    verdict_text,
)

MOST_FINER = 6


def outcome_of(finding: Finding) -> Verdict | None:
    """The outcome that value and limit of a finding give as numbers; None where they cannot be compared."""
    measured, limit = finding.measured, finding.limit
    if measured is None or limit is None or limit.in_words or measured.unit != limit.unit:
        return None
    return outcome(measured, limit)


def finer(finding: Finding) -> int:
    """How many digits more than usual a value needs, so that it gives, as printed, the outcome it has unrounded.

    >>> from buildbook.core.finding import Key, Verdict
    >>> from buildbook.core.limit import Term
    >>> from buildbook.core.source import Standing
    >>> limit = Limit("in", (Term("run-out", Standing.PRACTICE),), high=0.00197)
    >>> close = Finding(Key("X-01", "run-out"), Verdict.PASS, Quantity(0.00079, "in", 0.00116), limit)
    >>> finer(close), finer(replace(close, measured=Quantity(0.0005, "in", 0.00116)))
    (1, 0)
    """
    wanted = outcome_of(finding)
    if finding.measured is None or finding.limit is None or wanted is None:
        return 0
    return _finer(finding.measured, finding.limit, wanted)


@lru_cache(maxsize=4096)  # each finding is put into words several times
def _finer(measured: Quantity, limit: Limit, wanted: Verdict) -> int:
    shown = _printed_limit(limit)
    enough = (more for more in range(MOST_FINER) if outcome(_printed(measured, more), shown) is wanted)
    return next(enough, 0)


def _printed(measured: Quantity, more: int) -> Quantity:
    value, expanded = printed_numbers(measured, more)
    return replace(measured, value=value, expanded=measured.expanded if expanded is None else expanded, coverage=2.0)


def _printed_limit(limit: Limit) -> Limit:
    low, high = (None if end is None else as_number(limit_number(end)) for end in (limit.low, limit.high))
    return replace(limit, low=low, high=high)


def reading_text(finding: Finding, measured: Quantity) -> str:
    """The value of a finding with its uncertainty; `measured` is its own quantity."""
    return value_text(measured, finer(finding))


def shares_of(finding: Finding) -> Shares:
    """U of a finding, with as many digits as its value has, and what it was made of."""
    return shares(finding.measured, finer(finding))


def result_text(finding: Finding) -> str:
    """What was found, whatever its form: a value, a fact in words, or that nothing was."""
    if finding.measured is not None:
        value = reading_text(finding, finding.measured)
        return f"{value} ({finding.observed})" if finding.observed else value
    return finding.observed or "no reading"


def sentence(finding: Finding, names: Mapping[str, str]) -> str:
    """The whole finding on one line; also the text alternative of its strip."""
    return sentence_on(finding, subject_text(finding.key, names))


def sentence_on(finding: Finding, subject: str) -> str:
    """The same of a finding whose subject is known in words."""
    limit = limit_text(finding.limit)
    in_words = finding.limit is not None and finding.limit.in_words
    asked = f" (asked for: {limit})" if in_words else f", {limit}"
    return f"{subject}: {result_text(finding)}{asked}: {verdict_text(finding)}"


def short_sentences(finding: Finding, subject: str) -> str:
    """A finding in two sentences, the first its name, the second verdict, value and limit.

    >>> from buildbook.core.finding import Key, Verdict
    >>> short_sentences(Finding(Key("X-01", "gap"), Verdict.FAIL, Quantity(3.0, "mm")), "gap, port")
    'gap, port. Fail: 3 mm; no limit set.'
    """
    asked = "asked for: " if finding.limit is not None and finding.limit.in_words else ""
    found = result_text(finding) if finding.measured is None else reading_text(finding, finding.measured)
    verdict = verdict_text(finding)
    return f"{subject}. {capital(verdict)}: {found}; {asked}{limit_text(finding.limit)}."
