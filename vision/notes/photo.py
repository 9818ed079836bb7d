"""Why a photo, its card or its strut gives no value."""

from vision.notes.registry import HAND, remedy

# --- refusals: the photo -----------------------------------------------------
TOO_SMALL = remedy(
    "too-small", "The picture is too small to measure on.", "Send the original photo at its full size."
)
NO_CARD = remedy(
    "no-card",
    "No scale card was found.",
    "Hang the card beside the piston, whole and facing the camera, and photograph again.",
)
CARD_PARTLY_SEEN = remedy(
    "card-partly-seen",
    "Too little of the scale card is seen.",
    "Photograph again with the whole card in view.",
)
CARD_BENT = remedy(
    "card-bent",
    "The card is bent, or not printed as its definition says.",
    "Use a flat card copy printed at 100 % and photograph again.",
)
BLURRED = remedy(
    "blurred",
    "The photo is not sharp enough.",
    "Hold the phone still, tap on the card to focus, take it again.",
)
GLARED = remedy(
    "glare",
    "Glare hides an edge that has to be read.",
    "Shade the strut or move the lamp, and photograph again without flash.",
)
TOO_OBLIQUE = remedy(
    "too-oblique",
    "The camera looks at the card from too far aside.",
    "Stand square to the card, the camera level with the collar, and photograph again.",
)
SPAN_OUTSIDE_CARD = remedy(
    "span-outside-card",
    "The measured span reaches beyond the ends of the card.",
    "Hang the card so that it spans from the band to the collar.",
)
WRONG_LEG = remedy(
    "wrong-leg",
    "The leg tag in the photo belongs to another leg.",
    "Choose the leg that was photographed, or photograph the leg that was chosen.",
)
NO_BAND = remedy(
    "no-band",
    "The red band was not found on the piston beside the card.",
    "Wipe the band with an approved cloth, bring it whole into view, and photograph again.",
)
TWO_BANDS = remedy("two-bands", "More than one red band could be meant.", HAND)
NO_COLLAR = remedy(
    "no-collar",
    "The collar's lower rim was not found.",
    "Bring the collar into view, the camera level with it, and photograph again.",
)
BAND_HIDDEN = remedy(
    "band-hidden",
    "Too little of the band's upper edge is clear.",
    "Clear the view of the band's upper edge and photograph again.",
)
BAND_COVERED = remedy(
    "band-covered",
    "Something lies across the band's upper edge: the red goes on beyond it.",
    "Take away or wipe off what lies across the band, as its manual allows, and photograph again.",
)
COLLAR_HIDDEN = remedy(
    "collar-hidden",
    "Too little of the collar's lower rim is clear.",
    "Clear the view of the collar's lower rim and photograph again.",
)
OUTLINE_LOST = remedy(
    "outline-lost",
    "The piston's outline was not found.",
    "Photograph against a plain background with the whole width of the piston in view.",
)
SCALES_DISAGREE = remedy(
    "scales-disagree",
    "The card and the known diameters do not tell the same scale.",
    "Check stand-off, card copy and the leg's diameters, then photograph again; else measure by hand.",
)
ELEVATION_DISAGREES = remedy(
    "elevation-disagrees",
    "The card and the rings do not tell the same direction of view.",
    "Hang the card parallel to the piston and photograph again with the camera level with the collar.",
)
RINGS_DISAGREE = remedy(
    "rings-disagree",
    "The edges found do not lie on rings of the leg's diameters.",
    "Check the leg's diameters; else " + HAND[0].lower() + HAND[1:],
)
TOO_UNCERTAIN = remedy(
    "too-uncertain",
    "The reading would be too uncertain to be of use.",
    "Go closer, square to the strut and level with the collar, and photograph again.",
)

# --- refusals: the leg -------------------------------------------------------
FORM_NOT_MEASURED = remedy("form-not-measured", "This form of strut cannot be measured from a photo.", HAND)
DATUM_NOT_MEASURED = remedy(
    "datum-not-measured", "The plate measures this strut between marks that a photo cannot read.", HAND
)
