"""The command that calibrates a camera: its file, its words, and when it writes nothing."""

import dataclasses
import datetime
import json
from pathlib import Path

import cv2
import pytest

from tests.app.cli_files import Ended, cli, photo_file
from tests.vision.scale.card_photos import CardScene, photo_of_card
from vision import notes
from vision.camera_file import CameraFile, load_camera
from vision.card import supplied_card
from vision.results import Refusal

CAMERA = CameraFile(
    "Maker", "Phone 9", 4032, 3024, 3010.4, 9.2, 2018.3, 1509.9, 0.0312, 0.0011, None, datetime.date(2026, 3, 9), 0.141
)  # fmt: skip
REFUSAL = Refusal(
    "calibration", notes.VIEWS_TOO_ALIKE, "tilts of 2° to 4°: the focal length is known to 8.2% only"
)


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    for k in range(1, 4):
        photo_file(tmp_path, f"{k}.jpg")
    return tmp_path


class Answer:
    """A calibration that answers what it is told and remembers what it was asked."""

    def __init__(self, result: CameraFile | Refusal) -> None:
        self.result = result
        self.asked: dict[str, object] = {}
        self.photos = 0

    def __call__(self, photos: object, cards: object, **known: object) -> CameraFile | Refusal:
        self.photos = len(list(photos))  # type: ignore[call-overload]
        self.asked = {"cards": cards, **known}
        return self.result


@pytest.fixture
def answer(monkeypatch: pytest.MonkeyPatch) -> Answer:
    made = Answer(CAMERA)
    monkeypatch.setattr("app.commands.calibrate.calibrate", made)
    return made


def run(*options: object) -> Ended:
    return cli("calibrate", "1.jpg", "2.jpg", "3.jpg", "--out", "CAMERA.json", *options)


def test_the_file_is_written_and_what_it_says_is_told(answer: Answer, folder: Path) -> None:
    ended = run("--check-bar", "139.8", "100.1", "--check-bar-u", "0.2")
    assert (ended.status, ended.err) == (0, "")
    assert load_camera(folder / "CAMERA.json") == CAMERA
    assert answer.photos == 3
    assert (answer.asked["check_bar_mm"], answer.asked["check_bar_u_mm"]) == ((139.8, 100.1), 0.2)
    for words in (
        "Maker Phone 9, 4032 × 3024 px, 2026-03-09", "focal length 3010 ± 18 px", "k1 0.0312 ± 0.0022",
        "left on average 0.14 px", "Written to CAMERA.json",
    ):  # fmt: skip
        assert words in ended.out


def test_bars_not_given_are_not_known(answer: Answer, folder: Path) -> None:
    assert run().status == 0
    assert answer.asked["check_bar_mm"] is None


def test_json_is_the_file_itself(answer: Answer, folder: Path) -> None:
    ended = run("--json")
    assert json.loads(ended.out) == json.loads((folder / "CAMERA.json").read_text(encoding="utf-8"))
    assert json.loads(ended.out)["f_px"] == 3010.4


@pytest.mark.parametrize("options", [(), ("--json",)])
def test_a_refusal_writes_nothing_and_names_one_thing_to_do(
    answer: Answer, folder: Path, options: tuple[str, ...]
) -> None:
    answer.result = REFUSAL
    ended = run(*options)
    assert (ended.status, ended.err) == (3, "")
    assert not (folder / "CAMERA.json").exists()
    told = json.loads(ended.out) if options else ended.out
    words = (told["reason"], told["advice"], told["status"]) if options else (told, told, told)
    assert "too much alike to tell the camera. (tilts of 2° to 4°" in words[0]
    assert "tilted by 20 to 30 degrees" in words[1]
    assert "refused" in words[2]


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("1.jpg", "--out", "camera.txt"), "camera.txt: the file is JSON: give a name that ends in .json"),
        (("1.jpg", "--out", "none/c.json"), "the folder none does not exist"),
        (("1.jpg", "--out", "there.json"), "there.json is there already and is not written over"),
        (
            ("1.jpg", "2.jpg", "./1.jpg", "--out", "c.json"),
            "1.jpg is given twice (as 1.jpg): give each photo once",
        ),
        (("1.jpg", "--out", "c.json", "--check-bar-u", "0.2"), "--check-bar-u is the doubt of --check-bar"),
        (("1.jpg", "--out", "c.json", "--check-bar", "5.5", "3.9"), "belongs to none of the cards"),
        (("1.jpg", "--out", "c.json", "--plumb-photo", "2.jpg"), "--plumb-photo and --plumb belong together"),
        (("9.jpg", "--out", "c.json"), "9.jpg: the photo cannot be read"),
        (("1.jpg",), "--out"),
    ],
)
def test_wrong_use_is_a_sentence_and_writes_nothing(
    folder: Path, arguments: tuple[str, ...], words: str
) -> None:
    (folder / "there.json").write_text("{}", encoding="utf-8")
    before = sorted(path.name for path in folder.iterdir())
    ended = cli("calibrate", *arguments)
    assert (ended.status, ended.out) == (2, "")
    assert words in ended.err
    assert sorted(path.name for path in folder.iterdir()) == before
    assert (folder / "there.json").read_text(encoding="utf-8") == "{}"


def test_photos_without_a_card_are_refused_by_the_real_calibration(folder: Path) -> None:
    ended = run()
    assert ended.status == 3
    assert "0 of 3 can be used, 5 are needed; photo 1: No scale card was found" in ended.out


def test_rendered_photos_calibrate_their_camera(tmp_path: Path) -> None:
    paths = []
    for k, (a, b) in enumerate(((0.45, 0.0), (-0.45, 0.1), (0.0, 0.45), (0.1, -0.45), (0.3, 0.35))):
        scene = CardScene(rotation=(a, b, 0.6 * k), middle_mm=(5.0, -5.0, 420.0))
        path = tmp_path / f"{k}.png"
        cv2.imwrite(str(path), photo_of_card(supplied_card("plate"), scene, seed=k).pixels[:, :, ::-1])
        paths.append(path)
    ended = cli("calibrate", *paths, "--out", tmp_path / "CAMERA.json", "--check-bar", 140, 100)
    assert (ended.status, ended.err) == (0, "")
    found = load_camera(tmp_path / "CAMERA.json")
    assert abs(found.f_px - 1600.0) < 1.96 * found.f_u_px
    assert found.date == datetime.datetime.now().astimezone().date()


def test_a_plumb_photo_without_gravity_in_its_file_writes_nothing(answer: Answer, folder: Path) -> None:
    answer.result = dataclasses.replace(CAMERA, make="", model="", width_px=64, height_px=48)
    ended = run("--plumb-photo", "1.jpg", "--plumb", "10,5", "11,40")
    assert (ended.status, ended.err) == (3, "")
    assert "does not tell which way is down" in ended.out
    assert not (folder / "CAMERA.json").exists()


def test_a_plumb_photo_held_another_way_than_the_calibration_is_no_use(answer: Answer, folder: Path) -> None:
    answer.result = dataclasses.replace(CAMERA, make="", model="", width_px=48, height_px=64)
    ended = run("--plumb-photo", "1.jpg", "--plumb", "10,5", "11,40")
    assert ended.status == 2
    assert "held another way than the calibration's photos" in ended.err
    assert not (folder / "CAMERA.json").exists()
