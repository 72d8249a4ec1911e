"""Is this the same book: what changed, what is missing, what is there besides."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from buildbook.core.published import RELEASE, SIGNATURE
from buildbook.render.names import package_name, shown
from buildbook.render.sums import read_sums
from buildbook.seal.allowed import Vouched, vouched
from buildbook.seal.by_book import hold_to_book
from buildbook.seal.derived import Derived, hold_derived
from buildbook.seal.finds import Finds
from buildbook.seal.holder import MOST_LIST, PACKAGES, CannotJudge, Holder, Unreadable, summed, whole
from buildbook.seal.in_folder import InFolder
from buildbook.seal.in_pdf import InPdf
from buildbook.seal.in_zip import InZip
from buildbook.seal.made_again import Pages, hold_pages
from buildbook.seal.memory import bounded_memory
from buildbook.seal.own_face import own_face
from buildbook.seal.pages import stamp_of
from buildbook.seal.verdicts import hold_verdicts

SHORT, WHOLE = 12, 64
FEW = 3  # names in a sentence
MOST_SIGNATURE = 1 << 16
ZIP = ".zip"
NOT_ITS_PACKAGE = "no build of this book writes it: the package of this hull is {name}"


@dataclass(frozen=True, slots=True)
class Checked:
    """What a check of a book found. Names are those in the folder, the zip or the PDF.

    `digest` is that of the list as it is now, empty where there is no list. `typed` is the digest of the reader's own
    copy, as he typed it. `changed` gives the reason with each name. `withheld` are files that the list names and the
    builder keeps, as the book itself says; `given` are such that are here all the same. `unreadable` could not be
    judged. `extras_told` is false where a list is not whole, so that nobody can say what is extra. `vouched` is what
    its signature says. `lists` are the sums of the lists that the files were compared with. `compared` tells that the
    exported data of a package were made a second time; `not_compared` says why not. `no_package` is the name of the
    evidence package that a build writes beside the pages, where it is not there. `other` says why this is not known to
    be the edition of the program that wrote the book, and `otherwise` are the files that it makes otherwise, which
    proves nothing then. `pages_compared` and `pages_not` say the same of the pages of a folder as the two of exports.
    `own_face` names the typeface and the logo of the builder's own, which nobody can hold. `verdicts_held` tells that
    each verdict was held against its value, U and limit.
    """

    kind: str
    same: int = 0
    digest: str = ""
    typed: str = ""
    changed: Mapping[str, str] = field(default_factory=dict)
    missing: tuple[str, ...] = ()
    extra: tuple[str, ...] = ()
    withheld: tuple[str, ...] = ()
    given: tuple[str, ...] = ()
    unreadable: Mapping[str, str] = field(default_factory=dict)
    extras_told: bool = True
    vouched: Vouched = field(default_factory=Vouched)
    lists: Mapping[str, str] = field(default_factory=dict)
    compared: bool = False
    not_compared: str = ""
    no_package: str = ""
    other: str = ""
    otherwise: Mapping[str, str] = field(default_factory=dict)
    pages_compared: bool = False
    pages_not: str = ""
    own_face: str = ""
    verdicts_held: bool = False

    @property
    def agrees(self) -> bool:
        """Whether the digest is the one that the reader typed; true where he typed none."""
        return self.digest.startswith(self.typed)

    @property
    def spoiled(self) -> str:
        """Some of the files that are not as they were built, and how many more; empty where all are."""
        names = [shown(name) for name in (*self.changed, *self.missing, *self.extra, *self.unreadable)]
        return ", ".join(names[:FEW]) + (f" and {len(names) - FEW} more" if len(names) > FEW else "")

    @property
    def bad(self) -> bool:
        """Whether anything speaks against it."""
        return self.files_bad or not self.agrees or self.vouched.bad

    @property
    def not_judged(self) -> bool:
        """Whether something of it could not be judged.

        It could not be read, another edition may have written it, or pages were to be compared and could not be.
        """
        return bool(self.unreadable or self.otherwise or self.pages_not)

    @property
    def files_bad(self) -> bool:
        """Whether a file speaks against it: one that is changed, missing or extra, or a list that is not whole."""
        return bool(self.changed or self.missing or self.extra or not self.extras_told)


def typed_digest(text: str) -> str:
    """A digest as a reader types it from paper: white space and capitals do not matter.

    Raises:
        CannotJudge: it is neither the whole digest nor its first twelve characters.

    Example:
        >>> typed_digest(" 0F1E 2d3c 4b5a ")
        '0f1e2d3c4b5a'
    """
    kept = re.sub(r"\s", "", text).lower()
    if not re.fullmatch(r"[0-9a-f]*", kept):
        raise CannotJudge("a digest has only the digits 0 to 9 and the letters a to f; look again at the printed one")
    if len(kept) not in (SHORT, WHOLE):
        raise CannotJudge(f"a digest has {WHOLE} characters, or {SHORT} at the foot of a page; these are {len(kept)}")
    return kept


def verify(
    path: Path,
    digest: str = "",
    allowed: Path | None = None,
    derived: Derived | None = None,
    pages: Pages | None = None,
) -> Checked:
    """Compare every file of a book with its entry in the lists.

    Args:
        path: the folder of the book, its evidence package (zip, or unpacked), or the printed book (PDF).
        digest: the digest from elsewhere, such as the printed cover; empty to compare with none.
        allowed: a list of keys in the form `allowed_signers` of OpenSSH; only for a folder.
        derived: makes the exported data of a package a second time; without it they are compared with no data.
        pages: makes the pages of a folder a second time; without it they are held by their list alone.

    Returns:
        What was found. Nothing is written or unpacked, and memory does not grow with the size of the files.

    Raises:
        CannotJudge: it is no book, it cannot be read, or the digest or the list of keys is of no use.
    """
    typed = typed_digest(digest) if digest.strip() else ""
    try:
        with bounded_memory(path):
            holder = _holder(path)
            if allowed is not None and holder.kind != "folder":
                raise CannotJudge("only the folder of a book is signed: name the folder to check the signature")
            if pages is not None and holder.kind != "folder":
                raise CannotJudge("only the folder of a book has pages: name the folder to have them compared")
            return _checked(holder, typed, allowed, derived, pages)
    except OSError as error:
        raise CannotJudge(f"{path}: {error.strerror or error}") from None
    except MemoryError:
        raise CannotJudge(f"{path} asks for more memory than a book needs, so it was not read to its end") from None


def _holder(path: Path) -> Holder:
    if path.is_symlink():
        raise CannotJudge(f"{path} is a symbolic link; name the folder or the file itself")
    if path.is_dir():
        return InFolder(path)
    if not path.is_file():
        raise CannotJudge(f"{path} is neither a folder nor a file")
    with path.open("rb") as file:
        start = file.read(1024)
    if b"%PDF-" in start:
        return InPdf(path)
    if start.startswith(b"PK"):
        return InZip(path)
    raise CannotJudge(f"{path} is neither a folder, nor a zip, nor a PDF")


def _checked(
    holder: Holder, typed: str, allowed: Path | None, derived: Derived | None, pages: Pages | None = None
) -> Checked:
    found = Finds(holder)
    expected = _lists(holder, found)
    for name in sorted(expected):
        _compare(holder, found, name, expected[name])
    hold_to_book(holder, found)
    if holder.kind in PACKAGES and derived is not None:
        hold_derived(holder, found, derived)
    if isinstance(holder, InFolder) and holder.kind == "folder":
        _packages(holder, found, derived)
    hold_verdicts(holder, found)
    vouches = _signature(holder, found, allowed) if holder.kind == "folder" else Vouched()
    if pages is not None:
        hold_pages(holder, found, pages, vouches.stamp)
    if holder.said and holder.said != found.digest:
        found.changed["the digest in the document's own data"] = f"says {holder.said}"
    return _told(holder, found, set(expected), typed, vouches)


def _told(holder: Holder, found: Finds, expected: set[str], typed: str, vouches: Vouched) -> Checked:
    """What was found, as values; `expected` are the names in the lists."""
    extra = sorted((found.there | set(found.odd)) - expected - holder.unlisted - found.originals)
    why = {name: found.odd.get(name, "") for name in extra}
    return Checked(
        kind=holder.kind,
        same=len(expected - found.told),
        digest=found.digest,
        typed=typed,
        changed=found.changed,
        missing=tuple(sorted(found.missing)),
        extra=tuple(f"{name} ({why[name]})" if why[name] else name for name in extra) if found.lists_whole else (),
        withheld=found.withheld,
        given=tuple(found.given),
        unreadable=found.unreadable,
        extras_told=found.lists_whole,
        vouched=vouches,
        lists=found.lists,
        compared=found.compared,
        not_compared=found.not_compared,
        no_package=found.no_package,
        other=found.other,
        otherwise=found.otherwise,
        pages_compared=found.pages_compared,
        pages_not=found.pages_not,
        verdicts_held=found.verdicts_held,
        own_face=own_face(found.there) if holder.kind == "folder" else "",
    )


def _packages(folder: InFolder, found: Finds, derived: Derived | None) -> None:
    """The evidence package that the list of the release names: checked as if it lay alone, by the same digest.

    Its name is known from the hull number, and no other zip may lie at the top. Where the number cannot be had, each
    zip is checked. One that is not there is told, and is missing where the book names raw records: it alone holds them.
    """
    tops = sorted(name for name in found.later if name.lower().endswith(ZIP) and "/" not in name)
    if found.number is not None:
        its = package_name(found.number)
        if its not in (*found.there, *found.odd):
            found.no_package = its
            found.missing += [its] if found.packed and its not in found.told else []
        found.changed |= {name: NOT_ITS_PACKAGE.format(name=its) for name in tops if name != its}
        tops = [name for name in tops if name == its]
    for name in tops:
        if name in found.told:
            continue
        try:
            inside = _checked(InZip(folder.path(name)), "", None, derived)
        except CannotJudge as why:
            found.changed[name] = str(why)
            continue
        found.changed |= {f"{name}: {one}": why for one, why in inside.changed.items()}
        found.missing += [f"{name}: {one}" for one in inside.missing]
        found.unreadable |= {f"{name}: {one}": why for one, why in inside.unreadable.items()}
        found.changed |= {f"{name}: {one}": "no list of it names this" for one in inside.extra}
        found.given += [f"{name}: {one}" for one in inside.given]
        found.compared, found.not_compared, found.other = inside.compared, inside.not_compared, inside.other
        found.otherwise |= {f"{name}: {one}": why for one, why in inside.otherwise.items()}
        if inside.digest != found.digest:
            found.changed[name] = f"it holds another book: its digest is {inside.digest or 'none'}"


def _lists(holder: Holder, found: Finds) -> dict[str, set[str]]:
    """Every name in a list with the sums that the lists give for it; the digest and what is wrong with the lists."""
    expected: dict[str, set[str]] = {}
    for one in holder.lists:
        if one.name not in found.there:
            found.lists_whole = False
            expected.setdefault(one.name, set())
            continue
        try:
            data = whole(holder, one.name, MOST_LIST)
        except Unreadable as why:
            raise CannotJudge(f"{one.name}: {why}") from None
        found.lists[one.name] = hashlib.sha256(data).hexdigest()
        sums = read_sums(data, bag=one.bag)
        if not sums.by_name:
            raise CannotJudge(f"{one.name} is no list of sums, so nothing can be compared with it")
        bad = sums.bad if one is holder.lists[0] else tuple(sorted({*sums.bad, *sums.passed_over}))
        if bad:
            found.lists_whole = False
            lines = ", ".join(map(str, bad[:5])) + (" and more" if len(bad) > 5 else "")
            found.changed[one.name] = f"no entry of a list in line {lines}"
        if one is holder.lists[0]:
            found.digest = found.lists[one.name]
            found.listed = {f"{one.below}{name}": value for name, value in sums.by_name.items()}
            found.kept = dict(sums.withheld)
            found.first_list = data
        for name, value in sums.by_name.items():
            expected.setdefault(f"{one.below}{name}", set()).add(value)
    found.later = tuple(name for name in expected if name not in found.listed)
    return expected


def _compare(holder: Holder, found: Finds, name: str, sums: set[str]) -> None:
    if name in found.odd:
        found.changed[name] = found.odd[name]
    elif name not in found.there:
        found.missing.append(name)
    else:
        try:
            found.sums[name], found.sizes[name] = summed(holder, name)
        except Unreadable as why:
            found.unreadable[name] = str(why)
            return
        if sums and sums != {found.sums[name]}:
            found.changed.setdefault(name, "")


def _signature(holder: Holder, found: Finds, allowed: Path | None) -> Vouched:
    """Who signed the list of the release, and whether that is who the pages say."""
    stamp = stamp_of(holder, found)
    signed, signature = (found.read(holder, *one) for one in ((RELEASE, MOST_LIST), (SIGNATURE, MOST_SIGNATURE)))
    return vouched(signed, signature, stamp, allowed)
