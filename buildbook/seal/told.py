"""What `verify` and `sign` say, in plain words: bad news first, then what the result shows and what it does not."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from buildbook.render.stamp import DRAFT, NAMESPACE, UNSIGNED, Stamp
from buildbook.seal.allowed import Vouched
from buildbook.seal.verify import WHOLE, Checked

SHOWS = (
    "What this shows: the files that are the same are, to the last character, those that the lists name.",
    "What it does not show: that a reading is true, who took it or when, or what was left out of the folder.",
    "Whoever changes a file can write the lists anew, and then nothing here differs but the digest. So compare "
    "the digest with one that you have from elsewhere: the printed cover or foot, a letter, the contract.",
)
UNDER_DIGEST = {
    "folder": "The digest is that of the records and the data, and the data hold the sums of documents. Pages, PDFs, "
    "pictures and the evidence package are vouched for only by a signature.",
    "zip": "The digest is that of the records and the data, and the data hold the sums of documents and raw records. "
    "The package's other files are held by its own lists only, which anyone can write anew: tables/, worked/, "
    "findings.csv, rows-not-used.csv, datapackage.json, book.schema.json and the files of the bag itself. What you "
    "take from them, compare with book.json.",
    "pdf": "Only the files attached to the document were compared. Its printed pages were not: compare them with "
    "the web site or with a printed copy.",
}


def told(checked: Checked, name: str) -> Iterator[str]:
    """The lines that `verify` prints."""
    yield _headline(checked, name)
    yield from _list("Changed", _with_reasons(checked.changed))
    yield from _list("Missing", checked.missing)
    yield from _list("Extra: no list names them", checked.extra)
    if not checked.extras_told:
        yield "A list is not whole, so it cannot be said which files are extra."
    yield from _list("Could not be read, so not judged", _with_reasons(checked.unreadable))
    yield from _list("Withheld by the builder: named in the list, not given; not missing", checked.withheld)
    yield ""
    yield from _digest(checked)
    if checked.kind == "folder":
        yield from _signature(checked.vouched)
    yield ""
    yield from (*SHOWS[:2], UNDER_DIGEST[checked.kind], SHOWS[2])


def _headline(checked: Checked, name: str) -> str:
    parts = [
        f"{number} {word}"
        for number, word in (
            (len(checked.changed), "changed"),
            (len(checked.missing), "missing"),
            (len(checked.extra), "extra"),
            (len(checked.unreadable), "not readable"),
            (checked.same, "the same"),
            (len(checked.withheld), "withheld"),
        )
        if number or word in ("changed", "missing", "extra", "the same")
    ]
    if checked.bad:
        return f"{name}: NOT the book that was written. Files: {', '.join(parts)}."
    if checked.unreadable:
        return f"{name}: cannot be judged whole. Files: {', '.join(parts)}."
    return f"{name}: every file is as the lists name it. Files: {', '.join(parts)}."


def _with_reasons(names: Mapping[str, str]) -> tuple[str, ...]:
    return tuple(f"{name}: {why}" if why else name for name, why in names.items())


def _list(heading: str, names: Iterable[str]) -> Iterator[str]:
    kept = tuple(names)
    if kept:
        yield f"{heading} ({len(kept)})"
        yield from (f"  {name}" for name in kept)


def _digest(checked: Checked) -> Iterator[str]:
    yield f"Digest {checked.digest or 'none: the list it is computed from is missing'}"
    if not checked.typed:
        return
    what = "the digest" if len(checked.typed) == WHOLE else f"the first {len(checked.typed)} characters"
    if checked.agrees:
        yield f"It is the same as {what} you typed."
    else:
        yield f"It is NOT {what} you typed, {checked.typed}: the list, and so the records or the data, are others."


def _signature(found: Vouched) -> Iterator[str]:
    if found.wrong:
        yield found.wrong
    elif not found.key:
        yield UNSIGNED if found.stamp == DRAFT else "No signature, and the first page does not say that it is a draft."
    elif found.known:
        yield f"Signed with the key {found.key}, which your list gives to {found.known}."
    else:
        who = f" The pages name {found.stamp.identity}." if found.stamp and found.stamp.identity else ""
        yield f"Signed with the key {found.key}.{who} Compare it with the fingerprint that the signer gave you himself."
    if found.refused:
        yield found.refused
    yield from _list("Lines of your list of keys that are not used", found.unused)


def signed(stamp: Stamp, name: str) -> Iterator[str]:
    """The lines that `sign` prints."""
    yield f"{name} is signed by {stamp.identity}."
    yield f"Fingerprint of the key: {stamp.fingerprint}"
    yield (
        "Publish this fingerprint somewhere else than in the book: on your web site, in a letter, in the contract. "
        "A reader who knows it from the book alone learns nothing from it."
    )
    yield (
        f'Give readers who ask the line for their list of keys: {stamp.identity} namespaces="{NAMESPACE}" and the two '
        "first words of your .pub file. Keep the key itself to yourself; no part of it is in the book."
    )
