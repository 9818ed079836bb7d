"""Remarks beside a reading or a search."""

from vision.notes.registry import note

# --- remarks ---------------------------------------------------------------
EXTENSION_ONLY = note("extension-only", "Extension only: a right extension does not prove the oil level.")
RESTING_STATE = note(
    "resting-state",
    "U is the photo measurement's own; friction, temperature and load move the strut by more.",
)
FOCAL_UNKNOWN = note(
    "focal-unknown", "The photo does not tell its focal length; a wide guess is carried in U."
)
FOCAL_NOT_CALIBRATED = note(
    "focal-not-calibrated", "This camera is not calibrated; the doubt about its focal length is carried in U."
)
CARD_UNMEASURED = note(
    "card-unmeasured", "The check bars of this card copy were not given; 1 % doubt of its print is in U."
)
STANDOFF_UNKNOWN = note(
    "stand-off-unknown", "The card's stand-off was not given; depth comes from the piston's own outline."
)
LIMBS_FAINT = note(
    "limbs-faint", "The piston's outline is faint in places; the band's sides carry more weight."
)
FEW_PIXELS = note("few-pixels", "Few pixels per millimetre: going closer would make U smaller.")
SOFT = note("soft", "The photo is a little soft; a steadier shot would make U smaller.")
GLARE = note("card-glare", "Part of the white of the card is burnt out by glare.")
BAND_PARTLY_HIDDEN = note("band-partly-hidden", "Part of the band's upper edge is hidden or dirty.")
RIM_PARTLY_HIDDEN = note("rim-partly-hidden", "Part of the collar's lower rim is hidden.")
NO_PRESSURE = note(
    "no-pressure", "The plate states a chart and no pressure was given: the limits cannot be told, undecided."
)
PRESSURE_OUTSIDE_CHART = note(
    "pressure-outside-chart",
    "The strut's pressure lies outside the plate's chart: the limits cannot be told, undecided.",
)
PRESSURE_U_ASSUMED = note(
    "pressure-doubt-assumed",
    "The doubt of the strut's pressure was not given; 2 % of it is assumed and is in U.",
)
CARD_DIFFERS = note("card-copy-unread", "The card's copy number could not be read.")

GAUGE_NOT_REPLACED = note(
    "gauge-not-replaced", "A look at the tire does not replace the gauge: take the pressure cold."
)
SECTION_ASSUMED = note(
    "section-width-assumed",
    "The tire's section width was not given; one from its diameters is taken, and the doubt is in U.",
)
SECTION_CONTRADICTED = note(
    "section-width-contradicted",
    "The tire's outline does not lie as the section's width, told or usual, would have it; "
    "the difference is in U: measure the section's width and write it into the leg's data.",
)
LEVEL_LENT = note(
    "level-of-the-other-kind",
    "What was found level is not what the leg's data ask for; the doubt of the floor's slope is in U.",
)
ROOT_OPEN = note(
    "wheel-turn-open", "The wheel stands nearly square; which way it is turned is left open, and is in U."
)
MARK_REMNANT = note("slip-mark-remnant", "A fainter piece of another mark is seen away from the mark read.")
WHEEL_FEW_PIXELS = note(
    "wheel-few-pixels", "Few pixels per millimetre at the wheel: going closer would make U smaller."
)
WHEEL_CARD_NOT_USED = note(
    "wheel-card-not-used",
    "The scale card that was told of was not found whole and flat in the photo; it has no part in the value.",
)
WHEEL_STAND_OFF_UNKNOWN = note(
    "wheel-stand-off-unknown",
    "How far the card was held from the flange was not given; it tells how the wheel is turned, and hardly "
    "a scale.",
)
HOSE_ONE_SIDE = note(
    "hose-one-side",
    "A photo shows one side of a hose: what it did not show is not inspected; go round it by hand, "
    "mirror and light.",
)
HOSE_MANY_PLACES = note(
    "hose-many-places",
    "So much stands out on one hose that only the plainest places are told: look at all of it yourself.",
)
HOSE_NOT_NAMED = note(
    "hose-not-named",
    "The dotted courses were taken for hoses by their form alone; a hose without one was not searched.",
)
HOSE_NO_SCALE = note(
    "hose-no-scale", "The scale at a hose is not known: neither its diameter nor a card tells millimetres."
)
HOSE_CARD_SCALE = note(
    "hose-card-scale",
    "Sizes in mm near the card are told by the card and hold where the hose is as far away as the card.",
)
HOSE_CARD_ELSEWHERE = note(
    "hose-card-elsewhere",
    "Card and hose diameter tell different scales, so the card is nearer or farther than the hose, or the "
    "diameter is wrong: sizes are those by the diameter.",
)
SURFACE_ONE_VIEW = note(
    "surface-one-view",
    "One photo in one light: what was not searched is not inspected, and a place that was not flagged may "
    "be worn all the same. Turn the lamp and look from the side.",
)
SURFACE_CHROME = note(
    "surface-chrome",
    "Pits and flaking of chrome are looked for by hand and eye, not in a photo.",
)
SURFACE_NO_SCALE = note(
    "surface-no-scale", "Size not known: no card that tells millimetres lies in the picture; sizes are in px."
)
SURFACE_CARD_SCALE = note(
    "surface-card-scale",
    "Sizes in mm are told by the card and hold only where the surface is flat and as far away as the card.",
)
SURFACE_SHARP_UNKNOWN = note(
    "surface-sharp-unknown",
    "Nothing in the region tells whether it is sharp, so none of it counts as searched: lay a card on it "
    "and photograph again.",
)
