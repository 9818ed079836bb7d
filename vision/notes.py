"""Every sentence that a measurement can say to a person, in one registry.

`NOTES` are remarks beside a reading; `REMEDIES` are the causes of a refusal,
each with exactly one thing to do.  Codes are stored in archives for years: a
test freezes them, new ones are added and old ones never change their meaning.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class Note:
    """A remark on a photo or a reading: a stable code and a sentence."""

    code: str
    text: str


@dataclass(frozen=True)
class Remedy:
    """Why there is no value, and the one thing to do about it."""

    code: str
    reason: str
    advice: str


NOTES: dict[str, Note] = {}
REMEDIES: dict[str, Remedy] = {}


def _note(code: str, text: str) -> Note:
    return NOTES.setdefault(code, Note(code, text))


def _remedy(code: str, reason: str, advice: str) -> Remedy:
    return REMEDIES.setdefault(code, Remedy(code, reason, advice))


HAND = "Measure this strut by hand with a rule."

# --- remarks ---------------------------------------------------------------
EXTENSION_ONLY = _note("extension-only", "Extension only: a right extension does not prove the oil level.")
RESTING_STATE = _note(
    "resting-state",
    "U is the photo measurement's own; friction, temperature and load move the strut by more.",
)
FOCAL_UNKNOWN = _note(
    "focal-unknown", "The photo does not tell its focal length; a wide guess is carried in U."
)
FOCAL_NOT_CALIBRATED = _note(
    "focal-not-calibrated", "This camera is not calibrated; the doubt about its focal length is carried in U."
)
CARD_UNMEASURED = _note(
    "card-unmeasured", "The check bars of this card copy were not given; 1 % doubt of its print is in U."
)
STANDOFF_UNKNOWN = _note(
    "stand-off-unknown", "The card's stand-off was not given; depth comes from the piston's own outline."
)
LIMBS_FAINT = _note(
    "limbs-faint", "The piston's outline is faint in places; the band's sides carry more weight."
)
FEW_PIXELS = _note("few-pixels", "Few pixels per millimetre: going closer would make U smaller.")
SOFT = _note("soft", "The photo is a little soft; a steadier shot would make U smaller.")
GLARE = _note("card-glare", "Part of the white of the card is burnt out by glare.")
BAND_PARTLY_HIDDEN = _note("band-partly-hidden", "Part of the band's upper edge is hidden or dirty.")
RIM_PARTLY_HIDDEN = _note("rim-partly-hidden", "Part of the collar's lower rim is hidden.")
NO_PRESSURE = _note(
    "no-pressure", "The plate states a chart and no pressure was given: the limits cannot be told, undecided."
)
PRESSURE_OUTSIDE_CHART = _note(
    "pressure-outside-chart",
    "The strut's pressure lies outside the plate's chart: the limits cannot be told, undecided.",
)
PRESSURE_U_ASSUMED = _note(
    "pressure-doubt-assumed",
    "The doubt of the strut's pressure was not given; 2 % of it is assumed and is in U.",
)
CARD_DIFFERS = _note("card-copy-unread", "The card's copy number could not be read.")

GAUGE_NOT_REPLACED = _note(
    "gauge-not-replaced", "A look at the tire does not replace the gauge: take the pressure cold."
)
SECTION_ASSUMED = _note(
    "section-width-assumed",
    "The tire's section width was not given; one from its diameters is taken, and the doubt is in U.",
)
SECTION_CONTRADICTED = _note(
    "section-width-contradicted",
    "The tire's outline does not lie as its section width in the leg's data would have it; "
    "the difference is in U: measure the section's width and write it into the leg's data.",
)
LEVEL_LENT = _note(
    "level-of-the-other-kind",
    "What was found level is not what the leg's data ask for; the doubt of the floor's slope is in U.",
)
ROOT_OPEN = _note(
    "wheel-turn-open", "The wheel stands nearly square; which way it is turned is left open, and is in U."
)
MARK_REMNANT = _note("slip-mark-remnant", "A fainter piece of another mark is seen away from the mark read.")
WHEEL_FEW_PIXELS = _note(
    "wheel-few-pixels", "Few pixels per millimetre at the wheel: going closer would make U smaller."
)
WHEEL_CARD_NOT_USED = _note(
    "wheel-card-not-used",
    "The scale card that was told of was not found whole and flat in the photo; it has no part in the value.",
)
WHEEL_STAND_OFF_UNKNOWN = _note(
    "wheel-stand-off-unknown",
    "How far the card was held from the flange was not given; it tells how the wheel is turned, and hardly "
    "a scale.",
)
HOSE_ONE_SIDE = _note(
    "hose-one-side",
    "A photo shows one side of a hose: what it did not show is not inspected; go round it by hand, "
    "mirror and light.",
)
HOSE_NOT_NAMED = _note(
    "hose-not-named",
    "The dotted courses were taken for hoses by their form alone; a hose without one was not searched.",
)
HOSE_NO_SCALE = _note(
    "hose-no-scale", "The scale at a hose is not known: neither its diameter nor a card tells millimetres."
)
HOSE_CARD_SCALE = _note(
    "hose-card-scale",
    "Sizes in mm near the card are told by the card and hold where the hose is as far away as the card.",
)
HOSE_CARD_ELSEWHERE = _note(
    "hose-card-elsewhere",
    "Card and hose diameter tell different scales, so the card is nearer or farther than the hose, or the "
    "diameter is wrong: sizes are those by the diameter.",
)
SURFACE_ONE_VIEW = _note(
    "surface-one-view",
    "One photo in one light: what was not searched is not inspected, and a place that was not flagged may "
    "be worn all the same. Turn the lamp and look from the side.",
)
SURFACE_CHROME = _note(
    "surface-chrome",
    "Pits and flaking of chrome are looked for by hand and eye, not in a photo.",
)
SURFACE_NO_SCALE = _note(
    "surface-no-scale", "Size not known: no card that tells millimetres lies in the picture; sizes are in px."
)
SURFACE_CARD_SCALE = _note(
    "surface-card-scale",
    "Sizes in mm are told by the card and hold only where the surface is flat and as far away as the card.",
)
SURFACE_SHARP_UNKNOWN = _note(
    "surface-sharp-unknown",
    "Nothing in the region tells whether it is sharp, so none of it counts as searched: lay a card on it "
    "and photograph again.",
)
# --- refusals: the photo -----------------------------------------------------
TOO_SMALL = _remedy(
    "too-small", "The picture is too small to measure on.", "Send the original photo at its full size."
)
NO_CARD = _remedy(
    "no-card",
    "No scale card was found.",
    "Hang the card beside the piston, whole and facing the camera, and photograph again.",
)
CARD_PARTLY_SEEN = _remedy(
    "card-partly-seen",
    "Too little of the scale card is seen.",
    "Photograph again with the whole card in view.",
)
CARD_BENT = _remedy(
    "card-bent",
    "The card is bent, or not printed as its definition says.",
    "Use a flat card copy printed at 100 % and photograph again.",
)
BLURRED = _remedy(
    "blurred",
    "The photo is not sharp enough.",
    "Hold the phone still, tap on the card to focus, take it again.",
)
GLARED = _remedy(
    "glare",
    "Glare hides an edge that has to be read.",
    "Shade the strut or move the lamp, and photograph again without flash.",
)
TOO_OBLIQUE = _remedy(
    "too-oblique",
    "The camera looks at the card from too far aside.",
    "Stand square to the card, the camera level with the collar, and photograph again.",
)
SPAN_OUTSIDE_CARD = _remedy(
    "span-outside-card",
    "The measured span reaches beyond the ends of the card.",
    "Hang the card so that it spans from the band to the collar.",
)
WRONG_LEG = _remedy(
    "wrong-leg",
    "The leg tag in the photo belongs to another leg.",
    "Choose the leg that was photographed, or photograph the leg that was chosen.",
)
NO_BAND = _remedy(
    "no-band",
    "The red band was not found on the piston beside the card.",
    "Wipe the band with an approved cloth, bring it whole into view, and photograph again.",
)
TWO_BANDS = _remedy("two-bands", "More than one red band could be meant.", HAND)
NO_COLLAR = _remedy(
    "no-collar",
    "The collar's lower rim was not found.",
    "Bring the collar into view, the camera level with it, and photograph again.",
)
BAND_HIDDEN = _remedy(
    "band-hidden",
    "Too little of the band's upper edge is clear.",
    "Clear the view of the band's upper edge and photograph again.",
)
BAND_COVERED = _remedy(
    "band-covered",
    "Something lies across the band's upper edge: the red goes on beyond it.",
    "Take away or wipe off what lies across the band, as its manual allows, and photograph again.",
)
COLLAR_HIDDEN = _remedy(
    "collar-hidden",
    "Too little of the collar's lower rim is clear.",
    "Clear the view of the collar's lower rim and photograph again.",
)
OUTLINE_LOST = _remedy(
    "outline-lost",
    "The piston's outline was not found.",
    "Photograph against a plain background with the whole width of the piston in view.",
)
SCALES_DISAGREE = _remedy(
    "scales-disagree",
    "The card and the known diameters do not tell the same scale.",
    "Check stand-off, card copy and the leg's diameters, then photograph again; else measure by hand.",
)
ELEVATION_DISAGREES = _remedy(
    "elevation-disagrees",
    "The card and the rings do not tell the same direction of view.",
    "Hang the card parallel to the piston and photograph again with the camera level with the collar.",
)
RINGS_DISAGREE = _remedy(
    "rings-disagree",
    "The edges found do not lie on rings of the leg's diameters.",
    "Check the leg's diameters; else " + HAND[0].lower() + HAND[1:],
)
TOO_UNCERTAIN = _remedy(
    "too-uncertain",
    "The reading would be too uncertain to be of use.",
    "Go closer, square to the strut and level with the collar, and photograph again.",
)
# --- refusals: the wheel ------------------------------------------------------
FLANGE_NOT_FOUND = _remedy(
    "flange-not-found",
    "The edge of the wheel's flange was not found about the points placed on it.",
    "Place five or more points around the flange's outer edge, on a photo that shows most of it.",
)
FLANGE_NOT_ROUND = _remedy(
    "flange-not-round",
    "The edge found does not lie on one circle.",
    "Place the points again on the flange's outer edge, not on the hub cap or the tire.",
)
WHEEL_NOT_FOUND = _remedy(
    "wheel-not-found",
    "No wheel was found that could be this one.",
    "Photograph the whole tire, square to the wheel, or place points around the flange's outer edge.",
)
NOT_THE_FLANGE = _remedy(
    "not-the-flange",
    "The circle found is not the wheel's outermost one.",
    "Place the points on the flange's outer edge, where the rim meets the rubber.",
)
OUTLINE_NOT_FOUND = _remedy(
    "tire-outline-not-found",
    "The tire's outline was not found about the wheel, so the flange cannot be told from other circles.",
    "Photograph again with the whole upper half of the tire before a plain background of another brightness.",
)
DIAMETERS_DISAGREE = _remedy(
    "tire-diameters-disagree",
    "The circle found and the tire's outline do not have the diameters of the leg's data.",
    "Check the tire's outside and flange diameters in the leg's data.",
)
ROOTS_UNDECIDED = _remedy(
    "wheel-turn-undecided",
    "Which way the wheel is turned cannot be told.",
    "Photograph again squarer to the wheel, the camera at the height of the axle.",
)
WHEEL_TOO_OBLIQUE = _remedy(
    "wheel-too-oblique",
    "The camera looks at the wheel from too far aside.",
    "Stand square to the wheel, the camera at the line's height, and photograph again.",
)
WHEEL_BLURRED = _remedy(
    "wheel-blurred",
    "The wheel is not sharp enough.",
    "Hold the phone still, tap on the wheel to focus, and take it again.",
)
WHEEL_DARK = _remedy(
    "wheel-dark",
    "The wheel lies in the dark.",
    "Light it from the side with a lamp, or stand so that the light from outside falls on it.",
)
WHEEL_TOO_SMALL = _remedy(
    "wheel-too-small",
    "The wheel is too small in the photo to measure on.",
    "Go closer until the tire fills the picture, and photograph again.",
)
WHEEL_SCALES_DISAGREE = _remedy(
    "wheel-scales-disagree",
    "The card and the wheel's flange do not tell the same scale.",
    "Check the flange's diameter in the leg's data, the card copy's check bars and its stand-off.",
)
CARD_NOT_IN_WHEEL_PLANE = _remedy(
    "card-not-in-wheel-plane",
    "The card does not lie in the wheel's plane.",
    "Hold the card flat against the rim, parallel to the wheel, and photograph again.",
)
# --- refusals: the tire ---------------------------------------------------------
CONTACT_NOT_FOUND = _remedy(
    "contact-not-found",
    "The line where the tire meets the ground was not found.",
    "Place two points on the line where the tire meets the ground, near its middle.",
)
CONTACT_TOO_STEEP = _remedy(
    "contact-too-steep",
    "The camera looks down on the ground contact too steeply.",
    "Lower the camera to the height of the line on the sidewall, and photograph again.",
)
LINE_NOT_FOUND = _remedy(
    "pressure-line-not-found",
    "No line was found on the sidewall at the clock positions that the leg's data allow.",
    "Wipe the sidewall over the ground contact and photograph again, or measure by gauge only.",
)
LINE_ELSEWHERE = _remedy(
    "pressure-line-elsewhere",
    "The line stands where it does not mean anything.",
    "Roll the aeroplane until the line stands over the ground contact, and photograph again.",
)
LINES_SEVERAL = _remedy(
    "pressure-lines-several",
    "More than one line could be meant.",
    "Judge the line at the tire itself and take the pressure by gauge.",
)
MARK_NOT_FOUND = _remedy(
    "slip-mark-not-found",
    "No slip mark was found where tire and rim meet.",
    "Wipe the edge of rim and tire, bring the mark into view, and photograph again.",
)
MARK_ONE_SIDED = _remedy(
    "slip-mark-one-sided",
    "Only one part of the slip mark was found.",
    "Look at the wheel for the mark's other part.",
)
MARKS_SEVERAL = _remedy(
    "slip-marks-several",
    "More than one slip mark could be meant.",
    "Tell at the wheel which marks belong together.",
)
TIRE_TOO_UNCERTAIN = _remedy(
    "tire-too-uncertain",
    "The reading would be too uncertain to be of use.",
    "Go closer, square to the wheel and at the line's height, and photograph again.",
)
# --- refusals: level ------------------------------------------------------------
NO_LEVEL = _remedy(
    "no-level",
    "Nothing in the photo tells what is level.",
    "Place two points on the line where the tire meets the ground, near its middle.",
)
LEVELS_DISAGREE = _remedy(
    "levels-disagree",
    "What was found level in the photo contradicts itself.",
    "Hang a plumb line beside the wheel and photograph again on even ground.",
)
# --- refusals: a person's marks -----------------------------------------------
NOTHING_TO_PLACE_ON = _remedy(
    "nothing-to-place-on",
    "This photo gave no reading, so marks placed on it cannot be converted to a length.",
    HAND,
)
MARK_OFF_STRUT = _remedy(
    "mark-off-strut",
    "A placed mark does not lie on the strut.",
    "Place the mark again on the edge itself, near the middle of the strut's width.",
)
MARKS_EXCHANGED = _remedy(
    "marks-exchanged",
    "The mark for the band lies beyond the mark for the collar's rim.",
    "Place both marks again, the band's upper edge first and the collar's lower rim second.",
)
LINE_PLACED_OFF = _remedy(
    "line-placed-off",
    "The placed marks are not the two ends of a line on the sidewall.",
    "Place both marks again, each on an end of the line, as far apart as it can be seen.",
)
CREEP_PLACED_OFF = _remedy(
    "creep-placed-off",
    "The placed marks do not lie where the mark meets the flange's edge.",
    "Place both marks again at the flange's edge, on the mark's middle: first on the tire, then on the rim.",
)
# --- refusals: a camera's calibration ------------------------------------------
VIEWS_TOO_FEW = _remedy(
    "views-too-few",
    "Too few of the photos show the whole card clearly.",
    "Photograph the plate card eight times or more, sharp and whole, and give all photos.",
)
VIEWS_TOO_ALIKE = _remedy(
    "views-too-alike",
    "The photos look at the card too much alike to tell the camera.",
    "Photograph the card again, tilted by 20 to 30 degrees to the left, right, top and bottom in turn.",
)
NO_GRAVITY = _remedy(
    "gravity-not-in-file",
    "The photo's file does not tell which way is down.",
    "Give the phone's original file, neither sent nor edited; a phone that never writes it has no offset.",
)
PLUMB_FAR_OFF = _remedy(
    "plumb-far-off",
    "What the file tells as down and the plumb line are too far apart.",
    "Place both points on one plumb line that hangs still, far apart, on a photo of this very phone.",
)
LENS_NOT_FITTED = _remedy(
    "lens-not-fitted",
    "One simple lens does not explain the photos.",
    "Photograph a flat card again with the main camera at its normal zoom, all corrections left as they are.",
)
# --- refusals: the leg -------------------------------------------------------
FORM_NOT_MEASURED = _remedy("form-not-measured", "This form of strut cannot be measured from a photo.", HAND)
DATUM_NOT_MEASURED = _remedy(
    "datum-not-measured", "The plate measures this strut between marks that a photo cannot read.", HAND
)
# --- not comparable: two photos of one view ------------------------------------
COMPARE_SAME_PHOTO = _remedy(
    "compare-same-photo",
    "Both are the same photo, so nothing can be told from them.",
    "Choose a photo of another visit.",
)
COMPARE_LIGHT_LOST = _remedy(
    "compare-light-lost",
    "Most of one photo is burnt out or without light.",
    "Photograph again without glare and in enough light.",
)
COMPARE_NOTHING_SHARED = _remedy(
    "compare-nothing-shared",
    "The two photos do not show enough of the same.",
    "Stand where the earlier photo was taken, with it in hand, and photograph again.",
)
COMPARE_FROM_ELSEWHERE = _remedy(
    "compare-from-elsewhere",
    "The two photos were taken from too different places.",
    "Stand where the earlier photo was taken, with it in hand, and photograph again.",
)
COMPARE_BLURRED = _remedy(
    "compare-blurred",
    "One of the two photos is much more blurred than the other.",
    "Hold the phone still, let it focus, and photograph again.",
)
COMPARE_ALL_DIFFERS = _remedy(
    "compare-all-differs",
    "So much differs between the two photos that no single place can be told.",
    "Look at both photos side by side and judge by eye.",
)
# --- refusals: hoses searched ---------------------------------------------------
HOSE_NOT_FOUND = _remedy(
    "hose-not-found",
    "No hose was found in the photo.",
    "Tap the hose at some places along it, or photograph it closer before a calmer background.",
)
HOSE_NOT_AT_TAP = _remedy(
    "hose-not-at-tap",
    "No hose is seen where it was tapped.",
    "Tap again on the middle of the hose, at two places or more along it.",
)
HOSE_TOO_SMALL = _remedy(
    "hose-too-small", "The hose is too small in the photo.", "Photograph it again from closer by."
)
HOSE_PAIR_NO_SHIFT = _remedy(
    "hose-pair-no-shift",
    "The two photos were taken from the same place, so light mirrored in the hose has not moved.",
    "Move the phone by 100 mm or more along the hose and take the second photo again.",
)
HOSE_PAIR_NOT_MATCHED = _remedy(
    "hose-pair-not-matched",
    "The second photo does not show the same piece of hose.",
    "Take the second photo again with the same piece of hose in view, 100 mm further along it.",
)
# --- refusals: surfaces searched --------------------------------------------------
SURFACE_PAIR_NO_SHIFT = _remedy(
    "surface-pair-no-shift",
    "The two photos were taken from nearly the same place, so light mirrored in the surface has not moved.",
    "Move the phone sideways by a hand's breadth or more and take the second photo again.",
)
SURFACE_PAIR_NOT_MATCHED = _remedy(
    "surface-pair-not-matched",
    "The second photo cannot be laid on the first: too little in the region is the same in both.",
    "Lay a scale card on the surface and take both photos again with the whole region in view.",
)
SURFACE_TOO_SMALL = _remedy(
    "surface-too-small",
    "The region is too small in the photo to be searched.",
    "Go closer until the surface fills the picture, and photograph again.",
)
SURFACE_OUTSIDE = _remedy(
    "surface-outside",
    "The region reaches beyond the photo.",
    "Show it again by corners that lie within the photo, in px of the upright photo.",
)
SURFACE_BLURRED = _remedy(
    "surface-blurred",
    "The surface is not sharp enough to be searched.",
    "Hold the phone still, tap on the surface to focus, and take it again.",
)
SURFACE_BURNT = _remedy(
    "surface-burnt",
    "Most of the region is burnt out by light.",
    "Turn the lamp aside or shade the surface, and photograph again without flash.",
)
SURFACE_DARK = _remedy(
    "surface-dark",
    "Most of the region is without light.",
    "Light the surface from the side and photograph again.",
)
