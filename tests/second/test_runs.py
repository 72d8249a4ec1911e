"""Nothing that was read vanishes: runs of one setting, attempts, and what only one side has."""

from __future__ import annotations

import html
import re
from collections.abc import Iterable
from dataclasses import replace
from itertools import product
from pathlib import Path

import pytest

from buildbook.core.finding import Finding, Key, Role, Verdict
from buildbook.core.finding_words import result_text
from buildbook.core.limit import Limit
from buildbook.core.wording import value_text
from buildbook.render.prose import anchor
from buildbook.second.comparing import Compared, compare
from buildbook.second.comparison import Comparison, Outcome, Side
from buildbook.second.reading import Party
from buildbook.second.said import outside_apart
from buildbook.second.write import contents
from tests.second.parties import SET, demonstration_read, finding, party, quantity

DEMO = Path(__file__).parents[2] / "demo_build"
AT_MOST_3 = Limit("mm/s", SET, high=3.0)


def run(value: float, name: str, attempt: int = 1, place: str = "V6", expanded: float = 0.4) -> Finding:
    key = Key("VIB-01", "weighted vibration", place, f"vertical, cruise, run {name}", attempt)
    return finding(quantity(value, expanded, unit="mm/s"), AT_MOST_3, key)


def sides(comparison: Comparison, who: str) -> list[Side]:
    pairs = [getattr(pair, who) for pair in (*comparison.pairs, *comparison.in_words)]
    return [*pairs, *(line.side for line in getattr(comparison, f"{who}_only"))]


def notes(comparison: Comparison) -> list[str]:
    several = (comparison.pairs, comparison.in_words, comparison.surveyor_only, comparison.yard_only)
    return [words for lines in several for line in lines for words in line.notes]


def unseen(findings: Iterable[Finding], comparison: Comparison, who: str) -> list[Key]:
    """Findings with a value that stand in no pair and no list of one side, and are named in no note."""
    told = notes(comparison)
    shown = {(side.text, side.condition, side.attempt, side.rows) for side in sides(comparison, who)}

    def named(it: Finding) -> bool:
        which = ", ".join(part for part in (it.key.condition, f"attempt {it.key.attempt}") if part)
        texts = {result_text(it), value_text(it.measured)} if it.measured else {result_text(it)}
        return any(who in words and f"{which}: {text}, " in words for words in told for text in texts)

    def taken_apart(it: Finding) -> bool:
        """The outermost of several stands at its own place, with the rows of that place alone."""
        return it.measured is not None and any(
            (side.value, side.condition, side.attempt) == (it.measured.value, it.key.condition, it.key.attempt)
            and side.rows
            and set(side.rows) < set(map(str, it.at))
            for side in sides(comparison, who)
        )

    return [
        it.key
        for it in findings
        if it.key.role is Role.GOVERNING
        and it.measured is not None
        and (result_text(it), it.key.condition, it.key.attempt, tuple(map(str, it.at))) not in shown
        and not named(it)
        and not taken_apart(it)
    ]


def test_a_miss_of_the_surveyor_is_a_pair_whatever_his_other_run_shows() -> None:
    his = (run(6.0, "S1"), run(2.0, "S2"))
    for order in (his, his[::-1]):
        comparison = compare(party(run(2.1, "R4")), party(*order)).comparison
        found = [(pair.outcome, pair.surveyor.value, pair.surveyor.verdict) for pair in comparison.pairs]
        assert found == [(Outcome.DO_NOT_AGREE, 6.0, Verdict.FAIL), (Outcome.AGREE, 2.0, Verdict.PASS)]
        assert [pair.surveyor.shows for pair in comparison.pairs] == [True, False]
        assert all("One of 2 pairs" in pair.notes[0] for pair in comparison.pairs)
        assert "run S1 of the surveyor beside run R4 of the yard" in comparison.pairs[0].notes[0]


def test_a_miss_of_the_yard_is_a_pair_whatever_its_other_run_shows() -> None:
    comparison = compare(party(run(6.0, "R4"), run(2.0, "R5")), party(run(2.1, "S1"))).comparison
    assert [(pair.yard.value, pair.yard.verdict) for pair in comparison.pairs] == [
        (6.0, Verdict.FAIL),
        (2.0, Verdict.PASS),
    ]


def test_no_run_is_chosen_each_stands_beside_each() -> None:
    yard, his = [run(2.0 + n, f"R{n}") for n in range(3)], [run(2.5 + n, f"S{n}") for n in range(2)]
    comparison = compare(party(*yard), party(*his)).comparison
    met = {(pair.yard.condition[-2:], pair.surveyor.condition[-2:]) for pair in comparison.pairs}
    assert met == set(product(("R0", "R1", "R2"), ("S0", "S1")))
    assert len(comparison.pairs) == 6
    assert {count.of for count in comparison.counts[:4]} == {6}


def test_an_attempt_before_the_last_is_named_with_its_verdict() -> None:
    yard = (run(6.0, "R3"), run(5.0, "R2"), run(2.0, "R4", 2))
    his = (run(6.5, "S1"), run(2.2, "S2", 2))
    (pair,) = compare(party(*yard), party(*his)).comparison.pairs
    assert (pair.yard.value, pair.surveyor.value) == (2.0, 2.2)
    ours, theirs = pair.notes
    for part in ("yard", "run R3, attempt 1: 6.0", "run R2, attempt 1: 5.0", "fail"):
        assert part in ours
    for part in ("surveyor", "run S1, attempt 1: 6.5", "fail"):
        assert part in theirs


def test_what_one_side_has_alone_keeps_its_runs_and_names_its_attempts() -> None:
    his = [run(6.0, "S1", place="V9"), run(2.0, "S2", place="V9"), run(7.5, "S0", place="V8"), run(2.0, "S3", 2, "V8")]
    comparison = compare(party(run(2.0, "R4")), party(*his)).comparison
    assert [line.side.value for line in comparison.surveyor_only] == [6.0, 2.0, 2.0]
    assert any("run S0, attempt 1: 7.5" in words for line in comparison.surveyor_only for words in line.notes)
    assert unseen(his, comparison, "surveyor") == []


@pytest.mark.parametrize("seed", range(4))
def test_whatever_the_runs_and_attempts_every_value_is_somewhere(seed: int) -> None:
    def made(letter: str) -> list[Finding]:
        numbers = product(("V6", "V7", "V8"), range(1, 4), range(3))
        return [
            run(1.0 + 0.1 * at, f"{letter}{at}", attempt, place)
            for at, (place, attempt, nth) in enumerate(numbers)
            if (at * 7 + seed * 5 + nth + ord(letter)) % 3
        ]

    yard, his = made("R"), made("S")
    assert len(his) > 10
    comparison = compare(party(*yard), party(*his)).comparison
    assert unseen(his, comparison, "surveyor") == []
    assert unseen(yard, comparison, "yard") == []


@pytest.fixture(scope="module")
def demo() -> tuple[Party, Party, Compared]:
    first, second, otherwise = demonstration_read()
    return first, second, compare(first, second, otherwise)


def test_every_value_of_the_demonstration_is_somewhere(demo: tuple[Party, Party, Compared]) -> None:
    first, second, compared = demo
    comparison = compared.comparison
    assert unseen(second.findings, comparison, "surveyor") == []
    checks = {it.subject.check for it in (*comparison.pairs, *comparison.in_words)}
    checks |= {it.subject.check for it in comparison.yard_only}
    assert unseen([it for it in first.findings if it.key.check in checks], comparison, "yard") == []
    assert len(unseen([replace(it, at=()) for it in second.findings], comparison, "surveyor")) > 20


def test_the_worst_of_a_blade_has_the_value_and_the_verdict_that_its_book_has(
    demo: tuple[Party, Party, Compared],
) -> None:
    """Taken apart, no reading is better or worse than the finding in the book: the plan does not hold the parts."""
    for party_, who in ((demo[0], "yard"), (demo[1], "surveyor")):
        whole = [it for it in party_.findings if it.key.check == "PRO-02" and it.key.place == "P2" and it.measured]
        last = max(it.key.attempt for it in whole if it.key.condition == "B3")
        assert len(whole) == 4 + last
        for it in (it for it in whole if it.key.condition != "B3" or it.key.attempt == last):
            parts = [
                getattr(pair, who)
                for pair in demo[2].comparison.pairs
                if (pair.subject.check, pair.subject.place) == ("PRO-02", "P2")
                and pair.subject.condition.startswith(f"{it.key.condition}, ")
            ]
            assert len(parts) == 8
            assert it.verdict in {side.verdict for side in parts if it.measured and side.value == it.measured.value}
            assert max(side.verdict.rank for side in parts) == it.verdict.rank


def closed(text: str) -> str:
    """A text without its spaces, of which the page makes some wider, narrower or unbreakable."""
    return re.sub(r"[\s\u2060]+", "", text)


def test_the_page_and_the_table_tell_every_note(demo: tuple[Party, Party, Compared]) -> None:
    compared = demo[2]
    files, _ = contents(compared, pdf=False)
    page = closed(html.unescape(re.sub(r"<[^>]+>", "", files["comparison.html"].decode())))
    told = notes(compared.comparison)
    assert sum("One of 2 pairs" in words for words in told) > 5
    for words in told:
        assert closed(words) in page
    assert files["comparison.csv"].decode().count("One of 2 pairs") == sum("One of 2 pairs" in words for words in told)


def test_what_one_side_has_alone_is_folded_under_its_verdicts_and_the_counts_lead_to_their_pairs(
    demo: tuple[Party, Party, Compared],
) -> None:
    comparison = demo[2].comparison
    page = contents(demo[2], pdf=False)[0]["comparison.html"].decode()
    folded = page[page.index('id="only-yard"') : page.index('id="sheet"')]
    heads = [
        closed(html.unescape(re.sub(r"<[^>]+>", "", it))) for it in re.findall(r"<summary>(.*?)</summary>", folded)
    ]
    assert 10 < len(heads) < 60
    assert sum(int(number) for it in heads for number in re.findall(r"[:,](\d+)[a-z]", it.rpartition(")")[2])) == len(
        comparison.yard_only
    )
    assert "fail" in heads[0]
    opening = page[page.index("<h1>") : page.index('id="verdicts"')]
    targets = re.findall(r'href="#([^"]+)"', opening)
    apart = [pair.number for pair in comparison.pairs if pair.both_outside]
    apart += [pair.number for pair in comparison.pairs if pair.outcome is Outcome.DO_NOT_AGREE]
    assert len(apart) == 2
    apart += [pair.number for pair in outside_apart(comparison.pairs)]
    assert len(apart) == 4
    assert targets[: len(apart)] == [f"pair-{number}" for number in apart]
    parts = ["worked-out", "in-words", "only-surveyor", "only-yard"]
    assert targets[len(apart) :] == [*(anchor(it.value) for it in Outcome), *parts]
    assert all(f'id="{target}"' in page for target in targets)
