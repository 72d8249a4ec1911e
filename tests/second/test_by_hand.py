"""Every pair of the invented survey done again: from its row of comparison.csv alone, and from what the page prints."""

from __future__ import annotations

import html
import math
import re
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path

import pytest

from buildbook.core.quantity import Part, Quantity
from buildbook.second.comparing import Compared, compare
from buildbook.second.comparison import Outcome, Pair
from buildbook.second.said import en_text
from buildbook.second.told_together import numbers, told_together
from buildbook.second.worked_out import example, of_side, sums
from buildbook.second.write import contents
from tests.second import redone
from tests.second.parties import AT_LEAST_50, demonstration_read, pair_of, quantity

DEMO = Path(__file__).parents[2] / "demo_build"
CLOSE = 1e-9
NUMBER = r"\(?([+−]?[0-9.]+)\)?"


@pytest.fixture(scope="module")
def compared() -> Compared:
    return compare(*demonstration_read())


@pytest.fixture(scope="module")
def files(compared: Compared) -> dict[str, bytes]:
    return contents(compared, pdf=False)[0]


@pytest.fixture(scope="module")
def table(files: dict[str, bytes]) -> list[dict[str, str]]:
    return redone.pairs(files["comparison.csv"])


def test_the_table_alone_is_asked() -> None:
    source = Path(redone.__file__).read_text(encoding="utf-8")
    assert not re.search(r"^(?:from|import) (?:buildbook|tests|demo_build)", source, re.MULTILINE)


def test_u_and_k_of_every_side_come_out_of_its_parts(table: list[dict[str, str]]) -> None:
    done, few = 0, 0
    for row in table:
        for who in ("surveyor", "yard"):
            made = redone.side(row, who)
            if made is None:
                assert (row[f"{who}_U"], row[f"{who}_k"], row[f"{who}_U_95"]) == ("", "", "")
                continue
            done += 1
            assert float(row[f"{who}_u"]) == pytest.approx(made.standard, rel=CLOSE)
            assert float(row[f"{who}_k"]) == pytest.approx(made.factor, rel=CLOSE)
            assert float(row[f"{who}_U"]) == pytest.approx(made.expanded, rel=CLOSE)
            assert float(row[f"{who}_U_95"]) == pytest.approx(made.at_95, rel=CLOSE)
            assert row[f"{who}_degrees_of_freedom"] == ("" if made.degrees is None else str(made.degrees))
            few += made.degrees is not None
    assert done > 150
    assert few > 10


def test_en_and_the_outcome_of_every_pair_come_out_of_the_table(table: list[dict[str, str]]) -> None:
    compared_ = [row for row in table if row["En"]]
    assert len(compared_) > 50
    for row in compared_:
        found = redone.en(row)
        assert found is not None
        assert float(row["En"]) == pytest.approx(found, rel=CLOSE, abs=CLOSE)
        assert row["outcome"] == ("agree" if abs(found) <= 1.0 + CLOSE else "do not agree")


def test_a_row_with_another_part_is_not_the_same_uncertainty(table: list[dict[str, str]]) -> None:
    row = next(row for row in table if row["En"])
    coarse = {**row, "yard_u_part_values": row["yard_u_part_values"].replace("0.5;", "0.6;")}
    assert coarse != row
    assert redone.en(coarse) != pytest.approx(float(row["En"]), rel=1e-3)


def test_the_parts_of_an_instrument_come_out_of_what_its_row_states(table: list[dict[str, str]]) -> None:
    done = [one for row in table for who in ("surveyor", "yard") for one in redone.parts_from_the_instrument(row, who)]
    assert {name.partition(" ")[0] for name, _, _ in done} == {"resolution", "instrument"}
    assert len(done) > 60
    for name, size, stated in done:
        assert size == pytest.approx(stated, rel=CLOSE), name


# What is printed: each result comes out of the numbers printed before it, at its own digits.
def number(text: str) -> Decimal:
    return Decimal(text.replace("−", "-"))


def rounded(value: Decimal, like: str) -> Decimal:
    return value.quantize(Decimal(1).scaleb(-len(like.partition(".")[2])), ROUND_HALF_UP)


def checked(pair: Pair) -> None:
    """The three sums of a pair, as somebody with a calculator does them."""
    made = sums(pair)
    his, yard, less = map(number, re.match(f"{NUMBER} − {NUMBER} = {NUMBER}", made.difference).groups())  # type: ignore[union-attr]
    assert his - yard == less
    assert pair.difference is not None
    assert float(less) == pytest.approx(pair.difference, abs=2.0 * 10.0 ** less.as_tuple().exponent)  # type: ignore[operator]
    if not pair.joint:
        assert made.combined == made.en == ""
        return
    one, other, joint = re.match(rf"√\({NUMBER}² \+ {NUMBER}²\) = {NUMBER}", made.combined).groups()  # type: ignore[union-attr]
    assert rounded((number(one) ** 2 + number(other) ** 2).sqrt(), joint) == number(joint)
    if pair.en is None:
        assert made.en == ""
        return
    above, below, en = re.fullmatch(f"{NUMBER} / {NUMBER} = {NUMBER}", made.en).groups()  # type: ignore[union-attr]
    assert (number(above), below) == (less, joint)
    assert rounded(less / number(joint), en) == number(en)
    assert en == en_text(pair)


def test_what_is_printed_comes_out_of_what_is_printed_beside_it(compared: Compared, files: dict[str, bytes]) -> None:
    page = plain(files["comparison.html"])
    assert len(compared.comparison.pairs) > 80
    for pair in compared.comparison.pairs:
        checked(pair)
        made = sums(pair)
        for words in (made.difference, made.combined, made.en):
            assert closed(words) in page


@pytest.mark.parametrize(
    ("his", "yard"),
    [
        (quantity(0.16132, 0.0064534), quantity(0.15315, 0.0045954)),  # 0.0081 / 0.0079 of the rounded ones is 1.03
        (quantity(1.0 / 3.0, 0.01), quantity(2.0 / 3.0, 0.02)),  # no number of digits ends these
        (quantity(-0.25, 0.08), quantity(-0.31, 0.05)),
        (quantity(1234.0, 120.0), quantity(900.0, 4.4)),
        (quantity(3.0, 1.0), quantity(3.0, 1.0)),
        (quantity(41.74, None), quantity(42.86, 1.94)),
        (quantity(41.74, None), quantity(42.861, None)),
    ],
)
def test_whatever_the_numbers_the_sums_come_out(his: Quantity, yard: Quantity) -> None:
    checked(pair_of(his, yard, None))


def test_beside_the_rounded_values_the_printed_ones_alone_would_not_give_en() -> None:
    """The worked case that made this necessary: two values as a book prints them give another En than theirs."""
    pair = pair_of(quantity(0.161318, 0.0064534), quantity(0.153151, 0.0045954), None)
    assert (pair.surveyor.text, pair.yard.text) == ("0.1613 ± 0.0065 %", "0.1532 ± 0.0046 %")
    assert f"{(0.1613 - 0.1532) / math.hypot(0.0065, 0.0046):.2f}" == "1.02"
    assert en_text(pair) == "+1.03"
    assert sums(pair).en.endswith("= +1.03")


def test_a_value_below_zero_stands_in_brackets() -> None:
    pair = pair_of(quantity(0.2, 0.1), quantity(-0.3, 0.1), None)
    assert sums(pair).difference == "0.2000 − (−0.3000) = +0.5000 %"


# One pair, step by step.
def evaluated(line: str) -> list[tuple[float, str]]:
    """Each `sum = result` of a line: what the sum gives, and the result as printed."""
    made = []
    for left, right in re.findall(r"([√(0-9.−+×/²⁴ )]+) = ([+−]?[0-9.]*[0-9])", line):
        if set(left) & set("√×/−+"):
            text = left.replace("√", "math.sqrt").replace("²", "**2").replace("⁴", "**4").replace("−", "-")
            made.append((eval(text.replace("×", "*").strip(), {"math": math}), right))
    return made


def test_one_pair_is_worked_out_step_by_step(compared: Compared, files: dict[str, bytes]) -> None:
    steps = example(compared.comparison.pairs)
    assert steps is not None
    (pair,) = (it for it in compared.comparison.pairs if it.number == steps.number)
    done = [one for line in steps.lines for one in evaluated(line)]
    assert len(done) == 9  # u, degrees of freedom and U of each side; difference, combined, En
    for found, printed in done:
        assert found == pytest.approx(float(number(printed)), rel=2e-4)
    assert steps.lines[-1].endswith(f"= {en_text(pair)}.")
    for who in (pair.surveyor, pair.yard):
        assert any(f"= {who.expanded:.4f}"[:7] in line for line in steps.lines)
        assert any(f"= {who.degrees}" in line for line in steps.lines)
    page = plain(files["comparison.html"])
    for line in steps.lines:
        assert closed(line) in page


def test_without_a_pair_with_en_nothing_is_worked_out() -> None:
    assert example([pair_of(quantity(50.0, None), quantity(50.0, 1.0), None)]) is None


def test_what_was_stated_for_another_k_is_brought_to_two_in_a_step_of_its_own() -> None:
    three = Quantity.combined(52.0, "%", (Part("meter", 1.2),), coverage=3.0)
    steps = example([pair_of(three, Quantity.combined(50.0, "%", (Part("gauge", 0.5),)), None)])
    assert steps is not None
    assert "Surveyor, k = 3; U = 3 × 1.2 = 3.6 %." in steps.lines
    assert "Surveyor, brought to k = 2: 2 × 1.2 = 2.4 %." in steps.lines


# What both sides find outside.
def test_what_both_sides_find_outside_stands_first_with_its_count(compared: Compared, files: dict[str, bytes]) -> None:
    comparison = compared.comparison
    every = (*comparison.pairs, *comparison.in_words)
    outside = [it for it in every if {it.yard.verdict.value, it.surveyor.verdict.value} <= {"fail", "conditional fail"}]
    assert outside == [it for it in every if it.both_outside]
    assert outside
    page = files["comparison.html"].decode()
    opening = page[page.index("<h1>") : page.index('id="verdicts"')]
    said = plain(opening.encode())
    limited = sum(it.limit is not None for it in every)
    assert closed(f"Outside the limit by the readings of both sides, {len(outside)} of {limited} with a limit:") in said
    targets = re.findall(r'href="#(pair-\d+)"', opening)
    assert targets[: len(outside)] == [f"pair-{it.number}" for it in outside]
    assert all(said.index(closed(it.surveyor.text)) < said.index("doesnotagree") for it in outside)
    (counted,) = (count for count in comparison.counts if count.words.startswith("both sides read her outside"))
    assert (counted.number, counted.of) == (len(outside), limited)


@pytest.mark.parametrize(("his", "yards", "both"), [(48.0, 49.7, True), (48.0, 50.2, False), (50.2, 48.0, False)])
def test_outside_by_both_is_outside_of_each(his: float, yards: float, *, both: bool) -> None:
    pair = pair_of(quantity(his, 0.8), quantity(yards, 0.8), AT_LEAST_50)
    assert pair.both_outside is both


# Said of several at once, for print.
def test_what_is_said_of_those_that_agree_is_said_of_each_by_its_number(compared: Compared) -> None:
    agree = [it for it in compared.comparison.pairs if it.outcome is Outcome.AGREE]
    told = told_together(agree)
    by_number: dict[int, set[str]] = {}
    for one in told:
        for piece in re.split(r", | and ", one.pairs):
            first, _, last = piece.partition(" to ")
            for of in range(int(first), int(last or first) + 1):
                by_number.setdefault(of, set()).add(one.words)
    assert set(by_number) == {it.number for it in agree}
    for it in agree:
        words = by_number[it.number]
        assert {*it.notes, *it.same_instruments, it.claims} <= words
        assert ("But this comparison could not have found a difference that matters." in words) is it.too_coarse
        assert any(it.surveyor.method in one for one in words)
        assert any(it.yard.method in one for one in words)
    assert told[0].words.startswith("But this comparison could not have found"), "what weighs most first"
    assert numbers([1, 2, 4, 5, 6]) == "1, 2 and 4 to 6"


def closed(text: str) -> str:
    return re.sub(r"[\s\u2060]+", "", text)


def plain(page: bytes) -> str:
    return closed(html.unescape(re.sub(r"<[^>]+>", "", page.decode())))


def test_en_just_outside_one_is_never_printed_as_one() -> None:
    pair = pair_of(quantity(51.0000004, 0.6), quantity(50.0, 0.8), None)
    assert pair.outcome is Outcome.DO_NOT_AGREE
    assert en_text(pair) == "+1.0000004"


def test_what_is_not_read_by_the_instrument_itself_is_not_said_to_come_of_its_statement(compared: Compared) -> None:
    """A pitch of heights and angles, a vibration: their parts are not the U / k of a row of instruments.csv."""
    pairs = {it.subject.check: it for it in compared.comparison.pairs}
    lines = {
        check: "\n".join(one for side in (pairs[check].surveyor, pairs[check].yard) for one in of_side("", side))
        for check in ("PRO-02", "COA-11")
    }
    assert "the working of this finding" in lines["PRO-02"]
    assert "the working of this finding" not in lines["COA-11"]
    assert "are its parts" in lines["COA-11"]


def test_only_what_a_reading_rests_on_is_stated(compared: Compared) -> None:
    found = {it.subject.check: {row.quantity for row in it.surveyor.stated} for it in compared.comparison.pairs}
    assert found["PRO-02"] == {"pitch"}
    assert found["COA-11"] == {"gloss"}
    yards = {row.quantity for it in compared.comparison.pairs if it.subject.check == "PRO-02" for row in it.yard.stated}
    assert yards == {"angle", "height"}
