"""On photographs that packages carry nothing is claimed that was not seen."""

import pytest

from tests.accuracy.real import HOSES, SURFACES, Case, folder_of, photo_of, searched
from vision.hose import Searched
from vision.photo import Photo
from vision.results import Refusal
from vision.surface import Searched as SurfaceSearched


def case(name: str) -> tuple[Case, Photo]:
    found = next(one for one in (*HOSES, *SURFACES) if one.name == name)
    folder = folder_of(found.package)
    if folder is None or not (folder / found.file).exists():
        pytest.skip(f"{found.file} is not in this installation: install the wheel of scikit-image")
    return found, photo_of(found, folder)


@pytest.mark.parametrize("name", ["brake hose, 5 px", "fork tube, 12 px"])
def test_a_real_hose_of_a_few_pixels_is_refused(name: str) -> None:
    found = searched(*case(name))
    assert isinstance(found, Refusal) and found.remedy.code == "hose-too-small"


def test_what_looks_like_a_hose_in_a_garage_does_not_count_as_searched() -> None:
    found = searched(*case("motorcycle, nothing shown"))
    assert isinstance(found, Searched)
    assert not any(hose.coverage.seen.any() for hose in found.hoses)
    assert "hose-not-named" in [note.code for note in found.notes]


@pytest.mark.parametrize("name", ["door", "carton", "tank's red paint"])
def test_a_sound_surface_of_a_real_photo_is_searched_without_a_flag(name: str) -> None:
    found = searched(*case(name))
    assert isinstance(found, SurfaceSearched)
    assert not found.flags and found.coverage.share > 0.5
