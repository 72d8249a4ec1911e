"""Words explained at their first use: what is linked, what is left alone, and that no text is taken for markup."""

from __future__ import annotations

import pytest
from markupsafe import Markup

from buildbook.render.explained import Explained, Word
from buildbook.render.links import Links

LINK = Links("../", False, {}, {}, {}, frozenset(), {})
KNOWN = (
    Word("dew point", "The temperature at which water settles.", ("dew point", "dew points")),
    Word("void", "Air shut in.", ("void", "voids")),
    Word("dew-point margin", "Surface less dew point.", ("dew-point margin",)),
)
NOTE = '<div class="meanings" role="note"><p id="beside-word-void"><b>void</b> Air shut in.</p></div>'
VOIDS = '<a class="term" href="../glossary.html#word-void" aria-describedby="beside-word-void">Voids</a>'


def explained(text: str, *told: str) -> str:
    return str(Explained(KNOWN, LINK, told)(Markup(text)))


def test_the_first_use_is_a_link_and_its_meaning_follows_the_paragraph() -> None:
    made = explained("<p>Voids and voids.</p>\n<p>A void.</p>\n")
    first = f'<div class="explained"><p>{VOIDS} and voids.</p>{NOTE}</div>'
    assert made.split() == f"{first} <p>A void.</p>".split()


def test_what_was_told_before_stays_as_it_is() -> None:
    page = Explained(KNOWN, LINK)
    assert "term" in page(Markup("<p>A void.</p>"))
    assert page(Markup("<p>A void.</p>")) == "<p>A void.</p>"
    assert explained("<p>A void.</p>", "void") == "<p>A void.</p>"


@pytest.mark.parametrize(
    "text",
    [
        "<h2>Void</h2>",
        "<table><tr><td>void</td></tr></table>",
        "<p><code>void</code> and <a href='#'>a <b>void</b></a></p>",
        "<p title='a void'>x<br>y <img alt='void'></p>",
        "<p>avoid, void-free, devoid</p>",
        "<p>v&#111;id &amp;void; <!-- void --></p>",
    ],
)
def test_what_must_not_be_linked(text: str) -> None:
    made = explained(text)
    assert made == text if "&" not in text else 'class="term"' in made  # after a reference the word stands alone


def test_without_any_word_a_text_stays_as_it_is() -> None:
    assert str(Explained((), LINK)(Markup("<p>hello</p>"))) == "<p>hello</p>"
    assert str(Explained((), LINK)("a < b")) == "a &lt; b"


def test_a_list_is_one_block_and_a_longer_word_goes_before_a_shorter_one_in_it() -> None:
    made = explained("<ul><li>The dew-point margin.</li><li>Two dew points, a void.</li></ul>")
    assert made.count('class="explained"') == made.count('class="meanings"') == 1
    assert [made.count(f'"beside-word-{name}"') for name in ("dew-point-margin", "dew-point", "void")] == [2, 2, 2]


def test_plain_text_is_escaped_and_escaped_text_stays_escaped() -> None:
    hostile = "<script>void</script> & void"
    page = Explained(KNOWN, LINK)
    made = str(page(hostile))
    assert "<script" not in made
    assert made.count("&lt;") == 2
    assert "&amp; void" in made.replace(VOIDS.replace("Voids", "void"), "void", 1)
    again = str(Explained(KNOWN, LINK)(Markup("<p>&lt;b&gt;void&lt;/b&gt;</p>")))
    assert "&lt;b&gt;<a" in again
    assert "<b>void</b>" in again.partition('role="note"')[2]
    assert "<b>" not in again.partition('role="note"')[0]


def test_a_meaning_with_signs_of_markup_is_escaped() -> None:
    word = Word("<b>x", "Less than <i>.", ("x",))
    made = str(Explained((word,), LINK)(Markup("<p>x</p>")))
    assert "<b>&lt;b&gt;x</b> Less than &lt;i&gt;." in made


def test_in_print_the_words_of_a_chapter_stand_together_and_the_text_only_leads_to_them() -> None:
    printed = Explained(KNOWN, Links("", True, {}, {}, {}, frozenset(), {}))
    chapter, found = printed.apart(Markup("<p>A void.</p>"), Markup("<p>The dew points.</p>"))
    assert [word.term for word in found] == ["dew point", "void"]
    assert chapter(Markup("<p>A void, a void.</p>")) == '<p>A <a class="term" href="#word-void">void</a>, a void.</p>'
    assert "term" in printed(Markup("<p>A void.</p>"))  # the chapter told it, the rest of the book not yet
