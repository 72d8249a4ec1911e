"""What theme.toml may say: these keys and no others. The description of a field is what a message calls expected."""

from __future__ import annotations

from typing import Annotated

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, StringConstraints

Colour = Annotated[str, StringConstraints(pattern=r"^#[0-9a-fA-F]{6}$")]
LogoFile = Annotated[str, StringConstraints(pattern=r"^.+\.(?i:svg|png)$", max_length=200)]
FontFile = Annotated[str, StringConstraints(pattern=r"^.+\.(?i:woff2)$", max_length=200)]
Words = Annotated[str, StringConstraints(strip_whitespace=True, pattern=r"^[^\n]+$", min_length=3, max_length=120)]

_COLOUR = "a colour as six hexadecimal digits, such as '#17506f'"
_FONT = "the name of a WOFF2 file in the theme folder"
_FAMILY = "the name of its family: letters, digits, spaces and hyphens, not that of a shipped typeface"


def _not_shipped(family: str) -> str:
    """A family of the builder's; under the name of a shipped one it would take the place of what no theme changes."""
    if "".join(family.lower().split()).startswith("ibmplex"):
        raise ValueError("a shipped typeface")
    return family


# Letters that a style sheet may carry between quotes.
Family = Annotated[str, StringConstraints(pattern=r"^[A-Za-z0-9][A-Za-z0-9 -]{0,48}$"), AfterValidator(_not_shipped)]


class _Entry(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)


class Colours(_Entry):
    """The colours of light or of dark pages; what is not said stays or follows from paper and ink."""

    paper: Colour | None = Field(None, description=_COLOUR)
    ink: Colour | None = Field(None, description=_COLOUR)
    accent: Colour | None = Field(None, description=_COLOUR)
    line: Colour | None = Field(None, description=_COLOUR)
    raised: Colour | None = Field(None, description=_COLOUR)
    soft: Colour | None = Field(None, description=_COLOUR)


class LogoEntry(_Entry):
    """The logo."""

    file: LogoFile = Field(description="the name of an SVG or PNG file in the theme folder")
    alternative: Words = Field(description="what the logo shows, in 3 to 120 letters, for readers who do not see it")


class TextEntry(_Entry):
    """The typeface of running text."""

    family: Family = Field(description=_FAMILY)
    regular: FontFile = Field(description=_FONT)
    italic: FontFile = Field(description=_FONT)
    semibold: FontFile = Field(description=_FONT)


class HeadingsEntry(_Entry):
    """The typeface of headings, in one weight."""

    family: Family = Field(description=_FAMILY)
    semibold: FontFile = Field(description=_FONT)


class Theme(_Entry):
    """The whole file."""

    logo: LogoEntry | None = Field(None, description="a table [logo]")
    light: Colours | None = Field(None, description="a table [light]")
    dark: Colours | None = Field(None, description="a table [dark]")
    text: TextEntry | None = Field(None, description="a table [text]")
    headings: HeadingsEntry | None = Field(None, description="a table [headings]")
