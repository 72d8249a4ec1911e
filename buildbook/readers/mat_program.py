"""Takes a MATLAB file apart, as a program of its own: a file comes in, a list of variables or one of them goes out.

The library is partly native code. A file that makes it crash, or that asks for too much memory or time, ends this
program and not the build. It imports nothing of the package and is started by its path.
"""

from __future__ import annotations

import json
import sys

MOST_MEMORY = 500_000_000  # bytes of its own, beside the code of libraries
MOST_SECONDS = 120  # of the processor: a file of the largest size that is packed takes some ten
AT_ONCE = 65_536  # numbers


def main() -> None:
    """Without an argument lists names, shapes and kinds; else the numbers of the variable that it names in JSON."""
    import resource

    resource.setrlimit(resource.RLIMIT_DATA, (MOST_MEMORY, MOST_MEMORY))
    resource.setrlimit(resource.RLIMIT_CPU, (MOST_SECONDS, MOST_SECONDS))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    from scipy.io import loadmat, whosmat

    file, out = sys.stdin.buffer, sys.stdout.buffer
    if len(sys.argv) == 1:
        held = whosmat(file, chars_as_strings=False)
        told = [(name, list(map(int, shape)), kind) for name, shape, kind in held if not name.startswith("__")]
        out.write(json.dumps(told).encode() + b"\n")
        return
    name = json.loads(sys.argv[1])
    values = loadmat(file, variable_names=[name])[name].reshape(-1, order="F")
    out.write(b"complex\n" if values.dtype.kind == "c" else b"real\n")
    for first in range(0, len(values), AT_ONCE):
        out.write(values[first : first + AT_ONCE].astype("<f8").tobytes())


if __name__ == "__main__":
    main()
