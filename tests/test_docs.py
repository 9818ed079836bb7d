"""What the documents name exists, and what exists is named in them."""

import importlib.util
import re
import shlex
from fnmatch import fnmatch
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
BOTH = {"README.md": README, "DEVELOPERS.md": DEVELOPERS}
TOP_LEVEL = {"README.md", "DEVELOPERS.md", "pyproject.toml", "vision", "app", "tests", "demo_images"}
PLACE = re.compile(r"^(?:vision|app|tests|demo_images|\.ci)(?:/[\w.]+)*$")


def quoted(text: str) -> list[str]:
    return re.findall(r"`([^`\n]+)`", text)


def blocks(text: str) -> list[str]:
    found = re.findall(r"^```\n(.*?)^```$", text, re.MULTILINE | re.DOTALL)
    return [line for block in found for line in block.splitlines()]


@pytest.mark.parametrize("document", BOTH)
def test_every_place_named_is_there(document: str) -> None:
    places = [word for word in quoted(BOTH[document]) if PLACE.match(word)]
    assert places
    assert [place for place in places if not (ROOT / place).exists()] == []


@pytest.mark.parametrize("document", BOTH)
def test_every_link_leads_somewhere(document: str) -> None:
    targets = re.findall(r"\]\(([^)]+)\)", BOTH[document])
    headings = {re.sub(r"[^\w -]", "", h).lower().replace(" ", "-") for h in heads(BOTH[document])}
    broken = [t for t in targets if not (t[1:] in headings if t.startswith("#") else (ROOT / t).is_file())]
    assert targets
    assert broken == []


def heads(text: str) -> list[str]:
    return re.findall(r"^#+ (.+)$", text, re.MULTILINE)


def test_every_module_that_is_run_by_name_is_there() -> None:
    modules = set(re.findall(r"python -m ([\w.]+)", DEVELOPERS)) - {"pip", "pytest"}
    assert modules
    for module in modules:
        assert importlib.util.find_spec(module) is not None, module


@pytest.mark.parametrize("package", ["vision", "app"])
def test_every_room_is_named_for_contributors(package: str) -> None:
    found = [path for path in (ROOT / package).iterdir() if path.stem != "__init__"]
    rooms = [path for path in found if path.suffix == ".py" or (path / "__init__.py").exists()]
    assert rooms
    # A room counts as named, too, where one of its files is.
    unnamed = [r.name for r in rooms if not re.search(rf"`{package}/{re.escape(r.name)}[`/]", DEVELOPERS)]
    assert unnamed == []


def test_the_first_two_commands_are_one_line_each_through_the_start_script() -> None:
    first, second = blocks(README)[:2]
    assert first == "python3 app/start.py demo"
    assert second == "python3 app/start.py test"


def test_every_command_shown_to_users_is_understood() -> None:
    from app.cli import _parser  # noqa: PLC0415 - the command line's own words

    shown = [shlex.split(line)[2:] for line in blocks(README) if line.startswith("python3 app/start.py")]
    asked = [words for words in shown if words != ["test"]]
    assert len(asked) >= 3
    for words in asked:
        _parser().parse_args(words)  # a wrong word would end the process


def test_the_files_at_the_top_are_the_agreed_ones() -> None:
    ignored = [line.strip("/") for line in (ROOT / ".gitignore").read_text(encoding="utf-8").split()]
    names = {path.name for path in ROOT.iterdir() if not path.name.startswith(".")}
    made = {name for name in names if any(fnmatch(name, pattern) for pattern in ignored)}
    assert names - made == TOP_LEVEL


@pytest.mark.parametrize("document", BOTH)
def test_documents_leave_no_gap(document: str) -> None:
    assert not re.search(r"\b(TODO|TBD|FIXME|XXX|lorem)\b", BOTH[document], re.IGNORECASE)
    assert "airworthy" not in BOTH[document].lower()
