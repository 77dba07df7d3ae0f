"""What is typed and what is said: lengths as phones type them, marks that are left out, letters that are turned."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from studio.basics.colour import Colour
from studio.basics.errors import SettingsError
from studio.basics.units import parse_length_mm
from studio.cli.output import harmless
from studio.cli.summary import finding_lines
from studio.model.finding import found
from studio.model.options import Value
from studio.pipeline.plan import plan
from studio.pipeline.types import Plan
from studio.render.pixels import blend_ink, codes_of, linear_of
from studio.storage.sign_builder import build_sign
from tests.shared import assets, catalogue


def planned(text: str, **values: Value) -> Plan:
    """Return a sign on bare wood, fitted and checked."""
    return plan(build_sign(text, {"artwork": "none", **values}, catalogue()), assets())


@pytest.mark.parametrize("text", ["10”", "10’’", "10''", "10in.", '10"', "10″", "10′′", "10 in", "10 inches"])
def test_inches_are_read_as_phones_type_them(text: str) -> None:
    """Curly, straight and doubled marks and a full stop after the unit all mean inches."""
    assert parse_length_mm(text) == 254.0


@pytest.mark.parametrize("text", ["10 -1/2in", "10 - 1/2in", "10- 1/2in"])
def test_a_stray_minus_is_no_length(text: str) -> None:
    """A minus before the fraction may mean anything, so it is refused; `10-1/2in` is ten and a half."""
    with pytest.raises(SettingsError, match="is not a length"):
        parse_length_mm(text)
    assert parse_length_mm("10-1/2in") == pytest.approx(266.7)


@pytest.mark.parametrize(("option", "value"), [("artwork_turn", "nan"), ("artwork_fit", "-3mm"), ("artwork_at", "x")])
def test_a_mistake_about_artwork_is_told_without_any(option: str, value: str) -> None:
    """With no artwork, what is said of it is read all the same."""
    with pytest.raises(SettingsError) as caught:
        build_sign("Tess", {"artwork": "none", option: value}, catalogue())
    assert caught.value.option == option


def test_marks_without_room_are_told() -> None:
    """A narrow waste names the marks that it has no room for, and the width that has room for all."""
    (told,) = [
        one for one in planned("Tess", waste="1mm", blank="rect:200mmx90mm").findings if one.code == "marks-left-out"
    ]

    assert "ticks" in told.message and "reminder" in told.message and "arrow" in told.message
    assert "6mm" in told.remedy
    assert not [one for one in planned("Tess").findings if one.code == "marks-left-out"]


def test_letters_that_an_override_turns_are_told() -> None:
    """A mark that turns Tess round is a warning with what will be read, and offers the name without it."""
    (told,) = [one for one in planned("\u202eTess").findings if one.code == "turned-letters"]

    assert told.severity == "warn" and "“sseT”" in told.message
    assert dict(told.offers[0].changes)["text"] == "Tess"


def test_a_name_cannot_steer_the_terminal() -> None:
    """Control characters are spelled out in whatever is said; line ends and tabs stay."""
    assert harmless("T\x1b[31mess\n\t\x9b") == "T\\x1b[31mess\n\t\\x9b"


def test_one_remedy_for_several_places_is_said_once() -> None:
    """Three findings with one remedy are three lines, the remedy after the last."""
    told = tuple(found("thin-stroke", f"Place {number}.", remedy="Make it larger.") for number in range(3))
    lines = finding_lines(told)

    assert " ".join(lines).count("Make it larger.") == 1 and lines[-1].endswith("Make it larger.")


@pytest.mark.parametrize("ink", [Colour(59, 35, 20), Colour(200, 30, 30), Colour(0, 0, 0), Colour(250, 240, 90)])
def test_a_clear_background_laid_on_white_by_codes_looks_as_light_would(ink: Colour) -> None:
    """A letter's edge on nothing, mixed over white as ordinary programs mix, is within 2 codes of what light does."""
    cover = np.arange(256, dtype=np.uint8)[None]
    clear = np.zeros((1, 256, 4), np.uint8)
    blend_ink(clear, cover, ink)
    alpha = clear[..., 3:] / 255.0
    laid = clear[..., :3] * alpha + 255.0 * (1 - alpha)
    share = cover[..., None] / 255.0
    wanted = codes_of(1.0 + share * (linear_of(np.array(ink.rgb, np.uint8)) - 1.0))

    assert np.abs(laid - wanted).max() <= 2.0
    assert clear[0, 0, 3] == 0 and clear[0, 255].tolist() == [*ink.rgb, 255]


def test_a_disk_of_plain_names_gets_plain_names(tmp_path: Path) -> None:
    """Where names on the disk can only be ASCII, the files of a name with a cedilla are named without it."""
    environment = {**os.environ, "LC_ALL": "POSIX", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"}
    command = [sys.executable, "-m", "studio", "render", "Ay\u015fe", "--artwork", "none", "-o", "out", "--dpi", "72"]
    done = subprocess.run(command, cwd=tmp_path, env=environment | {"HOME": str(tmp_path)}, capture_output=True)

    assert done.returncode == 0, done.stderr
    assert (tmp_path / "out" / "ayse-print.png").exists()
