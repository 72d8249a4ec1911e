"""The line of every key, against the TOML parser of the standard library: it must find the same keys."""

import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildbook.readers.toml_lines import line_index, nearest_line

TEXT = '''# a comment with [no.header] and key = "x"
as_of = 2026-06-15 # [not_this]

[hull]
name = "a [b] # c"
"quoted key" = 'it''s' # literal
many = """
[not_a_header]
low = 3
"""
other = \'\'\'
[neither]
\'\'\'
escaped = "a \\" [b]"

[outline]
profile = [
  [0.0, 1.0], # [[limits]]
  # low = 5
  [2.0, 3.0],
]
plan = [[1, 2]]
inline = { low = 1, high = [2, 3] }

[[limits]]
check = "A"
low = 1

  [[ limits ]]
  check = "B"
  values = { a = 1 }
[dates]
launched = 2026-01-01
a.b = 3
'''


def test_lines_survive_comments_strings_and_arrays_over_several_lines():
    source = TEXT.replace("'it''s'", "'its'")
    lines = line_index(source)
    rows = source.splitlines()
    expected = {
        "as_of": "as_of =",
        "hull": "[hull]",
        "hull.name": "name =",
        "hull.quoted key": '"quoted key"',
        "hull.many": "many =",
        "hull.other": "other =",
        "hull.escaped": "escaped =",
        "outline": "[outline]",
        "outline.profile": "profile =",
        "outline.plan": "plan =",
        "outline.inline": "inline =",
        "limits[1]": "[[limits]]",
        "limits[1].check": 'check = "A"',
        "limits[1].low": "low = 1",
        "limits[2]": "  [[ limits ]]",
        "limits[2].check": '  check = "B"',
        "limits[2].values": "  values =",
        "dates": "[dates]",
        "dates.launched": "launched =",
        "dates.a.b": "a.b =",
    }
    assert {path: rows[line - 1].startswith(expected[path]) for path, line in lines.items()} == dict.fromkeys(
        expected, True
    )
    tomllib.loads(source)  # the text is one that the parser accepts


def test_the_nearest_thing_that_holds_a_key():
    lines = {"limits[1]": 4, "limits[1].low": 6, "hull": 1}
    assert nearest_line(lines, "limits[1].low") == 6
    assert nearest_line(lines, "limits[1].high") == 4
    assert nearest_line(lines, "hull.name") == 1
    assert nearest_line(lines, "limits") == 4
    assert nearest_line(lines, "dates.launched") is None


KEY = st.from_regex(r"[A-Za-z0-9_-]{1,8}", fullmatch=True)
VALUE = st.sampled_from(['"a # b"', "'[x]'", "1", "[1, [2,\n 3], # c\n]", '"""\n[z]\nq = 1\n"""', "true", "{ a = 1 }"])
NOISE = st.sampled_from(["", "# comment [x]", "\n\n"])


@given(st.dictionaries(KEY, st.dictionaries(KEY, st.tuples(VALUE, NOISE), max_size=4), min_size=1, max_size=4))
def test_the_keys_found_are_those_of_the_parser(tables):
    text = ""
    for table, entries in tables.items():
        text += f"[{table}]\n" + "".join(
            f"{noise}\n{key} = {value} {'# x'}\n" for key, (value, noise) in entries.items()
        )
    parsed = tomllib.loads(text)
    expected = set(parsed) | {f"{name}.{key}" for name, table in parsed.items() for key in table}
    lines = line_index(text)
    assert set(lines) == expected
    for path, line in lines.items():
        start = text.splitlines()[line - 1]
        assert start.startswith(f"{path.rpartition('.')[2]} =" if "." in path else f"[{path}]")


@pytest.mark.parametrize("text", ["", "\n", "# only a comment", "a = 1", 'a = "open'])
def test_odd_texts_come_to_an_end(text):
    line_index(text)
