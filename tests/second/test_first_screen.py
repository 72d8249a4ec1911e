"""What a side reads outside a limit, and nothing can be set against, is told first: on the page and in the terminal.

Limits are those of the demonstration's folder, of which small ones are cut here; the surveys are invented.
"""

from __future__ import annotations

import html
import re
from pathlib import Path

import pytest

from buildbook.chapters.propeller.checks.accuracy import CLASS
from buildbook.core.finding import Verdict
from buildbook.core.limit import Limit
from buildbook.second.comparing import Compared, compare
from buildbook.second.comparison import Outcome
from buildbook.second.page import page_html
from buildbook.second.reading import read_both
from buildbook.second.said import outside_apart, outside_apart_text, outside_text
from buildbook.second.write import Done
from buildbook.terminal import show_comparison
from tests.second.parties import DEMO, KEY, NUMBER, SET, SURVEY_TOML, finding, lines, pair_of, party, quantity, write

BONDING = "systems/bonding.csv"
HEADS = "instrument,quantity,type,serial,certificate,calibrated,due,unit,uncertainty,coverage"
BOND_HEADS = "fitting,attempt,at,resistance [ohm],leads [ohm],ashore,by,instrument"
PITCH_HEADS = "propeller,blade,attempt,number,radius [%],angle [deg],height [mm],pitch [mm],on,at,by,instrument"
AT_MOST_1 = Limit("ohm", SET, high=1.0)


def compared(tmp_path: Path, tables: tuple[str, ...], survey: dict[str, str]) -> Compared:
    """These tables of the demonstration, and a survey beside them."""
    hull = {"hull.toml": f'[hull]\nname = "Small"\nnumber = "{NUMBER}"\n\n[dates]\nlaunched = 2026-05-12\n'}
    hull |= {
        name: (DEMO / "hull" / name).read_text(encoding="utf-8") for name in ("places.csv", "instruments.csv", *tables)
    }
    write(tmp_path / "hull", hull)
    write(tmp_path / "survey", {"hull.toml": SURVEY_TOML.format(number=NUMBER), **survey})
    return compare(*read_both(tmp_path / "hull", tmp_path / "survey"))


def bond(tmp_path: Path, uncertainty: str) -> Compared:
    """The bond of the starboard propeller: 0.29 ohm by the yard, 1.79 ohm less leads by the surveyor, limit 1 ohm."""
    meter = f"SV-OM,resistance,ohmmeter,X-1,C-1,2026-01-02,2027-01-02,ohm,{uncertainty}"
    reading = "P2,1,2026-07-07 10:00,1.97,0.18,yes,SV AB,SV-OM"
    survey = {"instruments.csv": lines(HEADS, meter), BONDING: lines(BOND_HEADS, reading)}
    return compared(tmp_path, (BONDING,), survey)


def first_screen(made: Compared) -> str:
    page = page_html(made, ())
    text = re.sub(r"<[^>]+>", "", page[page.index("<h1>") : page.index('id="verdicts"')])
    return " ".join(html.unescape(text).replace("\u2060", "").split())


def test_a_miss_without_an_uncertainty_is_on_the_first_screen_and_in_the_terminal(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    made = bond(tmp_path, ",")
    (pair,) = made.comparison.pairs
    assert (pair.outcome, pair.surveyor.verdict) == (Outcome.NO_UNCERTAINTY, Verdict.FAIL)
    lead = "The surveyor reads outside the limit in 1 pair with no uncertainty given:"
    assert outside_apart_text(made.comparison.pairs) == lead
    seen = first_screen(made)
    assert lead in seen
    assert "1.79 Ω" in seen[seen.index(lead) :]
    show_comparison(Done(made.comparison, (), ()), tmp_path / "out")
    printed = capsys.readouterr().out
    assert lead in printed
    assert "surveyor 1.79 Ω" in printed[printed.index(lead) :].splitlines()[1]


def test_with_an_uncertainty_it_is_a_plain_disagreement(tmp_path: Path) -> None:
    made = bond(tmp_path, "0.02,2")
    assert [pair.outcome for pair in made.comparison.pairs] == [Outcome.DO_NOT_AGREE]
    assert outside_apart(made.comparison.pairs) == []


@pytest.mark.parametrize(("yards", "met"), [(0.29, True), (1.2, False)])
def test_a_fail_whose_uncertainty_is_not_known_does_not_contradict_itself(yards: float, *, met: bool) -> None:
    pair = pair_of(quantity(1.79, None, unit="ohm"), quantity(yards, 0.02, unit="ohm"), AT_MOST_1)
    assert (pair.surveyor.verdict, pair.surveyor.shows) == (Verdict.FAIL, False)
    assert ("shows that the limit is met" in pair.claims) is met
    assert "lies outside the limit, so it is called a fail. No uncertainty is given with it" in pair.claims
    assert "not that it is missed" not in pair.claims


def test_each_kind_of_pair_has_its_number_and_what_he_misses_comes_first() -> None:
    """Two pairs without an uncertainty, one of another unit; in one of the first the yard alone reads outside."""
    keys = [KEY, *(type(KEY)(KEY.check, KEY.quantity, place) for place in ("L2", "L3"))]
    numbers = [(0.5, 1.4), (1.5, 0.4), (1.5, 0.4)]
    yard = [
        finding(quantity(our, 0.1, unit="ohm"), AT_MOST_1, key) for key, (_, our) in zip(keys, numbers, strict=True)
    ]
    his = [
        finding(quantity(his, None, unit="ohm"), AT_MOST_1, key)
        for key, (his, _) in zip(keys[:2], numbers, strict=False)
    ]
    his.append(finding(quantity(1.5, 0.1, unit="mm"), Limit("mm", SET, high=1.0), keys[2]))
    pairs = compare(party(*yard), party(*his)).comparison.pairs
    assert outside_apart_text(pairs) == (
        "The surveyor reads outside the limit in 1 pair that cannot be compared and in 1 pair with no uncertainty "
        "given, the yard reads outside the limit in 1 pair with no uncertainty given:"
    )
    assert [pair.surveyor.verdict.missed for pair in outside_apart(pairs)] == [True, True, False]


@pytest.fixture(scope="module")
def pitch_alone(tmp_path_factory: pytest.TempPathFactory) -> Compared:
    """Pitch by radius and blade as ordered (880 mm), one 25 mm above it, and nothing else of the propeller."""
    after = "face,2026-07-07 10:00,SV AB,SV-PB"
    rows = [
        f"P1,{blade},1,{number},{radius},,,{905 if (blade, radius) == ('B2', 70) else 880},{after}"
        for blade in ("B1", "B2", "B3", "B4", "B5")
        for number, radius in enumerate((30, 40, 50, 60, 70, 80, 90, 95), 1)
    ]
    bench = "SV-PB,pitch,pitch bench,X-1,C-1,2026-01-02,2027-01-02,mm,1.2,2"
    survey = {"instruments.csv": lines(HEADS, bench), "propeller/pitch.csv": lines(PITCH_HEADS, *rows)}
    tables = sorted(path.relative_to(DEMO / "hull").as_posix() for path in (DEMO / "hull" / "propeller").glob("*.csv"))
    return compared(tmp_path_factory.mktemp("pitch"), tuple(tables), survey)


def test_a_class_of_which_he_read_the_pitch_alone_is_no_finding_of_both(pitch_alone: Compared) -> None:
    """The yard misses class I by the thickness at a tip, which he did not read; his miss is one of pitch."""
    comparison = pitch_alone.comparison
    (pair,) = (it for it in comparison.in_words if it.subject.quantity == CLASS and it.subject.place == "P1")
    assert (pair.outcome, pair.both_outside) == (Outcome.NOT_COMPARABLE, False)
    assert pair.surveyor.text == "not above class III, since not all of it was measured"
    assert pair.yard.text == "class III"
    (why,) = (words for words in pair.why if words.startswith("read by the yard alone, though the class rests on it: "))
    for level in ("thinnest place against the design", "tip radius against the order", "surface roughness"):
        assert level in why
    every = (*comparison.pairs, *comparison.in_words)
    assert pair in outside_apart(every)
    assert outside_text(every).startswith("Outside the limit by the readings of both sides: 0 of ")
    seen = first_screen(pitch_alone)
    assert "no class" not in seen
    assert seen.index("do not agree") < seen.index(
        "each side reads outside the limit in 1 pair that cannot be compared"
    )


def test_what_is_named_on_the_first_screen_is_on_the_page_and_says_why(pitch_alone: Compared) -> None:
    page = page_html(pitch_alone, ())
    opening = page[page.index("<h1>") : page.index('id="verdicts"')]
    targets = re.findall(r'href="#(pair-[0-9]+)"', opening)
    assert len(targets) >= 3
    assert all(f'id="{target}"' in page for target in targets)
    assert "Not comparable, too: read by the yard alone" in page
