"""hull.toml: words that no check uses, and numbers that no limit and no yacht has. The hulls are synthetic."""

from __future__ import annotations

import pytest

from buildbook.readers.hull_file import HullFileUnreadable, read_hull
from buildbook.sources import hull_spans
from tests.readers.synthetic import folder_of
from tests.readers.test_hull_file import FILM, HEAD, KNOWN, LOW, SOURCE, hull_of, specified


@pytest.mark.parametrize(
    ("entry", "held", "words"),
    [
        ('check = "OTH-02"\nquantity = "film"\n' + LOW + SOURCE, {"OTH-02", "SYN-01"}, "which is one of SYN-01"),
        ('check = "SYN-02"\nquantity = "film"\n' + LOW + SOURCE, {"SYN-02", "SYN-01"}, "which is one of SYN-01"),
        ('check = "OTH-09"\nquantity = "film"\n' + LOW + SOURCE, {"OTH-01", "OTH-02", "SYN-01"}, "id of a check"),
        (FILM + 'low = -1\nunit = "um"\n' + SOURCE, {"SYN-01"}, "from 10 to 5000 um; found -1"),
        (FILM + 'low = 1e-12\nunit = "um"\n' + SOURCE, {"SYN-01"}, "found 1e-12"),
        (FILM + 'high = 1e200\nunit = "um"\n' + SOURCE, {"SYN-01"}, "found 1e+200"),
        (FILM + "high = 0x" + "f" * 600 + '\nunit = "um"\n' + SOURCE, {"SYN-01"}, "far too large"),
        (FILM + "high = 0x" + "f" * 5000 + '\nunit = "um"\n' + SOURCE, {"SYN-01"}, "far too large"),
        (FILM + 'low = 280\nunit = "mm"\n' + SOURCE, {"SYN-01"}, "280 mm, which is 280000 um (is it in um?)"),
        (FILM + 'low = "3,0"\nunit = "um"\n' + SOURCE, {"SYN-01"}, "write 3.0"),
        (FILM.replace("film", "margin") + 'high = 3\nunit = "K"\n' + SOURCE, {"SYN-01"}, "`low` alone"),
        (FILM + LOW + "guard = 4\n" + SOURCE, {"SYN-01"}, "from 0 to 3"),
        (FILM + LOW + "guard = 1e300\n" + SOURCE, {"SYN-01"}, "a finite number"),
        (FILM + LOW + "natural_low = 5e9\n" + SOURCE, {"SYN-01"}, "not above"),
        ('check = "SYN-02"\nquantity = "step"\nhigh = 2\nunit = "1"\n' + SOURCE, {"SYN-02"}, "a rule 'step'"),
        (FILM + LOW + SOURCE.replace('"A"', "0x" + "f" * 5000), {"SYN-01"}, "far too large"),
    ],
)
def test_a_limit_that_no_check_would_use_holds_every_check_it_may_be_meant_for(tmp_path, entry, held, words):
    specification, (fault,) = specified(tmp_path, f"\n[[limits]]\n{entry}")
    assert specification.limits == ()
    assert words in str(fault)
    assert {check for check in KNOWN if specification.unusable(check)} == held
    assert fault.where.line is not None


def test_the_rule_chooses_which_quantity_is_judged(tmp_path):
    step = f'[[limits]]\ncheck = "SYN-02"\nquantity = "step"\nhigh = 100\nunit = "1"\n{SOURCE}'
    rule = f'[[rules]]\ncheck = "SYN-02"\nrule = "step"\n{SOURCE}'
    specification, faults = specified(tmp_path, step + rule)
    assert faults == ()
    assert specification.limit("SYN-02", "step") is not None
    share = step.replace('"step"', '"share"')
    specification, (fault,) = specified(tmp_path, share + rule)
    assert specification.unusable("SYN-02")
    assert "a limit on 'step'" in fault.expected


@pytest.mark.parametrize(
    ("entry", "held", "words"),
    [
        ('check = "SYN-02"\nrule = "80-20"\n' + SOURCE, {"SYN-01", "SYN-02"}, "belongs to, SYN-01"),
        ('check = "OTH-01"\nrule = "80-20"\n' + SOURCE, {"SYN-01", "OTH-01"}, "belongs to, SYN-01"),
        ('check = "OTH-02"\nrule = "a"\n' + SOURCE, {"SYN-01", "OTH-02"}, "belongs to, SYN-01"),
        ('check = "OTH-02"\nrule = "some other"\n' + SOURCE, {"OTH-02"}, "takes no rule"),
        ('check = "SYN-01"\nrule = "80-02"\n' + SOURCE, {"SYN-01"}, "did you mean '80-20'"),
    ],
)
def test_a_rule_under_a_wrong_check_or_of_another_name(tmp_path, entry, held, words):
    specification, (fault,) = specified(tmp_path, f"[[rules]]\n{entry}")
    assert specification.rules == ()
    assert words in str(fault)
    assert {check for check in KNOWN if specification.unusable(check)} == held


def test_a_check_whose_rule_is_words_takes_any(tmp_path):
    specification, faults = specified(tmp_path, f'[[rules]]\ncheck = "OTH-01"\nrule = "washed first"\n{SOURCE}')
    assert faults == ()
    assert specification.rule("OTH-01").rule == "washed first"


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("[dimensions]\nlength_hull = 18950", "from 2 to 200 m; found 18950 (is it in millimetres?)"),
        ("[dimensions]\nlength_hull = 1895", "is it in centimetres?"),
        ("[dimensions]\nlength_hull = 1e8", "(a typing error?)"),
        ("[dimensions]\nlength_hull = 1e200", "from 2 to 200 m"),
        ("[dimensions]\nlength_hull = 0x" + "f" * 700, "far too large"),
        ("[dimensions]\nlength_hull = '18,95'", "write 18.95"),
        ("[dimensions]\ndisplacement = 34.5", "50 to 30 000 000 kg; found 34.5 (is it in tonnes?)"),
        ("[outline]\nprofile = [[0.0, 0.0]]", "at least 3 points around an area; found 1 different"),
        ("[outline]\nprofile = []", "at least 3 points"),
        ("[outline]\nprofile = [[0, 0], [18, 2]]", "at least 3 points"),
        ("[outline]\nprofile = [[1, 1], [1, 1], [1, 1], [1, 1]]", "at least 3 points"),
        ("[outline]\nprofile = [[1, 1], [1, 2], [1, 3]]", "at least 3 points"),
        ("[outline]\nplan = [[0, 0], [9, 0], [18, 0]]", "at least 3 points"),
        ("[outline]\nprofile = [[0, 0], [18950, 0], [18950, 2500]]", "x = 18950 (is it in millimetres?)"),
        ("[outline]\nprofile = [[0, 0], [18, 0], [18, 2500]]", "z = 2500 (is it in millimetres?)"),
        ("[outline]\nplan = [[0, 0], [18, 0], [18, 1e300]]", "[18, 1e+300] as point 3"),
        ("[outline]\nplan = [[0, 0], [0,18, 0], [18, 1]]", "a decimal comma?"),
        ("[outline]\nplan = [[0, 0], [18, 2], [18, 0], [0, 2]]", "does not cross itself; found the side from point 1"),
        ("[outline]\nprofile = [[0, 0], [9, 2], [18, 0], [18, 1], [0, 1]]", "the side from point 1 crosses that from"),
        ("[outline]\nplan = [[0, 0], [18, 0], [18, 2]]", "both sides of the centreline"),
        ("[dimensions]\nlength_hull = 29.95\n[outline]\nprofile = [[0, 0], [18.95, 2], [9, -1]]", "of 18.95 m"),
        ("[dimensions]\nlength_hull = 18.95\n[outline]\nprofile = [[0, 0], [0.1, 2], [0.05, -1]]", "of 0.1 m"),
        ("[dimensions]\nlength_hull = 29.95\n[outline]\nplan = [[0, -2], [18.95, 0], [0, 2]]", "Neither is used"),
        ("[outline]\nplan = [['0,00', 0], [18, 0], [18, 1]]", "write 0.00"),
        ("[outline]\nplan = [[0x" + "f" * 700 + ", 0], [18, 0], [18, 1]]", "as point 1"),
    ],
)
def test_sizes_and_outlines_that_no_yacht_has(tmp_path, text, words):
    hull, _, (fault,) = hull_of(tmp_path, HEAD + text + "\n")
    assert words in str(fault)
    assert fault.where.line == 6
    assert (hull.length_hull, hull.displacement, hull.outline, hull.plan_outline) == (None, None, (), ())


def test_a_decimal_comma_without_quotes_is_named(tmp_path):
    with pytest.raises(HullFileUnreadable, match=r"hull\.toml:6.*write 18\.95, with a decimal point"):
        hull_of(tmp_path, HEAD + "[dimensions]\nlength_hull = 18,95\n")


def test_a_number_of_machinery_too_long_to_print(tmp_path):
    hull, _, faults = hull_of(tmp_path, HEAD + "[machinery]\npower = 0x" + "f" * 9000 + "\n")
    assert hull.machinery == (("power", "a number far too large"),)
    assert faults == ()


def test_sizes_that_cannot_both_be_true_are_both_out(tmp_path):
    text = "[dimensions]\nlength_hull = 16.0\nlength_waterline = 18.0\nbeam = 5\n"
    hull, _, (fault,) = hull_of(tmp_path, HEAD + text)
    assert (hull.length_hull, hull.length_waterline, hull.beam) == (None, None, 5.0)
    assert fault.where.line == 7
    assert "18, with length_hull = 16 in line 6" in str(fault)


def test_a_beam_that_the_plan_does_not_have(tmp_path):
    text = "[dimensions]\nlength_hull = 18.95\nbeam = 9.10\n[outline]\nplan = [[0, -2.5], [18.95, 0], [0, 2.5]]"
    hull, _, (fault,) = hull_of(tmp_path, HEAD + text + "\n")
    assert (hull.length_hull, hull.beam, hull.plan_outline) == (18.95, None, ())
    assert "found 9.1, with an outline.plan of 5 m" in str(fault)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('[hull]\nstage = "moulded"', "'stage'; it belongs beside as_of, above the first line in brackets"),
        ("[dimensions]\nas_of = 2026-06-12", "'as_of'; it belongs beside stage, above the first line in brackets"),
        ("[hull]\nbeam = 5.1", "'beam'; it belongs below [dimensions]"),
        ('name = "EXY"', "'name'; it belongs below [hull]"),
        ("[hull]\nnames = 5", "'names' (did you mean 'name'?)"),
    ],
)
def test_an_entry_in_another_part_is_told_where_it_belongs(tmp_path, text, words):
    _, _, faults = hull_of(tmp_path, text)
    assert [fault for fault in faults if fault.found == words]


@pytest.mark.parametrize(("draught", "unit"), [(155, "centimetres"), (1550, "millimetres"), (80, "centimetres")])
def test_of_two_units_that_are_possible_the_likelier_is_asked_for(tmp_path, draught, unit):
    """A draught of 155 mm is possible, one of 1.55 m is likely."""
    folder = folder_of(tmp_path, {"hull.toml": f"{HEAD}[dimensions]\ndraught = {draught}\n"})
    _, _, (fault,) = read_hull(folder, KNOWN, hull_spans())
    assert f"(is it in {unit}?)" in fault.found
