"""Why what a person placed, a calibration or two photos of one view give nothing."""

from vision.notes.registry import HAND, remedy

# --- refusals: a person's marks -----------------------------------------------
NOTHING_TO_PLACE_ON = remedy(
    "nothing-to-place-on",
    "This photo gave no reading, so marks placed on it cannot be converted to a length.",
    HAND,
)
MARK_OFF_STRUT = remedy(
    "mark-off-strut",
    "A placed mark does not lie on the strut.",
    "Place the mark again on the edge itself, near the middle of the strut's width.",
)
MARKS_EXCHANGED = remedy(
    "marks-exchanged",
    "The mark for the band lies beyond the mark for the collar's rim.",
    "Place both marks again, the band's upper edge first and the collar's lower rim second.",
)
LINE_PLACED_OFF = remedy(
    "line-placed-off",
    "The placed marks are not the two ends of a line on the sidewall.",
    "Place both marks again, each on an end of the line, as far apart as it can be seen.",
)
CREEP_PLACED_OFF = remedy(
    "creep-placed-off",
    "The placed marks do not lie where the mark meets the flange's edge.",
    "Place both marks again at the flange's edge, on the mark's middle: first on the tire, then on the rim.",
)
# --- refusals: a camera's calibration ------------------------------------------
VIEWS_TOO_FEW = remedy(
    "views-too-few",
    "Too few of the photos show the whole card clearly.",
    "Photograph the plate card eight times or more, sharp and whole, and give all photos.",
)
VIEWS_TOO_ALIKE = remedy(
    "views-too-alike",
    "The photos look at the card too much alike to tell the camera.",
    "Photograph the card again, tilted by 20 to 30 degrees to the left, right, top and bottom in turn.",
)
NO_GRAVITY = remedy(
    "gravity-not-in-file",
    "The photo's file does not tell which way is down.",
    "Give the phone's original file, neither sent nor edited; a phone that never writes it has no offset.",
)
PLUMB_FAR_OFF = remedy(
    "plumb-far-off",
    "What the file tells as down and the plumb line are too far apart.",
    "Place both points on one plumb line that hangs still, far apart, on a photo of this very phone.",
)
LENS_NOT_FITTED = remedy(
    "lens-not-fitted",
    "One simple lens does not explain the photos.",
    "Photograph a flat card again with the main camera at its normal zoom, all corrections left as they are.",
)

# --- not comparable: two photos of one view ------------------------------------
COMPARE_SAME_PHOTO = remedy(
    "compare-same-photo",
    "Both are the same photo, so nothing can be told from them.",
    "Choose a photo of another visit.",
)
COMPARE_LIGHT_LOST = remedy(
    "compare-light-lost",
    "Most of one photo is burnt out or without light.",
    "Photograph again without glare and in enough light.",
)
COMPARE_NOTHING_SHARED = remedy(
    "compare-nothing-shared",
    "The two photos do not show enough of the same.",
    "Stand where the earlier photo was taken, with it in hand, and photograph again.",
)
COMPARE_FROM_ELSEWHERE = remedy(
    "compare-from-elsewhere",
    "The two photos were taken from too different places.",
    "Stand where the earlier photo was taken, with it in hand, and photograph again.",
)
COMPARE_BLURRED = remedy(
    "compare-blurred",
    "One of the two photos is much more blurred than the other.",
    "Hold the phone still, let it focus, and photograph again.",
)
COMPARE_ALL_DIFFERS = remedy(
    "compare-all-differs",
    "So much differs between the two photos that no single place can be told.",
    "Look at both photos side by side and judge by eye.",
)
