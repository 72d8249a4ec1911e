"""hull.toml: identity and specification. The hulls and documents are synthetic."""

from datetime import date

import pytest

from buildbook.core.check import Sayable, Span
from buildbook.core.fault import Severity
from buildbook.core.source import Standing
from buildbook.readers.folder import Folder
from buildbook.readers.hull_file import HullFileUnreadable, read_hull
from tests.readers.synthetic import folder_of

KNOWN = {
    "SYN-01": Sayable(
        {"film": "um", "margin": "K", "air": "degC"},
        {"film": Span(10, 5000, "um"), "margin": Span(1, 30, "K", ("low",))},
        rules=("80-20", "a", "b"),
    ),
    "SYN-02": Sayable({"share": "1", "step": "1"}, rules=("share", "step"), chosen=("share", "step")),
    "OTH-01": Sayable({"gloss": "GU"}, rule_in_words=True),
    "OTH-02": Sayable(),
}
SPANS = {
    "dimensions.length_hull": Span(2, 200, "m"),
    "dimensions.displacement": Span(50, 3e7, "kg"),
    "outline.profile x": Span(-20, 220, "m"),
    "outline.profile z": Span(-20, 100, "m"),
    "outline.plan x": Span(-20, 220, "m"),
    "outline.plan y": Span(-50, 50, "m"),
    "limits.guard": Span(0, 3),
}
HEAD = """as_of = 2026-06-15
[hull]
name = "Synthetic"
number = "XX-SYN00001A626"
"""
SOURCE = 'set_by = "builder"\ndocument = "SPEC-1"\nrevision = "A"\n'
FILM = 'check = "SYN-01"\nquantity = "film"\n'


def hull_of(tmp_path, text, **more):
    folder = folder_of(tmp_path, {"hull.toml": text})
    return read_hull(folder, KNOWN, SPANS, **more)


def specified(tmp_path, text, **more):
    _, specification, faults = hull_of(tmp_path, HEAD + text, **more)
    return specification, faults


def test_who_she_is(tmp_path):
    text = (
        HEAD
        + """builder = "Synthetic Yard" # a comment
model = "S 1"
category = "B"
demonstration = "Synthetic data."
[dimensions]
length_hull = 18.9
beam = 5
displacement = 38_000
[outline]
profile = [
  [0.0, 1.2],
  [18.9, 2],   # bow
  [9, -0.5],
]
plan = [[0, -2.5], [18.9, 0], [0, 2.5]]
[dates]
lay_up_started = 2025-09-01
first_float = "2026-05-20"
[machinery]
engines = "two, synthetic"
power = 662.5
shafts = 2
[release]
withhold = ["a.pdf", "b.pdf"]
ask = "the yard's office"
"""
    )
    hull, specification, faults = hull_of(tmp_path, text)
    assert faults == ()
    assert (hull.name, hull.number, hull.builder, hull.category) == (
        "Synthetic",
        "XX-SYN00001A626",
        "Synthetic Yard",
        "B",
    )
    assert hull.demonstration == "Synthetic data."
    assert hull.as_of == date(2026, 6, 15)
    assert (hull.length_hull, hull.beam, hull.displacement, hull.draught) == (18.9, 5.0, 38000.0, None)
    assert hull.outline == ((0.0, 1.2), (18.9, 2.0), (9.0, -0.5))
    assert hull.plan_outline == ((0.0, -2.5), (18.9, 0.0), (0.0, 2.5))
    assert hull.date_of("first_float") == date(2026, 5, 20)
    assert hull.machinery == (("engines", "two, synthetic"), ("power", "662.5"), ("shafts", "2"))
    assert hull.release == (("withhold", "a.pdf, b.pdf"), ("ask", "the yard's office"))
    assert hull.withhold == ("a.pdf", "b.pdf")
    assert (hull.at("number").line, hull.at("lay_up_started").line, hull.at("as_of").line) == (4, 21, 1)
    assert specification.limits == ()
    assert specification.unread == ()


@pytest.mark.parametrize("end", ["\r\n", "\r"])
def test_other_line_ends_and_byte_order_mark(tmp_path, end):
    hull, _, faults = hull_of(tmp_path, ("\ufeff" + HEAD).replace("\n", end).encode("utf-8"))
    assert (hull.name, faults, hull.at("number").line) == ("Synthetic", (), 4)


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        ('[hull]\nname = "x\nnumber = 2\n', 2, "closing quotation mark"),
        ("[hull]\nname = x\n", 2, 'write "x"'),
        ("a = 1\na = 2\n", 2, "a again; take one of the two out"),
        ("[hull\n", 1, "[hull"),
        ("a = [1,\n2\n", 2, "mistake"),
        ("a = 1\n\nb = \n", 3, "none"),
    ],
)
def test_a_typing_error_stops_with_its_line(tmp_path, text, line, words):
    with pytest.raises(HullFileUnreadable) as error:
        hull_of(tmp_path, text)
    fault = error.value.fault
    assert (fault.where.file, fault.where.line) == ("hull.toml", line)
    assert words in fault.found
    assert str(error.value).startswith(f"hull.toml:{line}")


@pytest.mark.parametrize(
    ("data", "words"),
    [
        ("name = 'M\xfcller'".encode("cp1252"), "encoding"),
        (b"a = 1\nb = \x00\n", "mistake"),
        (b"a = " + b"[" * 5000, "too many"),
        (b"#" * 1_100_000, "MB"),
        (b"a = " + b"9" * 5000, "mistake"),
    ],
)
def test_what_is_no_toml_stops(tmp_path, data, words):
    with pytest.raises(HullFileUnreadable) as error:
        hull_of(tmp_path, data)
    assert words in error.value.fault.found


def test_a_linked_hull_file_stops(tmp_path):
    (tmp_path / "outside.toml").write_text(HEAD)
    (tmp_path / "hull").mkdir()
    (tmp_path / "hull" / "hull.toml").symlink_to(tmp_path / "outside.toml")
    with pytest.raises(HullFileUnreadable, match="a link"):
        read_hull(Folder(tmp_path / "hull"), KNOWN)


@pytest.mark.parametrize("files", [{}, {"hull.toml": ""}, {"hull.toml": "# nothing\n"}])
def test_without_a_hull_file_nothing_can_be_judged_as_met(tmp_path, files):
    hull, specification, (fault,) = read_hull(folder_of(tmp_path, files), KNOWN)
    assert (hull.name, hull.as_of, specification.limits) == ("", None, ())
    assert fault.where.file == "hull.toml"
    for check in KNOWN:
        assert specification.unusable(check)


def test_what_is_missing_of_her_identity_is_told(tmp_path):
    hull, _, faults = hull_of(tmp_path, "[hull]\nbuilder = 'Synthetic Yard'\n")
    assert hull.builder == "Synthetic Yard"
    assert sorted(fault.where.part for fault in faults) == ["as_of", "hull.name", "hull.number"]
    assert all(fault.severity is Severity.FAULT for fault in faults)


@pytest.mark.parametrize(
    ("text", "part", "words"),
    [
        ("[dimensions]\nbeam = '5'", "dimensions.beam", "a number"),
        ("[dimensions]\nbeam = true", "dimensions.beam", "a number"),
        ("[dimensions]\nbeam = nan", "dimensions.beam", "a number"),
        ("[dimensions]\nbeam = -5", "dimensions.beam", "above zero"),
        ("[dimensions]\nlenght_hull = 5", "dimensions.lenght_hull", "did you mean 'length_hull'"),
        ("[outline]\nprofile = [[1, 2], [3]]", "outline.profile", "[3] as point 2"),
        ("[outline]\nplan = 'round'", "outline.plan", "[[x, y]"),
        ("[outline]\nplan = [[1, inf]]", "outline.plan", "[[x, y]"),
        ("[dates]\nlaunched = '20/05/2026'", "dates.launched", "YYYY-MM-DD"),
        ("[dates]\nlaunched = 2026-05-20T10:00:00", "dates.launched", "without a time"),
        ("[dates]\nlaunched = 5", "dates.launched", "a date"),
        ("[machinery]\nengine = { a = 1 }", "machinery.engine", "a list"),
        ("machinery = 3", "hull.machinery", "one of name, number"),
        ("[[dates]]\na = 2026-01-01", "dates", "a table [dates]"),
        ("[machnery]\na = 1", "machnery", "did you mean 'machinery'"),
        ("[release]\nwithold = ['a.csv']", "release.withold", "did you mean 'withhold'"),
    ],
)
def test_each_mistake_is_told_with_its_line_and_the_rest_is_read(tmp_path, text, part, words):
    expected_line = 5 if text.startswith(("machinery", "[[dates", "[machnery")) else 6
    hull, specification, (fault,) = hull_of(tmp_path, HEAD + text + "\n")
    assert (fault.where.part, fault.where.line) == (part, expected_line)
    assert words in str(fault)
    assert hull.name == "Synthetic"
    assert specification.unread == ()


def test_a_limit_with_its_source(tmp_path):
    text = f"""
[[limits]]
{FILM}place = "S1"
low = 120
high = 0.3e3
unit = "um"
low_strict = true
guard = 0
natural_low = 0
clause = "5.3"
{SOURCE}"""
    specification, (narrow,) = specified(tmp_path, text)
    assert (narrow.severity, narrow.where.part) == (Severity.NOTICE, "limits[1].guard")
    (entry,) = specification.limits
    limit = entry.limit
    assert (entry.check, entry.quantity, entry.place, entry.condition) == ("SYN-01", "film", "S1", "")
    assert (limit.low, limit.high, limit.unit, limit.low_strict, limit.high_strict) == (120.0, 300.0, "um", True, False)
    assert (limit.guard, limit.natural_low) == (0.0, 0.0)
    (term,) = limit.terms
    assert (term.set_by, term.document, term.revision, term.clause) == ("builder", "SPEC-1", "A", "5.3")
    assert term.standing is Standing.BUILDER
    assert term.at is not None
    assert term.at.line == 6
    assert specification.limit("SYN-01", "film", place="S1") is limit
    assert specification.limit("SYN-01", "film", place="S2") is None


@pytest.mark.parametrize(
    ("quantity", "low", "unit", "own", "value"),
    [
        ("film", "0.12", "mm", "um", 120.0),
        ("film", "5", "mil", "um", 127.0),
        ("margin", "3", "degC", "K", 3.0),
        ("margin", "5.4", "degF", "K", 3.0),
        ("air", "50", "degF", "degC", 10.0),
        ("air", "283.15", "K", "degC", 10.0),
    ],
)
def test_a_limit_is_brought_to_the_unit_of_its_check(tmp_path, quantity, low, unit, own, value):
    text = f'[[limits]]\ncheck = "SYN-01"\nquantity = "{quantity}"\nlow = {low}\nunit = "{unit}"\n{SOURCE}'
    specification, faults = specified(tmp_path, text)
    assert [(fault.severity, fault.found) for fault in faults] == (
        [(Severity.NOTICE, f"{low} {unit}, which is {value:g} {own}")] if float(low) != value else []
    )
    limit = specification.limits[0].limit
    assert (limit.unit, limit.low) == (own, value)


def test_a_requirement_in_words_needs_no_number(tmp_path):
    text = f'[[limits]]\n{FILM}words = "no runs"\n{SOURCE}'
    specification, faults = specified(tmp_path, text)
    assert faults == ()
    assert (specification.limits[0].limit.words, specification.limits[0].limit.low) == ("no runs", None)


LOW = 'low = 120\nunit = "um"\n'


@pytest.mark.parametrize(
    ("entry", "prefix", "words"),
    [
        (FILM + LOW, "SYN-01", "nobody set is not a limit"),
        (FILM + LOW + 'set_by = "builder"\ndocument = "S"\n', "SYN-01", "no revision"),
        (FILM + LOW + SOURCE.replace('"builder"', '""'), "SYN-01", "no set_by"),
        (FILM + LOW + SOURCE.replace('"builder"', "5.1"), "SYN-01", "text between quotes"),
        (FILM + 'unit = "um"\n' + SOURCE, "SYN-01", "neither"),
        (FILM + "low = 120\n" + SOURCE, "SYN-01", "the unit of the limit"),
        (FILM + 'low = 120\nunit = "furlong"\n' + SOURCE, "SYN-01", "accepted are um"),
        (FILM + 'low = 120\nunit = "degC"\n' + SOURCE, "SYN-01", "another kind"),
        (FILM + 'low = 300\nhigh = 120\nunit = "um"\n' + SOURCE, "SYN-01", "300 above 120"),
        (FILM + 'low = "120"\nunit = "um"\n' + SOURCE, "SYN-01", "a finite number"),
        (FILM + 'low = true\nunit = "um"\n' + SOURCE, "SYN-01", "a finite number"),
        (FILM + 'low = nan\nunit = "um"\n' + SOURCE, "SYN-01", "a finite number"),
        (FILM + 'high = inf\nunit = "um"\n' + SOURCE, "SYN-01", "a finite number"),
        (FILM + LOW + "low_strict = 1\n" + SOURCE, "SYN-01", "true or false"),
        (FILM + LOW + "guard = -1\n" + SOURCE, "SYN-01", "from 0 to 3"),
        (FILM + LOW + 'plcae = "S1"\n' + SOURCE, "SYN-01", "did you mean 'place'"),
        (FILM.replace("film", "flim") + LOW + SOURCE, "SYN-01", "did you mean 'film'"),
        (FILM.replace("SYN-01", "SYN-07") + LOW + SOURCE, "SYN-", "the id of a check"),
        (FILM.replace("SYN-01", "XYZ-01") + LOW + SOURCE, "", "the id of a check"),
        (FILM.replace('"SYN-01"', "7") + LOW + SOURCE, "", "the id of a check"),
        ('quantity = "film"\n' + LOW + SOURCE, "", "the id of a check"),
    ],
)
def test_a_limit_that_cannot_be_used_holds_its_check(tmp_path, entry, prefix, words):
    specification, (fault,) = specified(tmp_path, f"\n[[limits]]\n{entry}")
    assert specification.limits == ()
    ((concerned, reason),) = specification.unread
    assert concerned == prefix
    assert words in reason
    assert words in str(fault)
    assert fault.where.line is not None
    assert 6 <= fault.where.line <= 14
    for check in KNOWN:
        assert bool(specification.unusable(check)) is check.startswith(prefix)


def test_two_limits_for_the_same_thing_contradict_each_other(tmp_path):
    one = f"[[limits]]\n{FILM}{LOW}{SOURCE}"
    specification, (fault,) = specified(
        tmp_path, one + one.replace("120", "100") + one.replace(LOW, f'place = "S1"\n{LOW}')
    )
    assert [entry.place for entry in specification.limits] == ["S1"]
    assert fault.where.line == 13
    assert "line 5" in fault.found
    assert [check for check, _ in specification.unread] == ["SYN-01"]


@pytest.mark.parametrize(
    "text",
    [
        "[limits]\ncheck = 'SYN-01'\n",
        "limits = 3\n[hull2]\n",
        "[[limit]]\ncheck = 'SYN-01'\n",
        "[[other]]\ncheck = 'A'\n",
    ],
)
def test_limits_under_another_form_or_name_hold_everything(tmp_path, text):
    _, specification, faults = hull_of(tmp_path, f"{text}\n" if text.startswith("limits") else HEAD + text)
    assert faults
    assert all(specification.unusable(check) for check in KNOWN)


def test_rules(tmp_path):
    text = f'[[rules]]\ncheck = "SYN-01"\nrule = "80-20"\nclause = "5"\n{SOURCE}'
    specification, faults = specified(tmp_path, text)
    assert faults == ()
    rule = specification.rule("SYN-01")
    assert rule is not None
    assert rule.rule == "80-20"
    assert (rule.term.document, rule.term.clause, rule.term.standing) == ("SPEC-1", "5", Standing.BUILDER)


@pytest.mark.parametrize(
    ("entry", "words"),
    [
        ('check = "SYN-01"\n' + SOURCE, "the rule that was chosen"),
        ('check = "SYN-01"\nrule = "a"\n', "nobody set"),
        ('check = "SYN-01"\nrule = "a"\nvalues = { share = 80 }\n' + SOURCE, "'values'"),
        ('check = "SYN-01"\nrule = "80-2"\n' + SOURCE, "did you mean '80-20'"),
        ('check = "SYN-01"\nrule = "a"\nlow = 3\n' + SOURCE, "one of check"),
    ],
)
def test_a_rule_that_cannot_be_used_holds_its_check(tmp_path, entry, words):
    specification, (fault,) = specified(tmp_path, f"[[rules]]\n{entry}")
    assert specification.rules == ()
    assert words in str(fault)
    assert specification.unusable("SYN-01")
    assert not specification.unusable("SYN-02")


def test_two_rules_for_one_check(tmp_path):
    one = f'[[rules]]\ncheck = "SYN-01"\nrule = "a"\n{SOURCE}'
    specification, faults = specified(tmp_path, one + one.replace('"a"', '"b"'))
    assert specification.rules == ()
    assert len(faults) == 1
    assert specification.unusable("SYN-01")


@pytest.mark.parametrize(
    ("given", "found"),
    [("5", "5"), ('["a", "b"]', "['a', 'b']"), ('""', "an empty text"), ('"  "', "an empty text"), ("true", "true")],
)
def test_whom_to_ask_is_a_text_or_a_fault_with_its_line(tmp_path, given, found):
    hull, _, faults = hull_of(tmp_path, f"{HEAD}[release]\nask = {given}\n")
    (fault,) = faults
    assert (fault.where.part, fault.found) == ("release.ask", found)
    assert fault.where.line == HEAD.count("\n") + 2
    assert dict(hull.release).get("ask") is None


@pytest.mark.parametrize(
    ("given", "stage"), [('"moulded"', "moulded"), ('"On trial"', "on trial"), ('"fitting_out"', "fitting out")]
)
def test_how_far_she_is(tmp_path, given, stage):
    hull, _, faults = hull_of(tmp_path, f"stage = {given}\n{HEAD}")
    assert (hull.stage, faults) == (stage, ())


@pytest.mark.parametrize(
    ("given", "found"), [('"afloat"', "'afloat'"), ('"mouldet"', "(did you mean 'moulded'?)"), ("3", "3"), ('""', "''")]
)
def test_a_stage_that_is_none_is_a_fault_and_not_used(tmp_path, given, found):
    hull, _, (fault,) = hull_of(tmp_path, f"stage = {given}\n{HEAD}")
    assert hull.stage == ""
    assert (str(fault.where), found in fault.found) == ("hull.toml:1, stage", True), fault
