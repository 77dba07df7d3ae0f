"""The arrows between the rooms, held as data: what may import what, and who may touch the world outside."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

STUDIO = Path(__file__).parent.parent / "studio"
DEVELOPERS = Path(__file__).parent.parent / "DEVELOPERS.md"

MAY_IMPORT: dict[str, set[str]] = {
    "basics": set(),
    "stroke": set(),
    "terminal": set(),
    "geometry": set(),
    "orders": {"basics"},
    "model": {"basics", "geometry"},
    "text": {"basics", "geometry", "stroke"},
    "proofreading": {"text"},
    "layout": {"basics", "geometry", "model", "text"},
    "checks": {"basics", "geometry", "model", "stroke", "text", "layout"},
    "render": {"basics", "geometry", "model", "layout"},
    "composing": {"basics", "geometry", "model", "text", "layout", "checks"},
    "sheets": {"basics", "geometry", "model", "text", "render"},
    "strip": {"basics", "geometry", "model", "render"},
    "storage": {"basics", "model", "text"},
    "pipeline": {"model", "text", "proofreading", "layout", "checks", "composing", "render", "__version__"},
    "production": {
        "basics", "geometry", "model", "orders", "pipeline", "render", "sheets", "storage", "strip", "text"
    },
    "cli": {
        "basics", "model", "orders", "pipeline", "production", "render", "sheets", "storage", "strip", "terminal",
        "tui", "__version__",
    },
    "tui": {
        "basics", "layout", "model", "orders", "pipeline", "production", "render", "sheets", "storage", "terminal"
    },
    "__main__": {"cli"},
    "__init__": set(),
}  # fmt: skip
"""Room -> the rooms it imports, and no others. `cli` reaches `tui` in one place only, see below."""
MOST_ARROWS = 95
"""Arrows between folders, those of `demo` and `fonts` included."""
HELPERS = ("demo", "fonts")
"""Folders beside the package whose scripts draw on it."""

WORLD = {"os", "pathlib", "time", "random", "datetime", "subprocess", "tempfile", "shutil", "socket", "secrets"}
"""Modules that touch the world outside: not for the pipeline and what lies below it."""
OUTER_ROOMS = {"storage", "orders", "production", "terminal", "cli", "tui", "__main__"}


def _modules() -> list[Path]:
    return sorted(STUDIO.rglob("*.py"))


def _room(path: Path) -> str:
    return path.relative_to(STUDIO).with_suffix("").parts[0]


def _imported(path: Path) -> set[str]:
    """Return the dotted names that a module imports."""
    names: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module:
            names.add(node.module)
            if node.module == "studio":
                names.update(f"studio.{alias.name}" for alias in node.names)
        elif isinstance(node, ast.Import):
            names.update(alias.name for alias in node.names)
    return names


def _rooms_imported(path: Path) -> set[str]:
    named = {name.split(".")[1] for name in _imported(path) if name.startswith("studio.")}
    return named - {_room(path), "__version__"}


@pytest.mark.parametrize("path", _modules(), ids=lambda path: str(path.relative_to(STUDIO)))
def test_imports_point_down(path: Path) -> None:
    """A module imports only from rooms that its own room may know."""
    allowed = MAY_IMPORT[_room(path)]

    assert _rooms_imported(path) - allowed == set()


@pytest.mark.parametrize("path", _modules(), ids=lambda path: str(path.relative_to(STUDIO)))
def test_the_pipeline_touches_nothing_outside(path: Path) -> None:
    """From the pipeline downwards no module opens a file, prints, or reads a clock or a random number."""
    if _room(path) in OUTER_ROOMS:
        return
    tree = ast.parse(path.read_text(encoding="utf-8"))
    calls = {node.func.id for node in ast.walk(tree) if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)}

    assert {name.split(".")[0] for name in _imported(path)} & WORLD == set()
    assert calls & {"open", "print", "input"} == set()


def test_only_the_studio_loads_textual() -> None:
    """Textual is imported in the tui room and nowhere else."""
    users = {_room(path) for path in _modules() if any(name.split(".")[0] == "textual" for name in _imported(path))}

    assert users <= {"tui"}


def test_the_command_line_reaches_the_studio_in_one_place() -> None:
    """One module of the cli room opens the studio, inside a function; the tui room never imports the cli."""
    doors = {path.name for path in _modules() if _room(path) == "cli" and "tui" in _rooms_imported(path)}
    at_import = {
        path.name
        for path in _modules()
        if _room(path) == "cli"
        for node in ast.parse(path.read_text(encoding="utf-8")).body
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("studio.tui")
    }

    assert len(doors) <= 1
    assert at_import == set()


def _circles(arrows: dict[str, set[str]]) -> list[set[str]]:
    """Return the sets of names that reach one another along the arrows."""
    reach = {name: set(targets) for name, targets in arrows.items()}
    for through in arrows:
        for targets in reach.values():
            if through in targets:
                targets |= reach[through]
    on_one = {name for name, targets in reach.items() if name in targets}
    return [{other for other in on_one if other in reach[name] and name in reach[other]} for name in sorted(on_one)]


def _name(path: Path) -> str:
    parts = path.relative_to(STUDIO.parent).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def test_no_modules_import_one_another_in_a_circle() -> None:
    """No module reaches itself along imports, those inside functions and for type checking included."""
    modules = {_name(path): path for path in _modules()}
    arrows = {name: (_imported(path) & set(modules)) - {name, "studio"} for name, path in modules.items()}

    assert _circles(arrows) == []


def test_a_circle_is_seen() -> None:
    """The search for circles finds one of three modules and leaves out what only leads to it."""
    arrows = {"a": {"b"}, "b": {"c"}, "c": {"a"}, "d": {"a"}, "e": set()}

    assert _circles(arrows) == [{"a", "b", "c"}] * 3


def test_every_module_stands_in_the_map() -> None:
    """The module map in DEVELOPERS.md names every module there is, and none that is gone."""
    text = DEVELOPERS.read_text(encoding="utf-8")
    section = text.split("## The module map")[1].split("\n## ")[0]
    mapped = {line.split("`")[1] for line in section.splitlines() if line.startswith("| `")}
    modules = {str(path.relative_to(STUDIO)) for path in _modules() if path.name != "__init__.py"}

    assert mapped == modules


def test_no_arrow_is_allowed_for_nothing() -> None:
    """Every arrow that the data allows is there, so that one which falls away must be struck from it too."""
    drawn: dict[str, set[str]] = {room: set() for room in MAY_IMPORT}
    for path in _modules():
        drawn[_room(path)] |= _rooms_imported(path)

    assert {room: targets - {"__version__"} for room, targets in MAY_IMPORT.items()} == drawn


def test_the_house_has_few_arrows() -> None:
    """At most 95 arrows run between the folders of the package and from the scripts beside it."""
    beside = {
        (folder, name.split(".")[1])
        for folder in HELPERS
        for path in (STUDIO.parent / folder).glob("*.py")
        for name in _imported(path)
        if name.startswith("studio.")
    }
    within = {(room, target) for room, targets in MAY_IMPORT.items() for target in targets - {"__version__"}}

    assert len(beside) + len(within) <= MOST_ARROWS == 95


def test_the_arrows_can_fail() -> None:
    """The rule of the arrows is able to fail: the render room importing the tui would break it."""
    assert {"tui"} - MAY_IMPORT["render"] == {"tui"}
    assert set(MAY_IMPORT) >= {_room(path) for path in _modules()}


def test_no_module_is_two_ideas_long() -> None:
    """No module of the program is over 400 lines."""
    long = {path.name: count for path in _modules() if (count := len(path.read_text().splitlines())) > 400}

    assert long == {}
