"""Who may import whom, read from the sources and from what a fresh process loads.

lint-imports checks the same list; each finds planted mistakes that the other misses
(a name imported from a package, a module loaded on the side).
"""

import ast
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
PIXELS = {"cv2", "numpy", "scipy", "skimage", "PIL", "pi_heif", "pillow_heif"}
SCREENS = {"streamlit", "starlette", "uvicorn"}
DATABASES = {"sqlalchemy", "alembic", "sqlite3", "psycopg"}
# Whose rooms may import them; app.commands starts the server.
OWNERS = {
    "streamlit": {"screens", "asgi", "commands"},
    "starlette": {"serving", "asgi"},
    "uvicorn": {"serving", "asgi"},
    **{name: {"archive"} for name in DATABASES},
}
LOAD_ALL = """
import importlib, json, pkgutil, sys, vision
for module in pkgutil.walk_packages(vision.__path__, "vision."):
    importlib.import_module(module.name)
print(json.dumps(sorted(sys.modules)))
"""


def rooms_by_height(package: str) -> dict[str, int]:
    """The rooms of a package as pyproject.toml orders them: the higher the number, the higher the room."""
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    contracts = settings["tool"]["importlinter"]["contracts"]
    (lines,) = (c["layers"] for c in contracts if c["type"] == "layers" and c.get("containers") == [package])
    return {room.strip(): -row for row, line in enumerate(lines) for room in line.split("|")}


def module_name(path: Path) -> str:
    parts = path.relative_to(ROOT).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def imports_of(path: Path) -> Iterator[str]:
    """Every name that a file imports, wherever in the file: modules, and names out of packages."""
    package = path.relative_to(ROOT).parent.parts
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            start = ".".join(package[: len(package) - node.level + 1]) if node.level else ""
            base = ".".join(filter(None, [start, node.module]))
            yield from (f"{base}.{alias.name}" for alias in node.names)


def sources(package: str) -> list[Path]:
    found = sorted((ROOT / package).rglob("*.py"))
    assert found
    return found


def imports(package: str) -> list[tuple[str, str]]:
    return [(module_name(path), name) for path in sources(package) for name in imports_of(path)]


@pytest.mark.parametrize("package", ["vision", "app"])
def test_every_room_has_its_place_in_the_order(package: str) -> None:
    there = {module_name(path).split(".")[1] for path in sources(package) if module_name(path) != package}
    assert there == set(rooms_by_height(package))


@pytest.mark.parametrize("package", ["vision", "app"])
def test_rooms_use_only_rooms_below(package: str) -> None:
    height = rooms_by_height(package)
    wrong = []
    for module, name in imports(package):
        if not (name.startswith(f"{package}.") and "." in module):
            continue
        here, there = module.split(".")[1], name.split(".")[1]
        if here != there and height[there] >= height[here]:
            wrong.append(f"{module} imports {name}")
    assert wrong == []


def test_vision_knows_no_application_no_screens_and_no_databases() -> None:
    banned = {"app"} | SCREENS | DATABASES
    assert [pair for pair in imports("vision") if pair[1].split(".")[0] in banned] == []


def test_app_knows_no_pixels() -> None:
    assert [pair for pair in imports("app") if pair[1].split(".")[0] in PIXELS] == []


def test_screens_routes_and_databases_stay_in_their_rooms() -> None:
    wrong = [
        f"{module} imports {name}"
        for module, name in imports("app")
        if module.split(".")[1] not in OWNERS.get(name.split(".")[0], {module.split(".")[1]})
    ]
    assert wrong == []


def test_the_rules_of_the_work_load_without_screens_and_databases() -> None:
    command = "import sys, app.inspection, app.people, app.settings; print(*sorted(sys.modules))"
    done = subprocess.run(
        [sys.executable, "-c", command], capture_output=True, text=True, check=True, cwd=ROOT
    )
    loaded = {name.split(".")[0] for name in done.stdout.split()}
    assert "app" in loaded
    assert loaded & (SCREENS | {"sqlalchemy", "alembic", "psycopg", "cv2", "PIL"}) == set()


def test_all_of_vision_loads_without_screens_databases_or_the_application() -> None:
    done = subprocess.run(
        [sys.executable, "-c", LOAD_ALL], capture_output=True, text=True, check=True, cwd=ROOT
    )
    loaded = {name.split(".")[0] for name in done.stdout.strip().strip("[]").replace('"', "").split(", ")}
    assert "vision" in loaded
    assert loaded & ({"app"} | SCREENS | {"sqlalchemy", "psycopg"}) == set()


def test_the_set_up_needs_nothing_that_has_to_be_installed() -> None:
    names = {name.split(".")[0] for name in imports_of(ROOT / "app" / "start.py")}
    assert names <= sys.stdlib_module_names
