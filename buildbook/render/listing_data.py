"""The listing as JSON-LD (schema.org): who she is and measured facts, for programs that read pages."""

from __future__ import annotations

import json
from typing import Any

from markupsafe import Markup

from buildbook.core.book import Book
from buildbook.core.listing import Saying

# What a value is called that is a bound, or none.
AMOUNTS = {"": "value", "at least": "minValue", "at most": "maxValue"}
# What would end the element, or start another one, inside a page: written as JSON escapes, which mean the same.
ESCAPES = {"<": "\\u003c", ">": "\\u003e", "&": "\\u0026", "\u2028": "\\u2028", "\u2029": "\\u2029"}


def json_ld(book: Book) -> Markup:
    """The content of a `script` element of the type `application/ld+json`.

    Args:
        book: the finished book with its listing.

    Returns:
        JSON, safe inside HTML whatever the folder holds. The exceptions open the description.
    """
    text = json.dumps(data(book), ensure_ascii=False, indent=1, sort_keys=True, allow_nan=False)
    for sign, escape in ESCAPES.items():
        text = text.replace(sign, escape)
    return Markup(text)


def data(book: Book) -> dict[str, Any]:
    """A schema.org `Vehicle` (which is a `Product`) with one `PropertyValue` for each sentence that may be used.

    Only measured values become properties. Each has its uncertainty with coverage factor and degrees of freedom as
    properties of their own, and its whole text as description, so that an exception cannot be cut off. A value that is
    only a bound is a `minValue` or `maxValue` and has no uncertainty.
    """
    hull, sheet = book.hull, book.listing
    said = {
        "@context": "https://schema.org",
        "@type": "Vehicle",
        "name": hull.name or book.title,
        "identifier": hull.number,
        "model": hull.model,
        "manufacturer": {"@type": "Organization", "name": hull.builder} if hull.builder else "",
        "description": " ".join((hull.label, sheet.exceptions, *sheet.cautions[:1], *sheet.validity)).strip(),
        "additionalProperty": [_property(one) for one in sheet.sayings],
    }
    return {name: value for name, value in said.items() if value}


def _property(one: Saying) -> dict[str, Any]:
    made: dict[str, Any] = {
        "@type": "PropertyValue",
        "propertyID": one.finding,
        "name": one.name,
        AMOUNTS[one.bound]: one.amount,
        "description": one.text,
    }
    unit = {name: text for name, text in (("unitText", one.unit), ("unitCode", one.unit_code)) if text}
    made |= unit
    if one.expanded is not None:
        parts = [_named("expanded uncertainty", one.expanded) | unit]
        if one.coverage is not None:
            parts.append(_named("coverage factor k", one.coverage))
        if one.degrees is not None:
            parts.append(_named("degrees of freedom", one.degrees))
        made["valueReference"] = parts
    return made


def _named(name: str, value: float) -> dict[str, Any]:
    return {"@type": "PropertyValue", "name": name, "value": value}
