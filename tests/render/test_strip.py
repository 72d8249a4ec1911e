"""The margin strip: where line, guard band, reading and whisker stand is worked out here by hand, not by the code.

A strip of 180 by 18 px has its body from x = 6 to x = 174, so a place p on it is at 6 + 168 p.
"""

from __future__ import annotations

import io
import math
import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildbook.core.decide import decide, decide_fact
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.limit import Limit, Term
from buildbook.core.quantity import Kind, Quantity
from buildbook.core.source import Standing
from buildbook.render.strip import sign, strip
from buildbook.render.strip_marks import FORBIDDEN, READING
from buildbook.render.templates import templates_dir
from tests.render.contrast import blended, contrast, theme_colours

TERMS = (Term("synthetic", Standing.BUILDER),)
SVG = "{http://www.w3.org/2000/svg}"


def judged(
    value: float,
    expanded: float | None,
    *,
    kind: Kind = Kind.MEASURED,
    unit: str = "%",
    **limit: float,
) -> Finding:
    measured = Quantity(value, unit, expanded, kind=kind)
    bounds = Limit("%", TERMS, **limit)  # type: ignore[arg-type]
    decision = decide(measured, bounds)
    return Finding(Key("X", "q"), decision.verdict, measured, bounds, margin=decision.margin, guard=decision.guard)


def unmeasured(verdict: Verdict, **limit: float) -> Finding:
    bounds = Limit("%", TERMS, **limit) if limit else None  # type: ignore[arg-type]
    return Finding(Key("X", "q"), verdict, None, bounds)


def fact(met: bool | None) -> Finding:
    words = Limit("1", TERMS, words="water runs off in a sheet")
    return Finding(Key("X", "q"), decide_fact(met, words).verdict, None, words, observed="it did or did not")


def drawn(finding: Finding, earlier: Finding | None = None, **more: object) -> ElementTree.Element:
    more = {"key": "k", "words": "words"} | more
    return ElementTree.fromstring(strip(finding, earlier, **more))  # type: ignore[arg-type]


def named(root: ElementTree.Element, name: str) -> list[ElementTree.Element]:
    return [element for element in root.iter() if name in element.get("class", "").split()]


def one(root: ElementTree.Element, name: str) -> ElementTree.Element:
    (element,) = named(root, name)
    return element


def place(element: ElementTree.Element) -> float:
    """The middle of a mark as a place on the strip."""
    if element.tag == f"{SVG}rect":
        x = float(element.get("x", "")) + float(element.get("width", "")) / 2.0
    else:
        x = float(element.get("cx") or element.get("x1") or "nan")
    return (x - 6.0) / 168.0


def stretch(element: ElementTree.Element) -> tuple[float, float]:
    if element.tag == f"{SVG}rect":
        start = float(element.get("x", ""))
        end = start + float(element.get("width", ""))
    else:
        start, end = float(element.get("x1", "")), float(element.get("x2", ""))
    return (start - 6.0) / 168.0, (end - 6.0) / 168.0


def close(*values: float) -> object:
    return pytest.approx(values if len(values) > 1 else values[0], abs=2e-4)


def test_two_limits_stand_at_a_quarter_and_three_quarters_and_the_tolerance_sets_the_scale() -> None:
    # 711 ± 14.2 mm, reading 711.9 ± 3.0: half the strip is 28.4 wide, so 0.9 above the middle is 0.9/56.8 of it
    root = drawn(judged(711.9, 3.0, low=696.8, high=725.2))
    assert [place(line) for line in named(root, "strip-limit")] == [close(0.25), close(0.75)]
    assert place(one(root, "strip-reading")) == close(0.5 + 0.9 / 56.8)
    assert stretch(one(root, "strip-whisker")) == close(0.5 - 2.1 / 56.8, 0.5 + 3.9 / 56.8)
    guards = [stretch(band) for band in named(root, "strip-guard")]
    assert guards == [close(0.25, 0.25 + 3.0 / 56.8), close(0.75 - 3.0 / 56.8, 0.75)]
    assert [stretch(ground) for ground in named(root, "strip-forbidden")] == [close(0.0, 0.25), close(0.75, 1.0)]


def test_upper_limit_stands_at_062_and_the_natural_bound_is_the_left_edge() -> None:
    # a count has no guard band, so the scale is the plain one: 0 at the left edge, 5 at 0.62
    root = drawn(judged(3.0, None, kind=Kind.COUNTED, high=5.0, natural_low=0.0))
    assert place(one(root, "strip-limit")) == close(0.62)
    assert place(one(root, "strip-reading")) == close(0.62 * 3.0 / 5.0)
    assert stretch(one(root, "strip-forbidden")) == close(0.62, 1.0)
    assert not named(root, "strip-whisker")
    assert not named(root, "strip-guard")
    assert not named(root, "strip-unstated")


def test_lower_limit_stands_at_038_and_zero_is_the_left_edge() -> None:
    root = drawn(judged(7.0, None, low=5.0))
    assert place(one(root, "strip-limit")) == close(0.38)
    assert place(one(root, "strip-reading")) == close(0.38 * 7.0 / 5.0)
    assert stretch(one(root, "strip-forbidden")) == close(0.0, 0.38)
    assert named(root, "strip-unstated"), "an uncertainty that nobody stated is not the same as none"


def test_scale_is_magnified_until_the_guard_band_can_be_seen() -> None:
    # at least 50 %, at most 100 % is possible: plain scale 50 % on 0.62. A guard band of 0.8 would take 0.0099 of the
    # strip; the smallest step that shows 0.05 or more is 10, which would push 56 off; 5 is the largest that holds it.
    # So 10 % on 0.62: the reading stands at 0.38 + 0.062 * 6, the guard band is 0.062 * 0.8 wide.
    root = drawn(judged(56.0, 0.8, low=50.0, natural_high=100.0))
    assert place(one(root, "strip-reading")) == close(0.38 + 0.062 * 6.0)
    assert stretch(one(root, "strip-guard")) == close(0.38, 0.38 + 0.062 * 0.8)


def test_strips_of_one_table_share_one_scale() -> None:
    table = [judged(value, 0.8, low=50.0, natural_high=100.0) for value in (50.2, 53.0, 59.0, 81.0)]
    places = [place(one(drawn(finding, among=table), "strip-reading")) for finding in table]
    per_unit = (places[1] - places[0]) / 2.8
    assert places == [close(0.38 + per_unit * margin) for margin in (0.2, 3.0, 9.0, 31.0)]


def test_other_quantities_of_a_table_leave_the_scale_alone() -> None:
    glass = judged(56.0, 0.8, low=50.0, natural_high=100.0)
    other = replace(judged(3.0, None, kind=Kind.COUNTED, high=5.0), key=Key("X", "plies"))
    assert place(one(drawn(glass, among=[glass, other]), "strip-reading")) == place(one(drawn(glass), "strip-reading"))
    coarse = replace(judged(51.0, 4.0, low=50.0, natural_high=100.0), key=Key("X", "plies"))
    assert place(one(drawn(glass, among=[coarse]), "strip-reading")) == place(one(drawn(glass), "strip-reading"))


def test_reading_beyond_the_strip_gets_an_arrow_at_the_edge() -> None:
    for value, tip in ((1000.0, 178.0), (-1000.0, 2.0)):
        root = drawn(judged(value, 0.7, low=3.0))
        pointer = one(root, "strip-beyond")
        assert "strip-reading" in pointer.get("class", "")
        assert pointer.get("d", "").startswith(f"M{tip:g} 9L")
        assert not list(root.iter(f"{SVG}circle"))


def test_limit_of_zero_takes_its_scale_from_the_reading() -> None:
    # margin 2.2 ± 0.5 over a limit of 0: 1.25 * 2.7 = 3.375, rounded up to 5 on the allowed 0.62
    root = drawn(judged(2.2, 0.5, low=0.0))
    assert place(one(root, "strip-reading")) == close(0.38 + 0.62 * 2.2 / 5.0)


def test_exact_value_stands_on_a_line_in_the_middle() -> None:
    root = drawn(judged(12.0, None, kind=Kind.COUNTED, low=12.0, high=12.0))
    assert place(one(root, "strip-limit")) == place(one(root, "strip-reading")) == close(0.5)
    missed = drawn(judged(11.0, None, kind=Kind.COUNTED, low=12.0, high=12.0))
    assert place(one(missed, "strip-reading")) < 0.5


def test_earlier_attempt_is_hollow_and_joined() -> None:
    first, second = judged(88.0, 5.0, low=120.0), judged(131.0, 5.0, low=120.0)
    root = drawn(second, first)
    before, after = one(root, "strip-earlier"), one(root, "strip-reading")
    assert before.get("fill") == "none"
    assert after.get("fill") != "none"
    assert place(before) < 0.38 < place(after)
    thread = stretch(one(root, "strip-thread"))
    assert place(before) < thread[0] < thread[1] < place(after)


def test_bounds_point_to_where_the_value_may_be() -> None:
    for kind, value, sense in ((Kind.AT_LEAST, 6.2, 1.0), (Kind.AT_MOST, 3.0, -1.0)):
        root = drawn(judged(value, 0.4, kind=kind, low=5.0))
        start, tip = re.match(r"M([\d.]+) [\d.]+H([\d.]+)", one(root, "strip-bound").get("d", "")).groups()  # type: ignore[union-attr]
        assert math.copysign(1.0, float(tip) - float(start)) == sense


def test_nothing_measured_is_a_dashed_outline_with_its_limits() -> None:
    for verdict in (Verdict.NOT_MEASURED, Verdict.NO_RECORD):
        for bounds in ({}, {"low": 0.1, "high": 0.25}):
            root = drawn(unmeasured(verdict, **bounds))
            assert all(outline.get("stroke-dasharray") for outline in named(root, "strip-outline"))
            assert len(named(root, "strip-limit")) == len(bounds)
            assert len(named(root, "strip-missing")) == (verdict is Verdict.NO_RECORD)
            assert not named(root, "strip-reading")


def test_not_applicable_is_a_bar_and_information_a_bare_line() -> None:
    bar = drawn(unmeasured(Verdict.NOT_APPLICABLE))
    assert one(bar, "strip-bar") is not None
    assert not named(bar, "strip-outline")
    info = drawn(Finding(Key("X", "q"), Verdict.INFORMATION, Quantity(23.0, "d")))
    assert stretch(one(info, "strip-base")) == close(0.0, 1.0)
    assert place(one(info, "strip-reading")) == close(0.5)
    assert not named(info, "strip-limit")


def test_readings_without_a_limit_compare_within_their_table() -> None:
    table = [Finding(Key("X", "q"), Verdict.INFORMATION, Quantity(value, "d")) for value in (10.0, 20.0, 30.0)]
    # from 10 to 30 with a tenth of that as room at both ends: 24 on the strip, from 8
    places = [place(one(drawn(finding, among=table), "strip-reading")) for finding in table]
    assert places == [close(2.0 / 24.0), close(12.0 / 24.0), close(22.0 / 24.0)]


def boxes(root: ElementTree.Element) -> list[tuple[float, float]]:
    """Left and right edge of the boxes of a fact [px]."""
    edges = []
    for box in named(root, "strip-outline"):
        start = float(box.get("x", ""))
        edges.append((start, start + float(box.get("width", ""))))
    return edges


def middle(element: ElementTree.Element) -> float:
    return float(element.get("x", "")) + float(element.get("width", "")) / 2.0


def test_a_fact_lies_in_one_of_two_boxes_without_any_scale() -> None:
    for met, box in ((True, 0), (False, 1)):
        root = drawn(fact(met))
        left, right = boxes(root)[box]
        mark = one(root, "strip-reading")
        assert mark.tag == f"{SVG}rect"
        assert middle(mark) == pytest.approx((left + right) / 2.0, abs=0.01)  # in the middle: no distance is claimed
        assert mark.get("fill") == "currentColor"
        for name in ("strip-limit", "strip-guard", "strip-whisker", "strip-base"):
            assert not named(root, name)
        assert stretch(one(root, "strip-forbidden")) == stretch(named(root, "strip-outline")[1])
        assert "strip-fact" in root.get("class", "").split()


def test_a_fact_that_is_not_settled_is_hollow_between_the_boxes() -> None:
    root = drawn(fact(None))
    (_, inner), (outer, _) = boxes(root)
    assert inner < middle(one(root, "strip-reading")) < outer
    assert one(root, "strip-reading").get("fill") == "none"


def test_an_earlier_fact_is_hollow_in_its_own_box_and_joined_where_they_lie_apart() -> None:
    root = drawn(fact(True), fact(False))
    before, after = one(root, "strip-earlier"), one(root, "strip-reading")
    assert before.get("fill") == "none"
    (a, b), (c, d) = boxes(root)
    assert a < middle(after) < b < c < middle(before) < d
    assert one(root, "strip-thread") is not None
    same = drawn(fact(True), fact(True))
    assert not named(same, "strip-thread")
    assert a < middle(one(same, "strip-earlier")) < middle(one(same, "strip-reading")) < b


def test_facts_without_a_record_are_dashed_boxes() -> None:
    words = Limit("1", TERMS, words="released before the next step")
    for verdict, rings in ((Verdict.NOT_MEASURED, 0), (Verdict.NO_RECORD, 1)):
        root = drawn(Finding(Key("X", "q"), verdict, None, words))
        assert [bool(box.get("stroke-dasharray")) for box in named(root, "strip-outline")] == [True, True]
        assert len(named(root, "strip-missing")) == rings
        assert not named(root, "strip-reading")


def test_the_words_of_a_fact_are_its_text_alternative() -> None:
    root = drawn(fact(False), words="no unbroken film; required: water runs off in a sheet: fail")
    assert root.findtext(f"{SVG}title") == "no unbroken film; required: water runs off in a sheet: fail"
    assert root.get("role") == "img"


def test_a_verdict_without_a_reading_claims_no_place_on_a_scale() -> None:
    for bounds in ({"low": 120.0}, {"high": 120.0}):
        root = drawn(unmeasured(Verdict.FAIL, **bounds))
        (_, inner), (outer, right) = boxes(root)
        assert inner < outer < middle(one(root, "strip-reading")) < right
        assert not named(root, "strip-limit")


def test_an_earlier_fact_has_no_place_on_the_scale_of_a_later_reading() -> None:
    assert not named(drawn(judged(131.0, 5.0, low=120.0), fact(False)), "strip-earlier")


def test_value_in_another_unit_is_not_put_on_the_scale() -> None:
    root = drawn(judged(3.0, 0.1, unit="K", low=2.0))
    assert not named(root, "strip-reading")
    assert one(root, "strip-unusable").get("stroke-dasharray")


@given(
    value=st.floats(-1e6, 1e6),
    expanded=st.one_of(st.none(), st.floats(0.0, 1e5)),
    low=st.one_of(st.none(), st.floats(-1e4, 1e4)),
    width=st.one_of(st.none(), st.floats(0.01, 1e4)),
)
def test_reading_is_always_on_the_side_where_it_belongs_and_on_the_picture(
    value: float, expanded: float | None, low: float | None, width: float | None
) -> None:
    if low is None and width is None:
        return
    high = None if width is None else (low or 0.0) + width
    measured = Quantity(value, "%", expanded)
    bounds = Limit("%", TERMS, low=low, high=high)
    decision = decide(measured, bounds)
    finding = Finding(Key("X", "q"), decision.verdict, measured, bounds, guard=decision.guard)
    root = drawn(finding)
    for element in root.iter():
        for name in ("x", "x1", "x2", "cx"):
            assert 0.0 <= float(element.get(name, "0")) <= 180.0
    for mark in named(root, "strip-reading"):
        if "strip-beyond" in mark.get("class", ""):
            continue
        lines = [place(line) for line in named(root, "strip-limit")]
        if low is not None:
            assert (place(mark) - lines[0]) * (value - low) >= -1e-4 * abs(value - low)
        if high is not None:
            assert (lines[-1] - place(mark)) * (high - value) >= -1e-4 * abs(high - value)


def test_hatching_fills_its_band_and_stays_in_it() -> None:
    root = drawn(judged(711.9, 3.0, low=696.8, high=725.2))
    for band, strokes in zip(named(root, "strip-guard"), named(root, "strip-hatch"), strict=True):
        left, right = (6.0 + 168.0 * end for end in stretch(band))
        numbers = re.findall(r"[ML]([\d.]+) ([\d.]+)", strokes.get("d", ""))
        xs, ys = [float(x) for x, _ in numbers], [float(y) for _, y in numbers]
        assert left - 0.01 <= min(xs) <= left + 3.0
        assert right - 3.0 <= max(xs) <= right + 0.01
        assert (min(ys), max(ys)) == close(3.0, 15.0)


def test_text_alternative_is_told_and_hostile_words_stay_words() -> None:
    text = strip(judged(56.0, 0.8, low=50.0), key='a" onload="x', words="<script>x</script> & 56 ± 0.8 %\x07")
    root = ElementTree.fromstring(text)
    title = root.find(f"{SVG}title")
    assert title is not None
    assert title.text == "<script>x</script> & 56 ± 0.8 %\ufffd"
    assert root.get("role") == "img"
    assert root.get("aria-labelledby") == title.get("id")
    assert "onload" not in root.attrib
    assert not list(root.iter(f"{SVG}script"))


def test_ids_differ_between_strips_with_different_keys() -> None:
    ids = [re.findall(r' id="([^"]+)"', strip(judged(56.0, 0.8, low=50.0), key=key, words="w")) for key in ("a", "b")]
    assert ids[0]
    assert not set(ids[0]) & set(ids[1])
    assert all(name.startswith("a-") for name in ids[0])


def test_signs_use_the_ink_of_the_text_alone() -> None:
    for verdict in Verdict:
        text = sign(verdict)
        ElementTree.fromstring(text)
        assert not re.search(r"#[0-9a-f]{3}|rgb| id=", text)
        assert 'aria-hidden="true"' in text
        assert 'aria-label="pass &amp; more"' in sign(verdict, "pass & more")


@pytest.fixture(scope="module")
def painted_signs() -> dict[Verdict, bytes]:
    """Each sign as grey pixels, 1 em = 12 px, painted by the PDF library and read by another program."""
    import pypdfium2
    import weasyprint

    style = "@page{size:24px 14px;margin:0} body{margin:0;font-size:12px} div{break-after:page;line-height:0}"
    pages = f"<style>{style}</style>" + "".join(f"<div>{sign(verdict)}</div>" for verdict in Verdict)
    document = pypdfium2.PdfDocument(io.BytesIO(weasyprint.HTML(string=pages).write_pdf()))
    try:
        images = [document[index].render(scale=96 / 72).to_pil().convert("L") for index in range(len(Verdict))]
        return {verdict: image.tobytes() for verdict, image in zip(Verdict, images, strict=True)}
    finally:
        document.close()


def test_signs_differ_in_grey_at_the_size_of_small_print(painted_signs: dict[Verdict, bytes]) -> None:
    for one_verdict, pixels in painted_signs.items():
        assert min(pixels) < 128, f"the sign of {one_verdict} is not painted"
        for other, others in painted_signs.items():
            if other is not one_verdict:
                apart = sum(abs(a - b) for a, b in zip(pixels, others, strict=True)) / 255.0
                assert apart > 8.0, f"{one_verdict} and {other} differ by only {apart:.1f} whole pixels"


def test_strip_is_painted_by_the_pdf_library(caplog: pytest.LogCaptureFixture) -> None:
    """The library knows neither custom properties nor `@supports` inside SVG: what it does paint is looked at here."""
    import pypdfium2
    import weasyprint

    text = strip(judged(711.9, 3.0, low=696.8, high=725.2), key="k", words="w")
    page = f"<style>@page{{size:180px 18px;margin:0}} body{{margin:0;line-height:0}}</style>{text}"
    document = pypdfium2.PdfDocument(io.BytesIO(weasyprint.HTML(string=page).write_pdf()))
    image = document[0].render(scale=4 * 96 / 72).to_pil().convert("RGB")
    document.close()

    def colour(at: float, y: float = 4.5) -> tuple[int, int, int]:
        return image.getpixel((round(4 * (6 + 168 * at)), round(4 * y)))

    assert not caplog.records
    assert colour(0.4) == (255, 255, 255)
    tinted = colour(0.1)
    assert tinted == pytest.approx(blended(FORBIDDEN_COLOUR, "#ffffff", FORBIDDEN_SHARE), abs=2)
    assert max(colour(0.25, 1.0)) < 60
    hatched = {colour(0.25 + share / 56.8) for share in (0.8, 1.0, 1.2, 1.4, 1.6, 1.8, 2.0, 2.2, 2.4)}
    assert len(hatched) > 2, "the guard band shows strokes and ground"
    dot = colour(0.5 + 0.9 / 56.8, 9.0)
    assert dot == pytest.approx(tuple(int(READING[i : i + 2], 16) for i in (1, 3, 5)), abs=2)


FORBIDDEN_COLOUR = re.search(r"#[0-9a-f]{6}", FORBIDDEN).group()  # type: ignore[union-attr]
FORBIDDEN_SHARE = float(re.search(r'opacity="([\d.]+)"', FORBIDDEN).group(1))  # type: ignore[union-attr]


@pytest.mark.parametrize("ground", theme_colours(templates_dir() / "theme" / "theme.css", "paper"))
def test_reading_stands_out_on_paper_and_on_tinted_ground(ground: str) -> None:
    """At least 3:1 (WCAG 2.1, success criterion 1.4.11, from memory)."""
    assert contrast(READING, ground) >= 3.0
    tinted = blended(FORBIDDEN_COLOUR, ground, FORBIDDEN_SHARE)
    assert contrast(READING, tinted) >= 3.0


def test_contrast_of_known_pairs() -> None:
    """Black on white is 21:1 by definition; #767676 on white is the well-known lightest grey of 4.5:1 (from memory)."""
    assert round(contrast("#000000", "#ffffff"), 6) == 21.0
    assert 4.5 <= contrast("#767676", "#ffffff") < 4.6
