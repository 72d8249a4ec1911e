"""A theme folder: what is taken, and what is refused with file, key and line. The yard and her files are invented."""

from __future__ import annotations

import io
import os
from pathlib import Path

import pytest
from PIL import Image

from buildbook.core.face import Cut, Face, Paper, Scheme
from buildbook.face.refusal import FaceRefused
from buildbook.face.theme import read_theme
from buildbook.render.theme_sheet import built_in, theme_css
from tests.face.typefaces import SIGNS, typeface


def spoil(folder: Path, old: str, new: str) -> None:
    file = folder / "theme.toml"
    text = file.read_text(encoding="utf-8")
    assert old in text
    file.write_text(text.replace(old, new, 1), encoding="utf-8")


def whole(folder: Path, text: str) -> Path:
    (folder / "theme.toml").write_text(text, encoding="utf-8")
    return folder


def refused(folder: Path) -> list[str]:
    with pytest.raises(FaceRefused) as caught:
        read_theme(folder)
    assert "Traceback" not in str(caught.value)
    return str(caught.value).splitlines()


# What is taken


def test_a_theme_gives_values_and_files(theme: Path) -> None:
    face, notices = read_theme(theme, Paper.LETTER)
    assert notices == ()
    assert face.paper is Paper.LETTER
    assert face.light == Scheme("#fdfcf8", "#f1f1ee", "#14262b", "#3e4d50", "#cdd2cd", "#7a2331")
    assert face.dark is not None
    assert face.dark.paper == "#0f1b1f"
    assert face.text is not None
    assert face.text.cuts[1] == Cut(400, True, "style/own/text-italic.woff2")
    assert face.logo is not None
    assert face.logo.alternative == "Example Yard: a hull above two waves"
    assert sorted(face.files) == [
        "style/own/headings-semibold.woff2",
        "style/own/logo.svg",
        "style/own/text-italic.woff2",
        "style/own/text-regular.woff2",
        "style/own/text-semibold.woff2",
        "style/own/theme.toml",
    ]
    assert face.files["style/own/theme.toml"] == (theme / "theme.toml").read_bytes()
    assert face.files["style/own/text-regular.woff2"] == (theme / "type/regular.woff2").read_bytes()


def test_what_a_theme_does_not_say_stays(tmp_path: Path) -> None:
    face, _ = read_theme(whole(tmp_path, '[light]\naccent = "#7A2331"\n'))
    light, _ = built_in()
    assert face == Face(
        light=Scheme(light.paper, light.raised, light.ink, light.soft, light.line, "#7a2331"), files=face.files
    )


def test_an_empty_theme_is_the_shipped_look(tmp_path: Path) -> None:
    face, _ = read_theme(whole(tmp_path, "# nothing\n"))
    assert theme_css(face) == theme_css(Face())


def test_a_painted_logo_is_its_pixels_alone(theme: Path) -> None:
    picture = Image.new("RGBA", (60, 20), (20, 40, 60, 255))
    out = io.BytesIO()
    from PIL.PngImagePlugin import PngInfo

    notes = PngInfo()
    notes.add_text("Comment", "the office, second floor")
    picture.save(out, "PNG", pnginfo=notes)
    (theme / "logo.png").write_bytes(out.getvalue())
    spoil(theme, '"logo.svg"', '"logo.png"')
    face, notices = read_theme(theme)
    made = face.files["style/own/logo.png"]
    assert b"second floor" in out.getvalue()
    assert b"second floor" not in made
    assert Image.open(io.BytesIO(made)).size == (60, 20)
    assert notices == ("logo.svg: not named in theme.toml, not used",)


def test_files_that_are_not_named_are_told_and_not_used(theme: Path) -> None:
    (theme / "verdict.css").write_text(":root { --fail: #00ff00; }", encoding="utf-8")
    face, notices = read_theme(theme)
    assert notices == ("verdict.css: not named in theme.toml, not used",)
    assert b"00ff00" not in b"".join(face.files.values())
    assert "00ff00" not in theme_css(face)


# What is refused


def test_all_faults_are_told_at_once_with_line_and_key(tmp_path: Path) -> None:
    text = '[logo]\nfile = "logo.gif"\n[light]\npaper = "white"\nacent = "#17506f"\n[text]\nfamily = "Own"\n'
    assert refused(whole(tmp_path, text)) == [
        "theme.toml:1, logo.alternative: expected what the logo shows, in 3 to 120 letters, for readers who do not see "
        "it; found nothing. The book is not made.",
        "theme.toml:2, logo.file: expected the name of an SVG or PNG file in the theme folder; found 'logo.gif'. "
        "The book is not made.",
        "theme.toml:4, light.paper: expected a colour as six hexadecimal digits, such as '#17506f'; found 'white'. "
        "The book is not made.",
        "theme.toml:5, light.acent: expected one of: paper, ink, accent, line, raised, soft; found 'acent' "
        "(did you mean 'accent'?). The book is not made.",
        *(
            f"theme.toml:6, text.{cut}: expected the name of a WOFF2 file in the theme folder; found nothing. "
            "The book is not made."
            for cut in ("italic", "regular", "semibold")
        ),
    ]


@pytest.mark.parametrize(
    "asked",
    [
        '[verdicts]\nfail = "#00ff00"\n',
        '[light]\nfail = "#00ff00"\n',
        '[dark]\nconditional-pass = "#00ff00"\n',
        '[signs]\npass = "tick.svg"\n',
        "[exceptions]\nlast = true\n",
        "cautions = false\n",
        "[sources]\nhidden = true\n",
        'demonstration = ""\n',
        "digest = false\n",
        '[light]\nforbidden = "#ffffff"\n',
        '[plain]\nfamily = "Own"\n',
    ],
)
def test_what_looks_alike_in_every_book_cannot_be_asked_for(tmp_path: Path, asked: str) -> None:
    (line,) = refused(whole(tmp_path, asked))
    assert "look alike in every book" in line
    assert line.startswith("theme.toml:")


@pytest.mark.parametrize("asked", ['css = "own.css"\n', '[style]\nbody = "x"\n'])
def test_style_sheets_are_not_taken(tmp_path: Path, asked: str) -> None:
    (line,) = refused(whole(tmp_path, asked))
    assert "style sheets are not taken" in line


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (b"[light\n", "theme.toml:1"),
        (b"\xff\xfe", "expected text in UTF-8"),
        (b"# " + b"x" * 30_000, "expected at most 0.02 MB"),
        (b"a = " + b"[" * 5000, "too many"),
        (b'light = "red"\n', "expected a table [light]; found 'red'"),
        (b"[[logo]]\nfile = 1\n", "expected a table [logo]"),
        (b"[logo]\nfile = 7\nalternative = 'Yard'\n", "found 7"),
        (b"[light]\npaper = '#fff'\n", "found '#fff'"),
        (b'[light]\npaper = "#ffffff; } body { display: none"\n', "expected a colour"),
        (b"[headings]\nfamily = 'x\"; } * { color: red'\nsemibold = 'a.woff2'\n", "expected the name of its family"),
        (b"[headings]\nfamily = 'IBM Plex Sans'\nsemibold = 'a.woff2'\n", "not that of a shipped typeface"),
        (b"[headings]\nfamily = 'ibm  plex serif'\nsemibold = 'a.woff2'\n", "not that of a shipped typeface"),
    ],
)
def test_a_file_that_is_wrong_is_refused_with_words(tmp_path: Path, text: bytes, words: str) -> None:
    (tmp_path / "theme.toml").write_bytes(text)
    assert any(words in line for line in refused(tmp_path))


def test_a_folder_without_theme_toml_and_no_folder(tmp_path: Path) -> None:
    assert "theme.toml: expected an ordinary file inside the folder; found no such file" in refused(tmp_path)[0]
    assert "nothing of that name" in refused(tmp_path / "nowhere")[0]
    (tmp_path / "theme.toml").write_text("", encoding="utf-8")
    assert "not a folder" in refused(tmp_path / "theme.toml")[0]


@pytest.mark.parametrize(
    "name", ["../logo.svg", "/etc/hosts.svg", "a/../../logo.svg", "file:///etc/x.svg", ".svg", "~/x.svg"]
)
def test_nothing_climbs_out_of_the_folder(theme: Path, name: str) -> None:
    (theme.parent / "logo.svg").write_bytes((theme / "logo.svg").read_bytes())
    spoil(theme, '"logo.svg"', f'"{name}"')
    (line,) = refused(theme)
    assert line.startswith("theme.toml:4, logo.file")


def test_links_and_odd_files_are_refused(theme: Path) -> None:
    (theme / "logo.svg").rename(theme.parent / "logo.svg")
    (theme / "logo.svg").symlink_to(theme.parent / "logo.svg")
    (theme / "type/regular.woff2").unlink()
    os.mkfifo(theme / "type/regular.woff2")
    (theme / "type/italic.woff2").unlink()
    (theme / "type/italic.woff2").mkdir()
    lines = refused(theme)
    assert [line.split(", ")[1].split(":")[0] for line in lines] == ["logo.file", "text.regular", "text.italic"]
    assert "a link (links are not followed)" in lines[0]
    assert "a pipe" in lines[1]
    assert "a folder" in lines[2]


def test_a_link_in_place_of_theme_toml_is_refused(theme: Path) -> None:
    (theme / "theme.toml").rename(theme.parent / "theme.toml")
    (theme / "theme.toml").symlink_to(theme.parent / "theme.toml")
    assert "a link" in refused(theme)[0]


def test_a_logo_may_not_claim_in_its_words_what_no_record_can_bear(theme: Path) -> None:
    spoil(theme, "Example Yard: a hull above two waves", "Example Yard, the best hulls, class-approved")
    lines = refused(theme)
    assert len(lines) == 2
    assert "'best' (praise without a measure)" in " ".join(lines)


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"GIF89a", "another file"),
        (b"\x89PNG\r\n\x1a\n" + b"\0" * 40, "cannot be read"),
        (b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR" + (9000).to_bytes(4) + (9000).to_bytes(4), "at most 4 million pixels"),
        (b"\x89PNG\r\n\x1a\n" + b"\0" * 1_000_001, "at most 1 MB"),
    ],
)
def test_a_painted_logo_that_is_none_is_refused(theme: Path, data: bytes, words: str) -> None:
    (theme / "logo.png").write_bytes(data)
    spoil(theme, '"logo.svg"', '"logo.png"')
    (line,) = refused(theme)
    assert words in line


# Type


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"OTTO" + b"\0" * 100, "expected a WOFF2 file"),
        (b"", "expected a WOFF2 file"),
        (typeface()[:-10], "one whole font"),
        (typeface()[:40] + b"\0" * (len(typeface()) - 40), "a damaged one"),
        (typeface() + b"\0" * 1_000_001, "expected at most 1 MB"),
        (
            typeface("Other"),
            "expected a font of the family 'Example Box'; found 'type/regular.woff2': one called 'Other'",
        ),
        (typeface(signs=SIGNS.replace("7", "")), "one without 7"),
        (
            typeface(blank="47"),
            "draws all letters, figures and signs of ASCII; found 'type/regular.woff2': nothing for 47",
        ),
        (typeface(ascent=30_000), "lines at most 3 times as high as the letters; found 'type/regular.woff2': 30 times"),
        (typeface(italic=True), "expected an upright font"),
        (typeface(weight=900), "expected a weight of about 400; found 'type/regular.woff2': 900"),
    ],
    ids=["kind", "empty", "short", "damaged", "large", "family", "signs", "no ink", "high lines", "slope", "weight"],
)
def test_a_typeface_that_is_not_the_one_is_refused(theme: Path, data: bytes, words: str) -> None:
    (theme / "type/regular.woff2").write_bytes(data)
    (line,) = refused(theme)
    assert words in line
    assert "text.regular" in line


def test_a_shipped_typeface_passes_the_checks_of_a_typeface() -> None:
    """The checks are not so strict that a real typeface fails."""
    from buildbook.face.font_file import font_faults
    from buildbook.render.templates import fonts_dir

    for name, italic, weight in (("Regular", False, 400), ("Italic", True, 400), ("SemiBold", False, 600)):
        data = (fonts_dir() / f"IBMPlexSerif-{name}.woff2").read_bytes()
        assert font_faults(data, "IBM Plex Serif", italic=italic, weight=weight) == ()
