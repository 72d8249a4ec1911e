"""Pure functions that two chapters or more use: plain numbers in, plain numbers or frozen values out.

Nothing in here reads a file, knows a limit or judges. A printed table comes in as an argument.
"""

from __future__ import annotations

import math

__all__ = ["Malformed", "OutOfRange", "require_range"]


class OutOfRange(ValueError):
    """An argument lies outside the range in which a formula holds. The text can be printed as it stands."""

    def __init__(self, argument: str, value: object, allowed: str) -> None:
        shown = f"{value:g}" if isinstance(value, float) else f"{value}"
        super().__init__(f"{argument.replace('_', ' ')} is {shown}; the formula holds for {allowed}")
        self.argument = argument
        self.value = value
        self.allowed = allowed


class Malformed(ValueError):
    """A text does not have the form it should. Each problem is a phrase that can be printed as it stands."""

    def __init__(self, subject: str, text: str, problems: tuple[str, ...]) -> None:
        super().__init__(f"{subject} “{text}”: {'; '.join(problems)}")
        self.subject = subject
        self.text = text
        self.problems = problems


def require_range(
    argument: str,
    value: float,
    unit: str,
    low: float = -math.inf,
    high: float = math.inf,
    *,
    above: bool = False,
) -> None:
    """Raise `OutOfRange` unless a number is finite and lies between two ends.

    Args:
        argument: name of the argument as the page shall print it [text].
        value: the number [unit of the argument].
        unit: unit to print, "" for a bare number [text].
        low: lower end [unit of the argument].
        high: upper end, included [unit of the argument].
        above: True where the lower end itself is not allowed [true or false].
    Returns:
        Nothing [none].
    Range:
        Any number; one that is not finite is always refused.
    Source:
        House rule (practice): no formula is used outside the range it was made for.
    Example:
        >>> require_range("relative humidity", 101.0, "%", 0.0, 100.0, above=True)
        Traceback (most recent call last):
        buildbook.formulas.OutOfRange: relative humidity is 101; the formula holds for above 0 and up to 100 %
    """
    if math.isfinite(value) and low <= value <= high and not (above and value == low):
        return
    raise OutOfRange(argument, float(value), _words(low, high, above=above) + (f" {unit}" if unit else ""))


def _words(low: float, high: float, *, above: bool) -> str:
    if math.isinf(low) and math.isinf(high):
        return "finite numbers only"
    if math.isinf(high):
        return f"above {low:g}" if above else f"{low:g} or more"
    if math.isinf(low):
        return f"{high:g} or less"
    return f"above {low:g} and up to {high:g}" if above else f"{low:g} to {high:g}"
