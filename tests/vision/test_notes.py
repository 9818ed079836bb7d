"""The registry of sentences: codes are stored for years, so renaming or dropping one fails here.

A new code is added to the list; no code ever leaves it or gets another meaning.
"""

import re
from dataclasses import fields

import pytest

from vision import notes
from vision.notes import NOTES, REMEDIES, Note, Remedy

NOTE_CODES = {
    "hose-card-elsewhere",
    "hose-card-scale",
    "hose-many-places",
    "hose-no-scale",
    "hose-not-named",
    "hose-one-side",
    "surface-card-scale",
    "surface-chrome",
    "surface-no-scale",
    "surface-one-view",
    "surface-sharp-unknown",
    "band-partly-hidden",
    "card-copy-unread",
    "card-glare",
    "card-unmeasured",
    "extension-only",
    "few-pixels",
    "focal-not-calibrated",
    "focal-unknown",
    "gauge-not-replaced",
    "level-of-the-other-kind",
    "limbs-faint",
    "no-pressure",
    "pressure-doubt-assumed",
    "pressure-outside-chart",
    "resting-state",
    "rim-partly-hidden",
    "section-width-assumed",
    "section-width-contradicted",
    "slip-mark-remnant",
    "soft",
    "stand-off-unknown",
    "wheel-few-pixels",
    "wheel-card-not-used",
    "wheel-stand-off-unknown",
    "wheel-turn-open",
}

REMEDY_CODES = {
    "gravity-not-in-file",
    "ground-shown-contradicted",
    "ground-shown-elsewhere",
    "hose-not-at-tap",
    "hose-not-found",
    "hose-pair-no-shift",
    "hose-pair-not-matched",
    "hose-too-small",
    "surface-blurred",
    "surface-burnt",
    "surface-dark",
    "surface-outside",
    "surface-pair-no-shift",
    "surface-pair-not-matched",
    "surface-too-small",
    "band-covered",
    "band-hidden",
    "blurred",
    "card-bent",
    "card-partly-seen",
    "collar-hidden",
    "compare-all-differs",
    "compare-blurred",
    "compare-from-elsewhere",
    "compare-light-lost",
    "compare-nothing-shared",
    "compare-same-photo",
    "contact-not-found",
    "contact-too-steep",
    "creep-placed-off",
    "datum-not-measured",
    "elevation-disagrees",
    "flange-not-found",
    "flange-not-round",
    "form-not-measured",
    "glare",
    "lens-not-fitted",
    "levels-disagree",
    "line-placed-off",
    "mark-off-strut",
    "marks-exchanged",
    "no-band",
    "no-card",
    "no-collar",
    "no-level",
    "not-the-flange",
    "nothing-to-place-on",
    "outline-lost",
    "plumb-far-off",
    "pressure-line-elsewhere",
    "pressure-line-not-found",
    "pressure-lines-several",
    "rings-disagree",
    "scales-disagree",
    "slip-mark-not-found",
    "slip-mark-one-sided",
    "slip-marks-several",
    "span-outside-card",
    "tire-diameters-disagree",
    "tire-outline-not-found",
    "tire-too-uncertain",
    "too-oblique",
    "too-small",
    "too-uncertain",
    "two-bands",
    "views-too-alike",
    "views-too-few",
    "card-not-in-wheel-plane",
    "wheel-scales-disagree",
    "wheel-blurred",
    "wheel-dark",
    "wheel-not-found",
    "wheel-too-oblique",
    "wheel-too-small",
    "wheel-turn-undecided",
    "wrong-leg",
}

ALL = [*NOTES.values(), *REMEDIES.values()]


def test_codes_of_notes_are_frozen() -> None:
    assert set(NOTES) == NOTE_CODES


def test_codes_of_remedies_are_frozen() -> None:
    assert set(REMEDIES) == REMEDY_CODES


@pytest.mark.parametrize(("kind", "registry"), [(Note, NOTES), (Remedy, REMEDIES)])
def test_no_two_names_share_a_code(kind: type, registry: dict[str, object]) -> None:
    named = [value for value in vars(notes).values() if isinstance(value, kind)]
    # A code used twice gives its first owner's sentence to both names.
    assert len({id(value) for value in named}) == len(named) == len(registry)


def test_no_code_is_a_note_and_a_remedy() -> None:
    assert set(NOTES) & set(REMEDIES) == set()


@pytest.mark.parametrize("entry", ALL, ids=lambda entry: entry.code)
def test_codes_and_sentences_are_well_formed(entry: Note | Remedy) -> None:
    assert re.fullmatch(r"[a-z]+(-[a-z]+)*", entry.code)
    for field in fields(entry)[1:]:
        sentence = getattr(entry, field.name)
        assert re.fullmatch(r"[A-Z].*\.", sentence), sentence
        assert "airworthy" not in sentence.lower()


@pytest.mark.parametrize("remedy", REMEDIES.values(), ids=lambda remedy: remedy.code)
def test_a_remedy_gives_one_thing_to_do(remedy: Remedy) -> None:
    assert remedy.advice.count(".") == 1
