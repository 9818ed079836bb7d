"""What a person states before the first photo of a visit: surroundings clear, condition as the manual asks.

A tick is a statement by a person at that moment.  No box is ticked beforehand, and
ticks are not kept over a reload: what was not sent was not stated.
"""

BEFORE_FIRST_PHOTO = (
    "No refuelling, open tank, fuel leak or oxygen servicing near.",
    "The local rules on phones, flash and pictures airside are kept.",
    "The propeller is treated as live; keys and ignition are safe.",
    "Never stand in its arc, at an inlet or exhaust, or under a door that is not pinned.",
    "The aircraft can settle: people, stands and doors are clear of it.",
)
"""The card that is shown once, before the first photo of a visit."""

NEVER_REPLACES = (
    "A photo never replaces the touch, the light and the mirror that the task card asks for; "
    "the approved data and a licensed person decide."
)

SURROUNDINGS = "Before the first photo: I have looked round, and all of it holds."

CONDITION = (
    "The aircraft stands on its wheels on level ground, loaded as the leg's document asks.",
    "The strut was exercised and has settled.",
    "Brakes and chocks are as the manual says.",
)
"""The condition in which a strut's extension means something, stated line by line."""

CONDITION_KEYS = frozenset({"load", "level", "settled", "brakes_and_chocks"})
"""The statements of a programme's condition that together say what `CONDITION` says."""

FIRST_PHOTO = "before_first_photo"
"""The caution of a programme's opening card that says what `SURROUNDINGS` says."""

CARD_PLACED = "The card rests on the painted cylinder or is held by a helper; nothing touches the chrome."

UNCHANGED = "All of this still holds, as I stated on this visit:"
"""Said for a photo of a leg whose condition this person has stated before on the same visit."""
