"""A file of the output that is too large to be held: it is made anew each time it is wanted, the same each time."""

from __future__ import annotations

import hashlib
import shutil
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

BLOCK = 1 << 20


class Sink(Protocol):
    """What bytes are written to, one after the other; it cannot go back."""

    def write(self, data: bytes, /) -> int: ...

    def flush(self) -> None: ...


Make = Callable[[Sink], None]
# From the name of a package without its ending, and the files that go into it, to what writes it.
Packed = Callable[[str, Mapping[str, bytes]], Make]


@dataclass(frozen=True, slots=True)
class Streamed:
    """What writes a file, with its size and SHA-256 as found by writing it once to nowhere."""

    make: Make
    bytes: int
    sha256: str

    def write_to(self, path: Path) -> None:
        """Write the file; what comes out other than before is not accepted."""
        with path.open("wb") as stream:
            pipe = _Pipe(stream.write)
            self.make(pipe)
        if (pipe.bytes, pipe.digest.hexdigest()) != (self.bytes, self.sha256):
            raise OSError(None, "what it is made from changed while it was written", str(path.name))


class _Pipe:
    """Counts and hashes what goes through it."""

    def __init__(self, on: Callable[[bytes], object]) -> None:
        self.bytes, self.digest, self._on = 0, hashlib.sha256(), on

    def write(self, data: bytes, /) -> int:
        self.bytes += len(data)
        self.digest.update(data)
        self._on(data)
        return len(data)

    def flush(self) -> None:
        """Nothing is kept back."""


def streamed(make: Make) -> Streamed:
    """A file by what writes it."""
    pipe = _Pipe(lambda _: None)
    make(pipe)
    return Streamed(make, pipe.bytes, pipe.digest.hexdigest())


def kept(path: Path) -> Streamed:
    """A file that is to be the same in another folder, block by block."""

    def copied(sink: Sink) -> None:
        with path.open("rb") as stream:
            shutil.copyfileobj(stream, sink, BLOCK)

    return streamed(copied)
