"""The program's door: `sapwood` and `python -m studio`."""

from __future__ import annotations

import sys
from collections.abc import Sequence


def main(argv: Sequence[str] | None = None) -> int:
    """Run the program with the arguments after its name, and return its exit code."""
    from studio.cli.main import run

    return run(sys.argv[1:] if argv is None else argv)


if __name__ == "__main__":
    sys.exit(main())
