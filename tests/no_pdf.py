"""The program as on a machine without the system's text library: quick, since no PDF is made."""

from __future__ import annotations

NO_PDF = (
    "-c",
    """
import sys
class Missing:
    def find_spec(self, name, path=None, target=None):
        if name.split(".")[0] == "weasyprint":
            raise OSError("cannot load library 'libpango-1.0-0': cannot open shared object file")
sys.meta_path.insert(0, Missing())
from buildbook.cli import main
main()
""",
)
