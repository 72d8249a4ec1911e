"""What `verify` and `sign` say, in plain words: bad news first, then what the result shows and what it does not."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from buildbook.render.names import shown
from buildbook.render.stamp import DRAFT, NAMESPACE, UNSIGNED
from buildbook.seal.allowed import Vouched
from buildbook.seal.holder import PACKAGES
from buildbook.seal.sign import Signed
from buildbook.seal.verify import WHOLE, Checked

SHOWS = (
    "What this shows: the files that are the same are, to the last character, those that the lists name.",
    "What it does not show: that a reading is true, who took it or when, or what was left out of the folder.",
    "Whoever changes records or data can write the lists anew, and then nothing here differs but the digest. So "
    "compare the whole digest with one that you have from elsewhere: the printed cover, a letter, the contract.",
)
NOT_AGAIN = "No finding was worked out again from the rows: values and verdicts are as book.json says."
HELD = "No verdict that a limit is met may be better than its value, U and limit allow: that was held."
OF_PACKAGE = "The digest is that of the records and the data, and the data hold the sums of documents and raw records."
UNDER_DIGEST = {
    "folder": "The digest is that of the records and the data, and the data hold the sums of documents and "
    "photographs. Pages and PDFs are not under it.",
    "zip": OF_PACKAGE,
    "unpacked package": OF_PACKAGE,
    "pdf": "Only the files attached to the document were compared. Its printed pages were not: compare them with "
    "the web site or with a printed copy.",
}
OF_PAGES = (
    "Pages, style sheets and the script were made a second time from book.json, hull.toml and what else lies in the "
    "folder, and compared, a theme of the builder's own read as a build reads it. Their list alone, which anyone can "
    "write anew, holds PDFs, and the typeface and logo of a builder who has his own."
)
OTHERWISE = (
    "Whether somebody changed the files that this edition makes otherwise, or another edition wrote them so, cannot be "
    "said: have the book checked by the edition that wrote it, and read what weighs with you in book.json."
)
EXPORTS = "tables/, worked/, findings.csv, rows-not-used.csv, datapackage.json, book.schema.json, bag-info.txt"
PAGES_NOT_ASKED = (
    "Pages were not compared with the data: whoever changes one can write its list anew. A signature would show "
    "it, and so does --pages, which makes them a second time."
)
PRINT_NOT = "the printed pages were NOT compared"
A_KIND = {"zip": "a zip", "pdf": "a PDF", "unpacked package": "an unpacked package"}
COMPARED = (
    "From records and data the package's other files were made a second time and compared: {exports}. Of "
    "rows-not-used.csv it is held which rows, and every reason that book.json gives for each."
)
NO_PACKAGE = "Evidence package: NOT here, so not compared. Every build writes it beside the pages and calls it {name}."
HELD_BY_LISTS = (
    "The package's other files are held by its own lists only, which anyone can write anew: {exports}. What you take "
    "from them, compare with book.json."
)


def told(checked: Checked, name: str, stopped: str = "") -> Iterator[str]:
    """The lines that `verify` prints; a sign in a name that would end a line or command a terminal is written out.

    `stopped` is what there is to say of a build that was stopped.
    """
    yield from map(shown, _told(checked, name, stopped))


def _told(checked: Checked, name: str, stopped: str) -> Iterator[str]:
    yield " ".join([f"{name}: {_headline(checked)}", *([f"{checked.own_face}."] if checked.own_face else [])])
    yield f"Files: {_counts(checked)}."
    yield f"Digest: {_of_digest(checked)}."
    yield f"Signature: {_of_signature(checked)}."
    if checked.compared or checked.other:
        yield f"Program: {_of_program(checked)}."
    if checked.no_package:
        yield NO_PACKAGE.format(name=checked.no_package)
    if stopped:
        yield stopped
    yield from _list("Changed", _with_reasons(checked.changed))
    yield from _list("Missing", checked.missing)
    yield from _list("Extra: no list names them", checked.extra)
    if not checked.extras_told:
        yield "A list is not whole, so it cannot be said which files are extra."
    yield from _list("Could not be read, so not judged", _with_reasons(checked.unreadable))
    yield from _list("Made otherwise by this edition, so not judged", _with_reasons(checked.otherwise))
    yield from _list("Withheld by the builder: named in the list, not given; not missing", checked.withheld)
    yield from _list("Withheld by the builder and here: the original, by its sum in book.json", checked.given)
    yield ""
    yield from _digest(checked)
    if checked.kind == "folder":
        yield from _signature(checked.vouched)
    yield ""
    yield from (*SHOWS[:2], NOT_AGAIN + (f" {HELD}" if checked.verdicts_held else ""))
    yield from (" ".join(_under_digest(checked)), SHOWS[2])


def _under_digest(checked: Checked) -> Iterator[str]:
    yield UNDER_DIGEST[checked.kind]
    if checked.pages_compared:
        yield OF_PAGES
    elif checked.pages_not:
        yield f"Pages were NOT compared with the data ({checked.pages_not}); their list alone holds them."
    elif checked.kind == "folder":
        yield PAGES_NOT_ASKED
    if checked.compared:
        yield COMPARED.format(exports=EXPORTS)
    elif checked.kind in PACKAGES or checked.not_compared:
        yield HELD_BY_LISTS.format(exports=EXPORTS)
    if checked.not_compared:
        yield f"They were not compared: {checked.not_compared}."
    if checked.otherwise:
        yield OTHERWISE


def _headline(checked: Checked) -> str:
    """Which of files, digest and signature hold, and which not."""
    against = [
        words
        for bad, words in (
            (not checked.agrees, "the digest is NOT the one you typed"),
            (checked.vouched.bad, "the signature does NOT hold"),
        )
        if bad
    ]
    if checked.changed or checked.missing or not checked.extras_told:
        return " ".join(["NOT the book that was written.", *(f"{words[0].upper()}{words[1:]}." for words in against)])
    whole = _of_files(checked)
    cannot = bool(checked.unreadable or checked.otherwise)  # of exports the words say then why not
    not_done = [
        f"{what} NOT compared with {data} ({why})"
        for what, data, why in (
            ("what the package exports was", "its data", "" if cannot else checked.not_compared),
            ("the pages were", "the data", checked.pages_not),
        )
        if why
    ]
    not_done += [PRINT_NOT] if checked.kind == "pdf" else []
    if checked.otherwise or not_done:
        not_told = f", {'and' if cannot else 'but'} {' and '.join(not_done)}" if not_done else ""
        return "; ".join([f"{whole}{not_told}", *against]) + "."
    return f"{whole}, but {' and '.join(against)}." if against else f"{whole}."


def _of_files(checked: Checked) -> str:
    """How the files stand where none is changed or missing."""
    if checked.unreadable:
        whole = "it cannot be judged whole"
    elif checked.otherwise:
        files = "1 file" if len(checked.otherwise) == 1 else f"{len(checked.otherwise)} files"
        whole = f"it cannot be judged whole: this edition of the program makes {files} otherwise"
    else:
        whole = "every file of the book is the same" if checked.extra else "every file is as the lists name it"
    if not checked.extra:
        return whole
    files = "1 file is" if len(checked.extra) == 1 else f"{len(checked.extra)} files are"
    return f"{whole}; {files} there that no list names"


def _counts(checked: Checked) -> str:
    parts = [
        f"{number} {word}"
        for number, word in (
            (len(checked.changed), "changed"),
            (len(checked.missing), "missing"),
            (len(checked.extra), "extra"),
            (len(checked.unreadable), "not readable"),
            (len(checked.otherwise), "made otherwise here"),
            (checked.same, "the same"),
            (len(checked.withheld), "withheld"),
            (len(checked.given), "withheld and here"),
        )
        if number or word in ("changed", "missing", "extra", "the same")
    ]
    return ", ".join(parts)


def _of_digest(checked: Checked) -> str:
    if not checked.typed:
        return "compared with none, since you typed none"
    return "the one you typed" if checked.agrees else "NOT the one you typed"


def _of_signature(checked: Checked) -> str:
    found = checked.vouched
    if checked.kind != "folder":
        return f"none here; only the folder of a book is signed, and this is {A_KIND[checked.kind]}"
    if found.bad:
        return "does NOT hold"
    if not found.key:
        return "none"
    return "fits, and your list knows the key" if found.known else "fits; whose key it is, is not compared"


def _of_program(checked: Checked) -> str:
    if not checked.other:
        return "the package says that it was this one; that is what the file says, and no digest is over it"
    if checked.not_compared:
        return "NOT the one that wrote the book"
    told = f"NOT known to be the one that wrote the book ({checked.other})"
    if not checked.compared or checked.files_bad or checked.not_judged:
        return told
    if checked.kind == "folder" and not checked.pages_compared:
        return f"{told}; what the package exports is the same made a second time, and pages were NOT made again"
    return f"{told}; what it makes a second time is the same all the same"


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


def signed(done: Signed, name: str) -> Iterator[str]:
    """The lines that `sign` prints."""
    stamp = done.stamp
    yield f"{shown(name)} is signed by {stamp.identity}."
    if done.own_face:
        yield f"{done.own_face}."
    yield f"Fingerprint of the key: {stamp.fingerprint}"
    yield (
        "Publish this fingerprint somewhere else than in the book: on your web site, in a letter, in the contract. "
        "A reader who knows it from the book alone learns nothing from it."
    )
    yield (
        f'Give readers who ask the line for their list of keys: {stamp.identity} namespaces="{NAMESPACE}" and the two '
        "first words of your .pub file. Keep the key itself to yourself; no part of it is in the book."
    )
