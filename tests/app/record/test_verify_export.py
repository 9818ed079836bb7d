"""Whatever is changed in an export is found by its own script, and named."""

import ast
import hashlib
import json
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from app.inspection.canonical import canonical
from app.record import verify_export
from tests.app.record.conftest import fill
from tests.app.record.test_export import exported, the_folder, verified
from tests.app.records_house import open_house
from tests.services.ground import Ground

pytest.importorskip("cryptography")


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An export of a filled house on files, to be copied."""
    home = tmp_path_factory.mktemp("whole")
    house = open_house(Ground(home / "home"))
    fill(house)
    exported(house, home / "out")
    house.archive.close()
    return home / "out"


@pytest.fixture
def out(whole: Path, tmp_path: Path) -> Path:
    shutil.copytree(whole, tmp_path / "out")
    return tmp_path / "out"


def faults(out: Path) -> list[str]:
    return verify_export.check(out).faults


def sum_again(out: Path) -> None:
    """Make the list of hashes fit, as who changes a file on purpose would."""
    lines = []
    for line in (out / "SHA256SUMS").read_text().splitlines():
        name = line.partition("  ")[2]
        lines.append(f"{hashlib.sha256((out / name).read_bytes()).hexdigest()}  {name}\n")
    (out / "SHA256SUMS").write_text("".join(lines))


def change_lines(path: Path, change: Callable[[list[dict[str, Any]]], None]) -> None:
    lines = [json.loads(line) for line in path.read_text().splitlines()]
    change(lines)
    path.write_text("".join(json.dumps(line) + "\n" for line in lines))


def rehash(lines: list[dict[str, Any]]) -> None:
    """Make a chain fit its changed bytes, from the first event to the last."""
    previous = "0" * 64
    for line in lines:
        line["previous"] = previous
        previous = hashlib.sha256(bytes.fromhex(previous) + line["body"].encode()).hexdigest()
        line["hash"] = previous


def test_a_whole_export_has_no_faults(out: Path) -> None:
    assert faults(out) == []


@pytest.mark.parametrize(
    "pattern", ["*/photos/*", "*/annotated/*", "*/index.html", "*/record.json", "*/chain.jsonl"]
)
def test_one_changed_bit_of_any_file_is_found(out: Path, pattern: str) -> None:
    path = sorted((out / "inspections").glob(pattern))[0]
    data = bytearray(path.read_bytes())
    data[len(data) // 2] ^= 1
    path.write_bytes(data)
    name = path.relative_to(out).as_posix()
    assert f"{name}: the file was changed or damaged" in faults(out)


def test_a_file_that_is_gone_and_one_that_came_are_named(out: Path) -> None:
    path = next((out / "inspections").glob("*/photos/*"))
    path.rename(path.with_name("other.jpg"))
    found = "\n".join(faults(out))
    assert f"{path.relative_to(out).as_posix()}: the file is missing" in found
    assert "other.jpg: the file is no part of the export" in found


def test_a_photo_changed_together_with_its_sum_does_not_have_its_name(out: Path) -> None:
    path = next((out / "inspections").glob("*/photos/*"))
    path.write_bytes(path.read_bytes() + b" ")
    sum_again(out)
    (found,) = faults(out)
    assert found.endswith("it is not the photo that its name says")


def test_a_record_changed_together_with_its_sum_is_not_what_the_events_say(out: Path) -> None:
    path = the_folder(out) / "record.json"
    record = json.loads(path.read_text())
    next(iter(record["entries"]["tries"].values()))["result"]["value"] = 88.0
    path.write_text(json.dumps(record))
    sum_again(out)
    (found,) = faults(out)
    assert found.endswith("record.json: its entries are not what the events say")


def test_an_event_that_is_gone_or_moved_is_named(out: Path) -> None:
    path = the_folder(out) / "chain.jsonl"
    change_lines(path, lambda lines: lines.pop(3))
    sum_again(out)
    assert any("event 5: it follows event 3: what was between is gone" in one for one in faults(out))


def test_events_that_changed_places_are_named(out: Path) -> None:
    def swap(lines: list[dict[str, Any]]) -> None:
        lines[3], lines[4] = lines[4] | {"number": 4}, lines[3] | {"number": 5}

    change_lines(the_folder(out) / "chain.jsonl", swap)
    sum_again(out)
    assert any("event 4: it does not follow from the event before it" in one for one in faults(out))


def test_a_chain_hashed_anew_to_its_end_is_found_by_the_archives_chain(out: Path) -> None:
    def change(lines: list[dict[str, Any]]) -> None:
        body = json.loads(lines[2]["body"])
        body["at"] = "2023-01-01T00:00:00.000000+00:00"
        lines[2]["body"] = canonical(body).decode()
        rehash(lines)

    change_lines(the_folder(out) / "chain.jsonl", change)
    sum_again(out)
    assert any("which the archive's chain does not say" in one for one in faults(out))


def test_everything_hashed_anew_is_found_by_the_archives_key(out: Path) -> None:
    def change(lines: list[dict[str, Any]]) -> None:
        for line in lines:
            line["body"] = line["body"].replace("Mechanic", "Mechanik")
            line["hash"] = hashlib.sha256(bytes.fromhex(line["previous"]) + line["body"].encode()).hexdigest()

    change_lines(the_folder(out) / "archive.jsonl", change)
    signatures = the_folder(out) / "signatures.json"
    told = json.loads(signatures.read_text())
    hashes = {
        line["number"]: line["hash"]
        for line in map(json.loads, (the_folder(out) / "archive.jsonl").read_text().splitlines())
    }
    for one in told:
        one["hash"] = hashes[one["number"]]
    signatures.write_text(json.dumps(told))
    sum_again(out)
    assert any("the signature does not belong to this head and key" in one for one in faults(out))


def test_a_signature_hung_on_another_head_is_named(out: Path) -> None:
    path = the_folder(out) / "signatures.json"
    told = json.loads(path.read_text())
    told[0]["signature"], told[1]["signature"] = told[1]["signature"], told[0]["signature"]
    path.write_text(json.dumps(told))
    sum_again(out)
    found = [one for one in faults(out) if "the signature does not belong" in one]
    assert len(found) == 2


def test_a_signature_of_a_person_on_another_record_is_named(out: Path) -> None:
    def change(lines: list[dict[str, Any]]) -> None:
        (line,) = (one for one in lines if json.loads(one["body"])["kind"] == "confirmed")
        body = json.loads(line["body"])
        (row,) = (one for one in body["data"]["rows"] if one["entry"] == "confirmations")
        row["set"]["event_hash"] = lines[0]["hash"]
        line["body"] = canonical(body).decode()

    change_lines(the_folder(out) / "chain.jsonl", change)
    sum_again(out)
    assert any("has no signature of its own" in one for one in faults(out))


def test_signatures_that_are_gone_are_told(out: Path) -> None:
    (the_folder(out) / "signatures.json").write_text("[]")
    sum_again(out)
    found = verify_export.check(out)
    assert found.faults == []
    assert any("has not signed its last head" in one for one in found.remarks)


def test_an_anchor_has_to_be_among_the_heads(out: Path) -> None:
    lines = [json.loads(line) for line in (the_folder(out) / "archive.jsonl").read_text().splitlines()]
    assert verified(out, "--anchor", lines[-1]["hash"]).returncode == 0
    ended = verified(out, "--anchor", "ab" * 32)
    assert ended.returncode == 3
    assert f"anchor {'ab' * 32}: no chain in this export has this head" in ended.stdout


def test_a_folder_that_is_no_export_is_wrong_use(out: Path, tmp_path: Path) -> None:
    ended = verified(out, str(tmp_path))
    assert ended.returncode == 2
    assert "cannot be checked" in ended.stderr


def test_without_the_package_for_signatures_the_script_says_that_they_were_not_checked(out: Path) -> None:
    # Where it is found first, this is all that there is of the package.
    hidden = "import sys; sys.modules['cryptography'] = None; import runpy; sys.argv = sys.argv[1:]; " \
        "runpy.run_path(sys.argv[0], run_name='__main__')"  # fmt: skip
    script = [sys.executable, "-I", "-c", hidden, str(out / "verify.py")]
    ended = subprocess.run(script, capture_output=True, text=True, check=False)
    assert ended.returncode == 0, ended.stderr
    assert "signatures were not checked: the Python package cryptography is not installed" in ended.stdout


def test_the_script_needs_no_newer_python_than_it_says_and_nothing_but_its_library(out: Path) -> None:
    tree = ast.parse((out / "verify.py").read_text(encoding="utf-8"), feature_version=(3, 9))
    imports = [node for node in ast.walk(tree) if isinstance(node, (ast.Import, ast.ImportFrom))]
    names = {alias.name for node in imports if isinstance(node, ast.Import) for alias in node.names}
    names |= {
        str(node.module).split(".", maxsplit=1)[0] for node in imports if isinstance(node, ast.ImportFrom)
    }
    assert names - set(sys.stdlib_module_names) == {"cryptography"}


def test_lines_that_are_no_events_are_a_fault_and_no_traceback(out: Path) -> None:
    (the_folder(out) / "chain.jsonl").write_text("{}\n")
    sum_again(out)
    ended = verified(out)
    assert (ended.returncode, ended.stderr) == (3, "")
    assert "it cannot be read (KeyError" in ended.stdout
