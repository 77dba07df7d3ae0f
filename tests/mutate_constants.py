"""Constants changed one by one, and the tests near them run: which changes does no test notice?

Run by hand from the project's folder: `python tests/mutate_constants.py [name ...]`. It works on a copy in a temporary
folder, prints each constant as caught or survived, and ends with 1 when more than three survive. Takes a while.
"""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Final

ROOT: Final = Path(__file__).resolve().parents[1]
MOST_SURVIVORS: Final = 3
PROMISES: Final = "tests/test_promises.py"
MUTATIONS: Final[tuple[tuple[str, str, str, str], ...]] = (
    ("model/surface.py", "SPREADS_PER_STROKE", "3.1", PROMISES),
    ("model/sign.py", "MARGIN_SHARE", "0.05", PROMISES),
    ("layout/open_area.py", "TEXT_AIR_MM", "1.0", PROMISES),
    ("layout/open_area.py", "COVERED_SHARE", "0.90", PROMISES),
    ("layout/open_area.py", "PICTURE_AIR_SHARE", "0.004", PROMISES),
    ("layout/arrange.py", "SECOND_TO_FIRST", "0.8", PROMISES),
    ("layout/search.py", "TIGHT_RADIUS_EM", "12.0", f"{PROMISES} tests/unit/test_follow.py"),
    ("layout/search.py", "_EVENED_GAIN", "1.0", "tests/unit/test_arc.py tests/properties/test_fitting_properties.py"),
    ("layout/block.py", "GIVEN_UP", "0.98", "tests/unit/test_box.py tests/references"),
    ("layout/block.py", "LINE_GAP_CAPS", "0.15", PROMISES),
    ("layout/arc_spacing.py", "LONGEST_GAP_EM", "0.6", "tests/outside/test_even_spacing.py tests/unit/test_pitch.py"),
    ("layout/line_breaks.py", "MOST_LINES", "4", "tests/unit/test_breaking.py"),
    ("checks/stroke_and_gap.py", "_SLACK", "0.98", "tests/unit/test_thickness_check.py"),
    ("checks/contrast.py", "_RING_MM", "2.0", PROMISES),
    ("checks/contrast.py", "_RUN", "9", "tests/unit/test_contrast.py"),
    ("stroke/weak_places.py", "FULL", "0.70", "tests/unit/test_measure_table.py"),
    ("stroke/weak_places.py", "TIP_LENGTH", "0.25", PROMISES),
    ("stroke/weak_places.py", "SIGHT", "1.2", "tests/unit/test_stroke.py tests/unit/test_measure_table.py"),
    ("text/connected.py", "JOINED_SHARE", "0.5", PROMISES),
    ("render/printer_marks.py", "CLEARANCE_MM", "0.2", "tests/unit/test_marks.py"),
    ("render/printer_marks.py", "_LINE_MM", "0.4", PROMISES),
    ("render/ascii_art.py", "_LOCAL_GAIN", "0.3", "tests/unit/test_tone.py tests/references"),
    ("orders/csv_layout.py", "_AGREEMENT", "0.5", "tests/unit/test_order_list.py tests/unit/test_list_files.py"),
    ("orders/csv_layout.py", "_HEADER_WITHIN", "4", "tests/unit/test_order_list.py tests/unit/test_list_files.py"),
    ("orders/csv_rows.py", "MOST_LINES_IN_A_ROW", "400", "tests/unit/test_order_list.py"),
    ("storage/pictures.py", "_BELIEVABLE_DPI", "80.0", "tests/unit/test_pictures.py"),
    ("storage/atomic_write.py", "_STRANGER_IS_STALE_AFTER_S", "3600.0", PROMISES),
    ("pipeline/remedies.py", "_WORSE", "0.5", "tests/unit/test_remedies.py"),
    ("pipeline/remedies.py", "_WORST", "0.1", "tests/unit/test_remedies.py"),
    ("pipeline/remedy_trials.py", "_LARGEST_OFFSET_MM", "0.3", "tests/unit/test_remedies.py"),
    ("production/file_names.py", "LONGEST_LETTERS", "60", PROMISES),
)
"""Module, constant, the value it is changed to, and the tests that should notice."""


def _pass(tests: str, folder: Path) -> bool:
    """Return whether tests pass in a folder."""
    command = [sys.executable, "-m", "pytest", "-q", "-x", "-p", "no:cacheprovider", *tests.split()]
    return subprocess.run(command, cwd=folder, capture_output=True, check=False).returncode == 0


def main(names: list[str]) -> int:
    """Try every change and return the exit code."""
    survivors: list[str] = []
    sound: dict[str, bool] = {}
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / "copy"
        ignored = shutil.ignore_patterns(".venv", ".git", "__pycache__", ".mypy_cache", ".ruff_cache", ".hypothesis")
        shutil.copytree(ROOT, copy, ignore=ignored)
        for module, constant, value, tests in MUTATIONS:
            if names and constant not in names:
                continue
            file = copy / "studio" / module
            whole = file.read_text(encoding="utf-8")
            changed, count = re.subn(rf"(?m)^({constant}(?:: Final[^=]*)?) = .*$", rf"\1 = {value}", whole, count=1)
            if not count:
                print(f"GONE      {module} {constant}", flush=True)
                survivors.append(constant)
                continue
            if tests not in sound:
                sound[tests] = _pass(tests, copy)
            if not sound[tests]:
                print(f"UNKNOWN   {module} {constant}: {tests} fails without any change", flush=True)
                survivors.append(constant)
                continue
            file.write_text(changed, encoding="utf-8")
            caught = not _pass(tests, copy)
            file.write_text(whole, encoding="utf-8")
            print(f"{'caught' if caught else 'SURVIVED':9} {module} {constant} -> {value}", flush=True)
            if not caught:
                survivors.append(constant)
    print(f"{len(survivors)} survived: {', '.join(survivors) or 'none'}")
    return int(len(survivors) > MOST_SURVIVORS)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
