"""Why hoses or a surface cannot be searched."""

from vision.notes.registry import remedy

# --- refusals: hoses searched ---------------------------------------------------
HOSE_NOT_FOUND = remedy(
    "hose-not-found",
    "No hose was found in the photo.",
    "Tap the hose at some places along it, or photograph it closer before a calmer background.",
)
HOSE_NOT_AT_TAP = remedy(
    "hose-not-at-tap",
    "No hose is seen where it was tapped.",
    "Tap again on the middle of the hose, at two places or more along it.",
)
HOSE_TOO_SMALL = remedy(
    "hose-too-small", "The hose is too small in the photo.", "Photograph it again from closer by."
)
HOSE_PAIR_NO_SHIFT = remedy(
    "hose-pair-no-shift",
    "The two photos were taken from the same place, so light mirrored in the hose has not moved.",
    "Move the phone by 100 mm or more along the hose and take the second photo again.",
)
HOSE_PAIR_NOT_MATCHED = remedy(
    "hose-pair-not-matched",
    "The second photo does not show the same piece of hose.",
    "Take the second photo again with the same piece of hose in view, 100 mm further along it.",
)
# --- refusals: surfaces searched --------------------------------------------------
SURFACE_PAIR_NO_SHIFT = remedy(
    "surface-pair-no-shift",
    "The two photos were taken from nearly the same place, so light mirrored in the surface has not moved.",
    "Move the phone sideways by a hand's breadth or more and take the second photo again.",
)
SURFACE_PAIR_NOT_MATCHED = remedy(
    "surface-pair-not-matched",
    "The second photo cannot be laid on the first: too little in the region is the same in both.",
    "Lay a scale card on the surface and take both photos again with the whole region in view.",
)
SURFACE_TOO_SMALL = remedy(
    "surface-too-small",
    "The region is too small in the photo to be searched.",
    "Go closer until the surface fills the picture, and photograph again.",
)
SURFACE_OUTSIDE = remedy(
    "surface-outside",
    "The region reaches beyond the photo.",
    "Show it again by corners that lie within the photo, in px of the upright photo.",
)
SURFACE_BLURRED = remedy(
    "surface-blurred",
    "The surface is not sharp enough to be searched.",
    "Hold the phone still, tap on the surface to focus, and take it again.",
)
SURFACE_BURNT = remedy(
    "surface-burnt",
    "Most of the region is burnt out by light.",
    "Turn the lamp aside or shade the surface, and photograph again without flash.",
)
SURFACE_DARK = remedy(
    "surface-dark",
    "Most of the region is without light.",
    "Light the surface from the side and photograph again.",
)
