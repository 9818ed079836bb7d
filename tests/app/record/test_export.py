"""What an export holds: the originals byte for byte, the chains as they are, a record that says the same."""

import hashlib
import json
import subprocess
import sys
import zipfile
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from app.archive.exchange import SqlExchange
from app.archive.tables import KINDS
from app.errors import ArchiveError, UsageError
from app.inspection.exchange import PHOTO_FIELDS, Bundle
from app.record.copies import Wishes
from app.record.folder import Exported, export, pack
from tests.app.record.conftest import PIXELS, photo_with_place
from tests.app.records_house import House


def exported(house: House, out: Path, wishes: Wishes | None = None) -> Exported:
    exchange = SqlExchange(house.archive.records)
    ids = [one.inspection_id for one in exchange.listed()]
    return export(exchange, house.archive.photos, ids, out, wishes or Wishes(), "1.2.3")


def the_folder(out: Path) -> Path:
    (only,) = (out / "inspections").iterdir()
    return only


def record_of(out: Path) -> dict[str, Any]:
    return json.loads((the_folder(out) / "record.json").read_text(encoding="utf-8"))


def verified(out: Path, *more: str) -> "subprocess.CompletedProcess[str]":
    """The export's own script, by a Python that sees nothing of this project."""
    script = [sys.executable, "-I", str(out / "verify.py"), *more]
    return subprocess.run(script, capture_output=True, text=True, check=False, cwd="/")


@pytest.fixture
def out(full: House, tmp_path: Path) -> Path:
    done = exported(full, tmp_path / "out")
    assert (done.inspections, done.photos, done.copies, done.left_out) == (1, 4, 0, [])
    return tmp_path / "out"


def test_the_originals_are_in_it_byte_for_byte(out: Path) -> None:
    photos = {path.read_bytes() for path in (the_folder(out) / "photos").iterdir()}
    assert photos == {photo_with_place(1), photo_with_place(2)}
    assert all(
        path.stem == hashlib.sha256(path.read_bytes()).hexdigest()
        for path in (the_folder(out) / "photos").iterdir()
    )


def test_its_own_script_finds_nothing_wrong_and_says_which_key_signed(out: Path, full: House) -> None:
    ended = verified(out)
    assert (ended.returncode, ended.stderr) == (0, "")
    assert "Every file and every chain is as it was given out." in ended.stdout
    assert "signatures hold" in ended.stdout


def test_the_record_keeps_to_its_schema(out: Path) -> None:
    schema = json.loads((out / "record.schema.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(record_of(out), schema, cls=jsonschema.Draft202012Validator)


@pytest.mark.parametrize(
    "break_it",
    [
        lambda record: record.update(version=2),
        lambda record: record["head"].update(hash="00"),
        lambda record: next(iter(record["files"].values())).update(state="lost"),
        lambda record: next(iter(record["files"].values())).update(state="deleted"),
        lambda record: next(iter(record["entries"]["tries"].values())).pop("performer_id"),
        lambda record: next(iter(record["entries"]["tries"].values())).update(begun_at="yesterday"),
    ],
)
def test_the_schema_refuses_what_is_no_such_record(out: Path, break_it: Any) -> None:
    schema = json.loads((out / "record.schema.json").read_text(encoding="utf-8"))
    record = record_of(out)
    break_it(record)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(record, schema, cls=jsonschema.Draft202012Validator)


def test_the_chain_is_in_it_as_it_is_stored(out: Path, full: House) -> None:
    exchange = SqlExchange(full.archive.records)
    bundle: Bundle = exchange.bundle(exchange.listed()[0].inspection_id)
    lines = [json.loads(line) for line in (the_folder(out) / "chain.jsonl").read_text().splitlines()]
    assert [line["body"].encode() for line in lines] == [link.body for link in bundle.events]
    previous = "0" * 64
    for line in lines:
        assert line["previous"] == previous
        previous = hashlib.sha256(bytes.fromhex(previous) + line["body"].encode()).hexdigest()
        assert line["hash"] == previous


def test_only_those_events_of_the_archive_are_in_it_that_concern_the_inspection(
    out: Path, full: House
) -> None:
    lines = [json.loads(line) for line in (the_folder(out) / "archive.jsonl").read_text().splitlines()]
    told = [json.loads(line["body"]) for line in lines]
    entered = {
        row["set"]["name"] for one in told for row in one["data"].get("rows", ()) if row["entry"] == "persons"
    }
    # Nobody who has done nothing is told of.
    assert entered == {"Mechanic", "Inspector"}


def test_a_reading_is_an_annotation_on_the_upright_photo_half_a_pixel_on(out: Path) -> None:
    page = json.loads((the_folder(out) / "annotations.jsonld").read_text(encoding="utf-8"))
    assert (page["@context"], page["type"]) == ("http://www.w3.org/ns/anno.jsonld", "AnnotationPage")
    (x1, y1), (x2, y2) = PIXELS["from_px"], PIXELS["to_px"]
    line = f'<line x1="{x1 + 0.5:.2f}" y1="{y1 + 0.5:.2f}" x2="{x2 + 0.5:.2f}" y2="{y2 + 0.5:.2f}"/>'
    lines = [one for one in page["items"] if line in json.dumps(one).replace('\\"', '"')]
    assert len(lines) == 2
    for one in lines:
        assert one["target"]["selector"]["type"] == "SvgSelector"
        assert (the_folder(out) / one["target"]["source"]).is_file()


def test_the_card_is_an_annotation_with_a_fragment_that_holds_all_its_corners(out: Path) -> None:
    page = json.loads((the_folder(out) / "annotations.jsonld").read_text(encoding="utf-8"))
    boxes = [one["target"]["selector"] for one in page["items"] if one["body"]["value"] == "The scale card"]
    # Pixels 2 to 12 and 3 to 40, each a whole pixel.
    assert {box["value"] for box in boxes} == {"xywh=pixel:2,3,11,38"}
    assert {box["conformsTo"] for box in boxes} == {"http://www.w3.org/TR/media-frags/"}


def test_who_placed_what_and_what_was_wrong_are_annotations_of_that_person(out: Path) -> None:
    page = json.loads((the_folder(out) / "annotations.jsonld").read_text(encoding="utf-8"))
    said = {(one["creator"]["type"], one["creator"]["name"], one["motivation"]) for one in page["items"]}
    assert said == {
        ("Software", "Gearwitness", "describing"),
        ("Person", "Inspector", "describing"),
        ("Person", "Inspector", "assessing"),
    }
    assert all(one["id"].startswith("urn:uuid:") and one["created"].endswith("Z") for one in page["items"])
    assert len({one["id"] for one in page["items"]}) == len(page["items"])


def test_the_page_tells_values_verdicts_people_and_what_is_open(out: Path) -> None:
    page = (the_folder(out) / "index.html").read_text(encoding="utf-8")
    for said in (
        "97.0 mm ± 0.4 mm",
        "▲ Outside limits",
        "○ No value",
        "Signed by",
        "Discrepancies",
        "steel rule 4",
    ):
        assert said in page
    assert "airworthy" not in page


def test_text_that_looks_like_markup_is_shown_as_text(full: House, tmp_path: Path) -> None:
    begun = full.inspections.begin_try(full.mechanic, full.supporting.id, ("<script>alert(1)</script>",))
    full.inspections.photo_arrived(full.mechanic, begun.id, photo_with_place(9), "<b>.jpg")
    exported(full, tmp_path / "out")
    page = (the_folder(tmp_path / "out") / "index.html").read_text(encoding="utf-8")
    assert "<script" not in page
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in page


def test_nothing_is_written_over(out: Path, full: House) -> None:
    with pytest.raises(UsageError, match="is there already"):
        exported(full, out)


def test_an_export_that_fails_leaves_nothing_behind(
    full: House, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("app.record.folder.pages.index", _full_disk)
    with pytest.raises(OSError, match="full"):
        exported(full, tmp_path / "out")
    assert not [path for path in tmp_path.iterdir() if "out" in path.name]


def _full_disk(*_: object) -> bytes:
    raise OSError("full")


def test_an_inspection_whose_photo_is_damaged_is_left_out_and_told(
    full: House, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def damaged(sha: str) -> bytes:
        msg = f"The photo's file {sha[:2]} was changed or damaged"
        raise ArchiveError(msg)

    monkeypatch.setattr(full.archive.photos, "get", damaged)
    done = exported(full, tmp_path / "out")
    assert done.inspections == 0
    ((_, why),) = done.left_out
    assert "changed or damaged" in why
    assert not list((tmp_path / "out").glob("inspections/*"))


def test_packed_it_is_the_same(out: Path, tmp_path: Path) -> None:
    pack(out, tmp_path / "out.zip")
    with zipfile.ZipFile(tmp_path / "out.zip") as packed:
        packed.extractall(tmp_path / "unpacked")
    assert verified(tmp_path / "unpacked" / "out").returncode == 0


def test_every_column_that_names_a_file_is_one_that_an_export_looks_into() -> None:
    named = {column.name for table in KINDS.values() for column in table.columns if column.info.get("file")}
    assert named == set(PHOTO_FIELDS)
