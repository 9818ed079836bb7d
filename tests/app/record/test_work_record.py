"""The work record as PDF/A: what stands on its pages, what lies inside, what ISO 19005-3 asks for.

There is no validator for PDF/A among the packages, so what can be seen in the file is checked here:
fpdf2 refuses the rest while it writes (`enforce_compliance`).
"""

import json
import re
import zlib
from pathlib import Path

import pypdfium2
import pytest

from app.archive.exchange import SqlExchange
from app.inspection import SystemClock
from app.inspection.rounds.given import Break, Wires
from app.record.pdf_words import reading
from app.record.work import work_record
from tests.app.cli_files import cli
from tests.app.record.conftest import photographed
from tests.app.records_house import WITHIN, House, open_house
from tests.app.rounds_house import FAULT, GOOD, RoundHouse, counted, open_round, programme
from tests.services.ground import Ground


@pytest.fixture
def visit(house: House) -> RoundHouse:
    """A fault that was acted on, an answer that was corrected, a gauge, a photo."""
    opened = open_round(house, programme("hoses", "pressure", strut=True))
    opened.answer("hoses", FAULT)
    (case,) = opened.use.cases(opened.visit.id)
    opened.act(case.discrepancy.id)
    opened.answer("pressure", opened.pressed(50.0, opened.gauge()))
    photographed(house, WITHIN, 1)
    return opened


def paper_of(opened: RoundHouse) -> bytes:
    archive = opened.house.archive
    record = opened.use.record(opened.visit.id, opened.mechanic)
    return work_record(record, SqlExchange(archive.records), archive.photos, "1.2", SystemClock().now())


def words_of(data: bytes) -> str:
    document = pypdfium2.PdfDocument(data)
    pages = [document[number].get_textpage().get_text_bounded() for number in range(len(document))]
    document.close()
    return " ".join(" ".join(pages).split())


def inside(data: bytes) -> list[bytes]:
    """Every stream of the file, unpacked where it is packed."""
    found = []
    for raw in re.findall(rb"stream\r?\n(.*?)\r?\nendstream", data, re.DOTALL):
        try:
            found.append(zlib.decompress(raw))
        except zlib.error:
            found.append(raw)
    return found


def test_the_pages_tell_what_was_found_by_whom_and_what_was_done(visit: RoundHouse) -> None:
    said = words_of(paper_of(visit))
    for words in (
        "Work record: landing gear of ZZ-GWT",
        "It does not return the aircraft to service",
        "Not signed off",
        "Small programme, tests",
        "rubbed through to the braid",
        "Repaired: mended. By manual 32-10 rev 3. Mechanic",
        "345 kPa ± 4 kPa; read 50 psi; limits 310.264 kPa to 379.212 kPa; within limits",
        "G-pressure-2025-01-01, due 2025-01-01",
        "88.9 mm ± 0.4 mm (3.500 in ± 0.016 in)",
        "Photo 1 of 1",
        "Photo readings of this leg stand by themselves",
        "not inspected",
        "Load and fuel are within the range: within the range, 120 l.",
        "List for the owner of ZZ-GWT",
        "not deferred",
    ):
        assert words in said, words
    assert "airworthy" not in said.lower()


def test_counts_stand_on_the_pages_with_what_is_allowed(house: House) -> None:
    opened = open_round(house, programme("bolts", "wires"))
    opened.answer("bolts", counted(5))
    broken = Wires(
        (Break(100.0), Break(105.0), Break(400.0, critical=True)), False, 6, 1, "manual 27-10 rev 2"
    )
    opened.answer("wires", broken)
    (case,) = (one for one in opened.use.cases(opened.visit.id) if "olts" in one.discrepancy.text)
    opened.act(case.discrepancy.id)
    said = words_of(paper_of(opened))
    assert "counted 5, at least 6; outside limits; manual 32-40 rev 1" in said
    assert "3 broken wires, 2 in the worst inch, 1 in critical areas (manual 27-10 rev 2)" in said


def test_a_limit_on_one_side_says_which_side(visit: RoundHouse) -> None:
    record = visit.use.record(visit.visit.id, visit.mechanic)
    told = next(
        answer["reading"]
        for leg in record["legs"] for item in leg["items"] for answer in item.get("answers", ())
        if answer["reading"]
    )  # fmt: skip
    assert "limits at least 310.264 kPa" in reading(told | {"upper": None})
    assert "limits at most 379.212 kPa" in reading(told | {"lower": None})


def test_every_page_names_the_visit_and_the_head_of_its_chain(visit: RoundHouse) -> None:
    data = paper_of(visit)
    head = SqlExchange(visit.house.archive.records).bundle(visit.visit.id).events[-1]
    document = pypdfium2.PdfDocument(data)
    count = len(document)
    for number in range(count):
        said = " ".join(document[number].get_textpage().get_text_bounded().split())
        assert f"entry {head.number}, {head.hash[:16]}" in said
        assert f"page {number + 1} of {count}" in said
        assert f"ZZ-GWT · visit of {visit.visit.opened_at:%Y-%m-%d} · {visit.visit.id[:8]}" in said
    document.close()


def test_what_was_corrected_stays_beside_what_superseded_it(visit: RoundHouse) -> None:
    item = visit.item("hoses", visit.house.supporting.id)
    first = visit.use.answer(visit.mechanic, item.id, GOOD)
    visit.use.answer(visit.mechanic, item.id, FAULT, corrects=first.id, reason="looked again in better light")
    said = words_of(paper_of(visit))
    assert "(superseded) Good" in said
    assert "Corrects an earlier answer: looked again in better light" in said


def test_the_record_lies_inside_as_json(visit: RoundHouse) -> None:
    record = visit.use.record(visit.visit.id, visit.mechanic)
    told = json.dumps(record, ensure_ascii=False, indent=1, sort_keys=True).encode()
    assert told in inside(paper_of(visit))


def test_the_file_has_what_a_pdf_for_keeping_needs(visit: RoundHouse) -> None:
    # ISO 19005-3 (from memory): 6.6.4 identification in XMP, 6.2.3 output intent, 6.8 associated files
    # with their relationship, 6.2.11.4 all fonts embedded, 6.1.3 an ID in the trailer; no encryption, no scripts.
    data = paper_of(visit)
    xmp = next(one for one in inside(data) if b"<x:xmpmeta" in one or b"pdfaid" in one)
    assert re.search(rb"pdfaid:part[>=\"' ]*3", xmp)
    assert re.search(rb"pdfaid:conformance[>=\"' ]*U", xmp)
    for wanted in (
        b"/OutputIntents",
        b"/GTS_PDFA1",
        b"/AFRelationship /Source",
        b"/AF ",
        b"/ID ",
        b"/FontFile2",
    ):
        assert wanted in data, wanted
    for unwanted in (b"/Encrypt", b"/JavaScript", b"/JS ", b"/Launch", b"/Type1"):
        assert unwanted not in data, unwanted


def test_the_command_writes_it_and_overwrites_nothing(tmp_path: Path) -> None:
    house, out = open_house(Ground(tmp_path / "home")), tmp_path / "record.pdf"
    opened = open_round(house, programme("hoses"))
    opened.answer("hoses", FAULT)
    house.archive.close()
    ended = cli("archive", "record", opened.visit.id[:10], "--home", house.home, "--out", out)
    assert (ended.status, "not signed off: as it stands now" in ended.out) == (0, True), ended.err
    assert out.read_bytes().startswith(b"%PDF-1.7")
    again = cli("archive", "record", opened.visit.id[:10], "--home", house.home, "--out", out)
    assert (again.status, "is there already" in again.err) == (2, True)


def test_of_an_open_visit_the_pages_name_what_the_reader_may_yet_have_to_find(visit: RoundHouse) -> None:
    archive = visit.house.archive
    record = visit.use.record(visit.visit.id, visit.inspector)
    data = work_record(record, SqlExchange(archive.records), archive.photos, "1.2", SystemClock().now())
    said = words_of(data)
    assert said.count("Withheld: told after the second look.") == 2  # the gauge, and the strut's photo
    assert "50 psi" not in said
