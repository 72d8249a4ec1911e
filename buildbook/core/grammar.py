"""Words that go by the number beside them: how many there are of a thing; how far off a value is, and on which side."""

from __future__ import annotations

from buildbook.core.wording import fixed


def counted(number: int, one: str, many: str = "") -> str:
    """A number with its noun.

    >>> counted(1, "place"), counted(2, "place"), counted(1, "mix", "mixes"), counted(0, "mix", "mixes")
    ('1 place', '2 places', '1 mix', '0 mixes')
    """
    return f"{number} {one if number == 1 else many or one + 's'}"


def off_by(value: float, decimals: int, unit: str, over: str, under: str) -> str:
    """How far off a value is [unit], with the word for its side instead of a sign.

    >>> off_by(-2.41, 1, "%", "thicker", "thinner"), off_by(3.0, 0, "g/m²", "heavier", "lighter")
    ('thinner by 2.4 %', 'heavier by 3 g/m²')
    """
    return f"{under if value < 0 else over} by {fixed(abs(value), decimals)} {unit}"
