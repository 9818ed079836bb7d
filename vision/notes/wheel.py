"""Why a wheel, its tire or what is level gives no value."""

from vision.notes.registry import remedy

# --- refusals: the wheel ------------------------------------------------------
FLANGE_NOT_FOUND = remedy(
    "flange-not-found",
    "The edge of the wheel's flange was not found about the points placed on it.",
    "Place five or more points around the flange's outer edge, on a photo that shows most of it.",
)
FLANGE_NOT_ROUND = remedy(
    "flange-not-round",
    "The edge found does not lie on one circle.",
    "Place the points again on the flange's outer edge, not on the hub cap or the tire.",
)
WHEEL_NOT_FOUND = remedy(
    "wheel-not-found",
    "No wheel was found that could be this one.",
    "Photograph the whole tire, square to the wheel, or place points around the flange's outer edge.",
)
NOT_THE_FLANGE = remedy(
    "not-the-flange",
    "The circle found is not the wheel's outermost one.",
    "Place the points on the flange's outer edge, where the rim meets the rubber.",
)
OUTLINE_NOT_FOUND = remedy(
    "tire-outline-not-found",
    "The tire's outline was not found about the wheel, so the flange cannot be told from other circles.",
    "Photograph again with the whole upper half of the tire before a plain background of another brightness.",
)
DIAMETERS_DISAGREE = remedy(
    "tire-diameters-disagree",
    "The circle found and the tire's outline do not have the diameters of the leg's data.",
    "Check the tire's outside and flange diameters in the leg's data.",
)
ROOTS_UNDECIDED = remedy(
    "wheel-turn-undecided",
    "Which way the wheel is turned cannot be told.",
    "Photograph again squarer to the wheel, the camera at the height of the axle.",
)
WHEEL_TOO_OBLIQUE = remedy(
    "wheel-too-oblique",
    "The camera looks at the wheel from too far aside.",
    "Stand square to the wheel, the camera at the line's height, and photograph again.",
)
WHEEL_BLURRED = remedy(
    "wheel-blurred",
    "The wheel is not sharp enough.",
    "Hold the phone still, tap on the wheel to focus, and take it again.",
)
WHEEL_DARK = remedy(
    "wheel-dark",
    "The wheel lies in the dark.",
    "Light it from the side with a lamp, or stand so that the light from outside falls on it.",
)
WHEEL_TOO_SMALL = remedy(
    "wheel-too-small",
    "The wheel is too small in the photo to measure on.",
    "Go closer until the tire fills the picture, and photograph again.",
)
WHEEL_SCALES_DISAGREE = remedy(
    "wheel-scales-disagree",
    "The card and the wheel's flange do not tell the same scale.",
    "Check the flange's diameter in the leg's data, the card copy's check bars and its stand-off.",
)
CARD_NOT_IN_WHEEL_PLANE = remedy(
    "card-not-in-wheel-plane",
    "The card does not lie in the wheel's plane.",
    "Hold the card flat against the rim, parallel to the wheel, and photograph again.",
)
# --- refusals: the tire ---------------------------------------------------------
CONTACT_NOT_FOUND = remedy(
    "contact-not-found",
    "The line where the tire meets the ground was not found.",
    "Place two points on the line where the tire meets the ground, near its middle.",
)
CONTACT_TOO_STEEP = remedy(
    "contact-too-steep",
    "The camera looks down on the ground contact too steeply.",
    "Lower the camera to the height of the line on the sidewall, and photograph again.",
)
GROUND_SHOWN_ELSEWHERE = remedy(
    "ground-shown-elsewhere",
    "No tire of this size can stand where the two ground points were placed.",
    "Place two points on the line where the tire meets the ground, near its middle.",
)
GROUND_SHOWN_CONTRADICTED = remedy(
    "ground-shown-contradicted",
    "The ground points that were placed and the ground contact seen in the photo do not agree.",
    "Photograph again with light on the ground contact, or judge the line at the tire and by gauge.",
)
LINE_NOT_FOUND = remedy(
    "pressure-line-not-found",
    "No line was found on the sidewall at the clock positions that the leg's data allow.",
    "Wipe the sidewall over the ground contact and photograph again, or measure by gauge only.",
)
LINE_ELSEWHERE = remedy(
    "pressure-line-elsewhere",
    "The line stands where it does not mean anything.",
    "Roll the aeroplane until the line stands over the ground contact, and photograph again.",
)
LINES_SEVERAL = remedy(
    "pressure-lines-several",
    "More than one line could be meant.",
    "Judge the line at the tire itself and take the pressure by gauge.",
)
MARK_NOT_FOUND = remedy(
    "slip-mark-not-found",
    "No slip mark was found where tire and rim meet.",
    "Wipe the edge of rim and tire, bring the mark into view, and photograph again.",
)
MARK_ONE_SIDED = remedy(
    "slip-mark-one-sided",
    "Only one part of the slip mark was found.",
    "Look at the wheel for the mark's other part.",
)
MARKS_SEVERAL = remedy(
    "slip-marks-several",
    "More than one slip mark could be meant.",
    "Tell at the wheel which marks belong together.",
)
TIRE_TOO_UNCERTAIN = remedy(
    "tire-too-uncertain",
    "The reading would be too uncertain to be of use.",
    "Go closer, square to the wheel and at the line's height, and photograph again.",
)
# --- refusals: level ------------------------------------------------------------
NO_LEVEL = remedy(
    "no-level",
    "Nothing in the photo tells what is level.",
    "Place two points on the line where the tire meets the ground, near its middle.",
)
LEVELS_DISAGREE = remedy(
    "levels-disagree",
    "What was found level in the photo contradicts itself.",
    "Hang a plumb line beside the wheel and photograph again on even ground.",
)
