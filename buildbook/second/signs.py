"""The signs of the four outcomes: two bars, one for each side, that meet, keep apart, lack an end or a partner."""

from __future__ import annotations

from buildbook.second.comparison import Outcome

_UPPER, _LOWER = "M3 4.5H13", "M9 9.5H19"
_STROKES = {
    Outcome.AGREE: f'<path d="{_UPPER}{_LOWER}"/><path d="M9 2V12M13 2V12" stroke-width="0.8"/>',
    Outcome.DO_NOT_AGREE: '<path d="M2 4.5H9M13 9.5H20"/><path d="M11 1V13" stroke-width="0.8"/>',
    Outcome.NO_UNCERTAINTY: f'<path d="{_UPPER}"/><path d="M9 9.5H19" stroke-dasharray="1.6 1.8"/>',
    Outcome.NOT_COMPARABLE: '<path d="M3 4.5H19"/><path d="M5 12.5L17 1.5" stroke-width="0.9"/>',
}


def outcome_sign(outcome: Outcome) -> str:
    """The sign of an outcome, 1 em high and in the colour of the text around it; the word always stands beside it."""
    name = f"sign sign-{outcome.value.replace(' ', '-')}"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="{name}" viewBox="0 0 22 14" '
        f'width="1.571em" height="1em" focusable="false" aria-hidden="true" fill="none" stroke="currentColor" '
        f'stroke-width="2.2">{_STROKES[outcome]}</svg>'
    )
