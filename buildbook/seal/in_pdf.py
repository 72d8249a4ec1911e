"""A book in one PDF, by the files attached to it."""

from __future__ import annotations

import zlib
from collections.abc import Collection, Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from buildbook.core.published import IN_PART, JSON, RECEIVED, SUMS
from buildbook.render.names import stays_inside
from buildbook.seal.holder import PIECE, CannotJudge, ListAt, Unreadable

if TYPE_CHECKING:
    import pikepdf

MOST_FILE = 2 << 30  # bytes unpacked
NO_BOOK = "{path} carries no list {sums}: only the printed book does, not the listing sheet"


class InPdf:
    """The files attached to a PDF, under the names they have in the folder; unpacked piece by piece."""

    kind = "pdf"
    lists: tuple[ListAt, ...] = (ListAt(SUMS),)
    unlisted = frozenset({SUMS})
    data = ""

    def __init__(self, path: Path) -> None:
        import pikepdf

        self._odd: dict[str, str] = {}
        self._streams: dict[str, pikepdf.Object] = {}
        try:
            self._pdf = pikepdf.open(path)
            self.said = _identifier(self._pdf)
            for name, attached in sorted(self._pdf.attachments.items()):
                self._add(name, attached.get_file().obj)
        except (pikepdf.PdfError, ValueError, KeyError, TypeError, AttributeError, RuntimeError) as error:
            raise CannotJudge(f"{path} cannot be read as a PDF ({str(error).splitlines()[0][:120]})") from None
        if SUMS not in self._streams:
            raise CannotJudge(NO_BOOK.format(path=path, sums=SUMS))

    def _add(self, name: str, stream: Any) -> None:
        place = name if name in (SUMS, JSON) or name.startswith(IN_PART) else f"{RECEIVED}{name}"
        if not stays_inside(name):
            self._odd[place] = "its name leads out of the folder"
        else:
            self._streams[place] = stream

    @property
    def odd(self) -> Mapping[str, str]:
        """Attachments that are not summed, with the reason."""
        return self._odd

    def names(self) -> Collection[str]:
        """Every attachment, as the folder names it."""
        return self._streams

    def pieces(self, name: str) -> Iterator[bytes]:
        """The bytes of an attachment, unpacked piece by piece."""
        import pikepdf

        stream = self._streams[name]
        try:
            packed = bytes(stream.read_raw_bytes())
            filters, parameters = stream.get("/Filter"), stream.get("/DecodeParms")
        except (pikepdf.PdfError, ValueError, TypeError, AttributeError) as error:
            raise Unreadable(f"it cannot be read ({str(error).splitlines()[0][:120]})") from None
        if filters is None:
            yield packed
        elif _names(filters) == ["/FlateDecode"] and parameters is None:
            yield from _inflated(packed)
        else:
            raise Unreadable("it is packed in a way that this program does not use")


def _names(filters: Any) -> list[str]:
    import pikepdf

    return [str(one) for one in filters] if isinstance(filters, pikepdf.Array) else [str(filters)]


def _inflated(packed: bytes) -> Iterator[bytes]:
    """The unpacked bytes, however much they are, in pieces of a fixed size."""
    unpacking, size = zlib.decompressobj(), 0
    try:
        while not unpacking.eof:
            piece = unpacking.decompress(packed, PIECE)
            packed, size = unpacking.unconsumed_tail, size + len(piece)
            if size > MOST_FILE:
                raise Unreadable("it unpacks to more than this program reads")
            if not piece and not packed:
                raise Unreadable("it cannot be unpacked (it ends too early)")
            yield piece
    except zlib.error as error:
        raise Unreadable(f"it cannot be unpacked ({error})") from None


def _identifier(pdf: pikepdf.Pdf) -> str:
    """The digest that the document says of itself, empty where it says none."""
    from buildbook.render.pdf import IDENTIFIER

    with pdf.open_metadata(set_pikepdf_as_editor=False, update_docinfo=False) as metadata:
        said = str(metadata.get("dc:identifier", ""))
    return said.removeprefix(IDENTIFIER) if said.startswith(IDENTIFIER) else ""
