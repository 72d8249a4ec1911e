"""A bound on memory while files of unknown origin are read."""

from __future__ import annotations

import resource
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

# Bytes of addresses beyond what the program has when it starts to read. A book of nine chapters whose pages are made a
# second time takes some 500 MB; native code that runs short of addresses ends the program instead of saying so.
MORE = 3 << 29
STATUS = Path("/proc/self/statm")


@contextmanager
def bounded_memory(path: Path) -> Iterator[None]:
    """Let what runs inside have some 1.6 GB more than now; what asks for more raises MemoryError.

    The file itself counts with its size, since a library may look at it where it lies on the disk. Where the machine
    does not tell how much is in use, nothing is bounded here; the readers read piece by piece all the same.
    """
    if not STATUS.exists():
        yield
        return
    used = int(STATUS.read_text(encoding="ascii").split()[0]) * resource.getpagesize()
    soft, hard = resource.getrlimit(resource.RLIMIT_AS)
    bound = used + MORE + (path.stat().st_size if path.is_file() else 0)
    limits = [value for value in (bound, soft, hard) if value != resource.RLIM_INFINITY]
    resource.setrlimit(resource.RLIMIT_AS, (min(limits), hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_AS, (soft, hard))
