"""A matter in words: what it is, what became of it, what else it shows in, and how far behind it is told."""

from __future__ import annotations

from dataclasses import replace

from buildbook.chapters.register.plan import CHECK as PLAN_CHECK
from buildbook.chapters.register.reports import CHECK as REPORT_CHECK
from buildbook.core.book import Numbered
from buildbook.core.check import About
from buildbook.core.finding import CALIBRATION_NOT_SHOWN, Key, Verdict
from buildbook.core.matter import Matter, State
from buildbook.core.source import Standing
from buildbook.core.wording import capital, listed, subject_text
from buildbook.later import value_of
from buildbook.matter_states import LOOKED_AGAIN, Known, Told

ASIDE = 6  # words about a value that may stand in brackets behind it; more make a sentence of their own
SHORT = 60  # letters: a requirement in words that is longer is left to the page of its chapter


def weight(item: Numbered, known: Known) -> int:
    """How far behind a thing is told: 0 in doubt or felt aboard, 1 against a published or agreed limit, 5 paper."""
    finding = item.finding
    about = known.checks[finding.key.check].about
    if about in (About.TRUST, About.FELT):
        return 0
    if about in (About.WORK, About.PAPER):
        return 4 if about is About.WORK else 5
    if finding.limit is None or all(term.standing is Standing.PRACTICE for term in finding.limit.terms):
        return 3
    if finding.measured is None:
        return 2
    return 1


def _own(told: Told, known: Known) -> list[Numbered]:
    """The findings that say what a matter is, the heaviest first, of several attempts that missed the last one.

    None where only its report does.
    """
    own = [item for item in told.items if item.finding.key.check not in (REPORT_CHECK, PLAN_CHECK)]
    own = own or [item for item in told.items if item.finding.key.check != REPORT_CHECK]
    return sorted(
        own, key=lambda item: (not item.finding.verdict.missed, weight(item, known), -item.finding.key.attempt)
    )


def lead_of(told: Told, known: Known) -> Numbered:
    return (_own(told, known) or told.items)[0]


def in_words(told: Told, known: Known) -> Matter:
    """A matter in words: its own finding, not the one about the report or the plan, says what it is."""
    own = _own(told, known)
    numbers = tuple(item.number for item in (*own, *(item for item in told.items if item not in own)))
    lead = lead_of(told, known)
    alone = told.reported and all(item.finding.verdict is Verdict.PASS for item in own)
    what = f"{told.reported} (told by its report alone)" if alone else _what(lead)
    also = tuple(_beside(item, lead, known) for item in own[1:])
    became = _became(told, told.works, lead, known)
    brief = _became(told, (), lead, known)
    if told.state is State.PUT_RIGHT and told.reports:
        brief = f"{told.became[told.items.index(lead)]}."
    elif told.state is State.DECIDED:
        brief = f"{capital(known.later.again(lead))}."
    elif told.state is State.OVERDUE:
        brief = next(iter(lead.told), "").removeprefix(f"{CALIBRATION_NOT_SHOWN}: ")  # the heading says it
    elif told.cause:
        brief = _became(replace(told, became=(told.cause,) * len(told.items)), (), lead, known)
    in_brief = "" if brief == became else brief
    return Matter(told.state, what, became, tuple(dict.fromkeys(also)), numbers, told.reports, in_brief)


def _became(told: Told, works: tuple[str, ...], lead: Numbered, known: Known) -> str:
    told_already = told.state is State.PUT_RIGHT or LOOKED_AGAIN in told.became[told.items.index(lead)]
    again = "" if told_already else known.later.again(lead)
    several = len(told.reports) > 1
    names = f"{'reports' if several else 'report'} {listed(told.reports)}"
    verb = f"{names} {'are' if several else 'is'}"
    past = f"{names} {'were' if several else 'was'}"
    words = names if ", closed" in told.ending else past
    ending = told.ending.format(reports=verb, Reports=capital(words))
    parts = (told.became[told.items.index(lead)], *(capital(work) for work in works))
    said = f"{'. '.join(parts)}{ending}"
    return f"{said} {capital(again)}.".strip() if again else said


def _what(item: Numbered) -> str:
    """One finding with value and limit."""
    if item.finding.verdict.unshown:
        text = item.subject
    elif item.finding.limit is None:
        text = f"{item.subject}: {item.value}"
    elif item.finding.measured is not None:
        aside = item.finding.observed if len(item.finding.observed.split()) > ASIDE else ""
        text = f"{item.subject}: {value_of(item) if aside else item.value}; {item.limit}"
        text += f". {capital(aside)}" if aside else ""
    elif len(item.limit) <= SHORT:
        text = f"{item.subject}: {item.value}; asked for: {item.limit}"
    else:
        why = [note.removesuffix(".") for note in item.finding.notes[-1:] if item.finding.verdict.missed]
        text = ". ".join((f"{item.subject}: {item.value}", *why))
    return capital(text)


def _beside(item: Numbered, lead: Numbered, known: Known) -> str:
    """A further finding of a matter: its name as far as it differs, a miss with value and limit, what came later."""
    key, first = item.finding.key, lead.finding.key
    place = subject_text(Key("", "", key.place), known.names) if key.place != first.place else ""
    condition = key.condition if key.quantity == first.quantity and key.condition != first.condition else ""
    name = ", ".join(part for part in (key.quantity, place, condition) if part)
    limit = item.finding.limit
    told_already = key.quantity == first.quantity and first.attempt > key.attempt
    again = "" if limit is None or told_already else known.later.again(item).replace(": ", " ", 1)
    if item.finding.verdict.missed and limit is not None:
        asked = "" if item.limit == lead.limit else f" (asked for: {item.limit})"
        found = f"{item.value}{asked}" if limit.in_words else f"{value_of(item)}, {item.limit}"
        name += f": {found}"
    name = f"{name}, {again}" if again else name
    return capital(name)
