"""The program's door: `sapwood` and `python -m studio`."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # numpy's matrices are small here: its threads would only spin


def main(argv: Sequence[str] | None = None) -> int:
    """Run the program with the arguments after its name, and return its exit code."""
    from studio.cli.main import run

    return run(sys.argv[1:] if argv is None else argv)


if __name__ == "__main__":
    sys.exit(main())
