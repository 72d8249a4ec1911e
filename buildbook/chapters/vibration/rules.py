"""The printed rules of the chapter, for its formulas and its checks."""

from __future__ import annotations

from buildbook.core.limit import Term
from buildbook.sources import figure, printed_rule, term

RULES = "vibration_rules"


def rule(name: str) -> float:
    """A figure of the printed rules of this chapter, in the unit of its row."""
    return figure(RULES, name)


def rule_term(name: str) -> Term:
    """Source, standing and words of a printed rule."""
    return term(printed_rule(RULES, name))
