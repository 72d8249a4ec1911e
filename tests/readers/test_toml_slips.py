"""hull.toml as a hand in a hurry types it: each slip that stops it is told in words. The hulls are synthetic."""

from __future__ import annotations

import pytest

from buildbook.readers.hull_file import HullFileUnreadable
from tests.readers.test_hull_file import hull_of

SLIPS = [
    ("beam = 5.10 m", "a number without its unit", "5.10 m; write 5.10"),
    ("beam = 5,10m  # as built", "a number without its unit", "5,10m; write 5.10"),
    ("low = 5 %", "a number without its unit", "5 %; write 5"),
    ("as_of = 15.06.2026", "a date as YYYY-MM-DD", "15.06.2026; write 2026-06-15"),
    ("as_of = 05/06/2026", "a date as YYYY-MM-DD", "write 2026-06-05 or 2026-05-06, whichever it is"),
    ("as_of = 15 June 2026", "a date as YYYY-MM-DD", "15 June 2026; "),
    ('name = "Aurora', "text between quotes", '"Aurora; the closing quotation mark is missing'),
    ("name = 'Aurora", "text between quotes", "'Aurora; the closing quotation mark is missing"),
    ('name = Aurora"', "text between quotes", 'Aurora"; the opening quotation mark is missing'),
    ("name = Aurora", "text between quotes", 'Aurora; write "Aurora"'),
    ("name = \u201cAurora\u201d", 'straight quotation marks (")', "\u201cAurora\u201d"),
    ("name =", "a value behind name =, or no such line", "none"),
    ("beam 5.10", "an equals sign behind beam", "beam 5.10"),
    ("beam: 5.10", "an equals sign behind beam", "beam: 5.10"),
]


@pytest.mark.parametrize(("typed", "expected", "found"), SLIPS)
@pytest.mark.parametrize("before", ["", "# her own file\n\n"])
@pytest.mark.parametrize("after", ["", '\nmodel = "one-off"\n'])
def test_a_slip_that_stops_the_file_is_told_in_words(tmp_path, typed, expected, found, before, after):
    with pytest.raises(HullFileUnreadable) as error:
        hull_of(tmp_path, f"{before}{typed}{after}")
    fault = error.value.fault
    assert (fault.where.line, fault.expected) == (before.count("\n") + 1, expected)
    assert found in fault.found


@pytest.mark.parametrize("typed", ["[[limits]", "beam = = 5", "beam = [1, 2"])
def test_what_nobody_can_tell_is_said_as_the_parser_says_it(tmp_path, typed):
    with pytest.raises(HullFileUnreadable) as error:
        hull_of(tmp_path, typed)
    assert error.value.fault.found.startswith("a mistake: ")


@pytest.mark.parametrize(
    ("typed", "expected", "found"),
    [
        ('her name = "Aurora"', "a name with such signs between quotes", 'her name; write "her name" = "Aurora"'),
        ('"name": "Aurora"', 'an equals sign behind "name"', '"name": "Aurora"'),
        ('"name = "Aurora"', "quotation marks in pairs", '"name = "Aurora"'),
        ("beam -> 5.1", "an equals sign behind beam", "beam -> 5.1"),
        ('name = "A"\nname = "B"', "each entry once in its part", "name again; take one of the two out"),
        ("[hull]\n[hull]", "each part once", "[hull] again; put the lines of both below one"),
        ("[hull", "a closing bracket ] behind the name", "[hull"),
    ],
)
def test_a_slip_in_a_name_is_told_in_words(tmp_path, typed, expected, found):
    with pytest.raises(HullFileUnreadable) as error:
        hull_of(tmp_path, typed)
    fault = error.value.fault
    assert fault.where.line == len(typed.splitlines())
    assert (fault.expected, fault.found) == (expected, found)
