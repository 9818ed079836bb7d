"""Markup of places on hoses: full size on every screen, and stretches in words."""

from app.screens.parts.search_pictures import place_html, row_html, stretches


def test_a_place_is_given_in_the_screens_own_pixels_in_the_photo_and_on_the_straight_hose() -> None:
    markup = place_html("abc", "flag-1", lines=False, words="place 1")
    assert markup.count("/hoses/abc/photo/flag-1?lines=0 2x") == 1
    assert markup.count("/hoses/abc/straight/flag-1?lines=0 3x") == 1
    assert "lines=1" not in markup


def test_where_no_hose_is_known_none_is_laid_straight() -> None:
    assert "straight" not in place_html("abc", "mark-1", lines=True, words="place 1", straight=False)


def test_a_persons_words_are_no_markup() -> None:
    assert "<b>x" not in row_html("abc", "flag-1", head="<b>x", what="<b>x", beside="<b>x")


def test_stretches_are_told_in_mm_by_the_hoses_own_width_else_in_shares() -> None:
    hose = {
        "centre_line_px": [[0, 0], [300, 0], [300, 100]],
        "width_px": 40.0,
        "not_searched": [[0.0, 0.25], [0.5, 1.0]],
    }
    assert stretches(hose | {"diameter_mm": 20.0}) == ("a: 0 mm to 50 mm", "b: 100 mm to 200 mm")
    assert stretches(hose | {"diameter_mm": None})[1] == "b: 50 % to 100 % of the length"
