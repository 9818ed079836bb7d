"""The words printed beside a card: how to print, check, make and use it."""

from dataclasses import dataclass

from vision.card.parts import Card

CAUTION = "Print at 100 % (actual size), measure both check bars with a steel rule, write the lengths here:"
PLAIN_CAUTION = "Print at 100 % (actual size). This card's definition names no check bars to measure."

_PURPOSE = {"strip": "for struts", "plate": "for wheels and doors"}

_USE = {
    "strip": (
        "Rest the soft foot or the strap on the painted outer cylinder, the marked end at the collar. "
        "The strip hangs beside the piston from band to collar and hides neither. "
        "Where it cannot rest, a helper's hand holds it."
    ),
    "plate": (
        "A helper holds the plate parallel to the wheel or the door, so that what is measured shows in "
        "its open middle or beside it, and no finger covers a tag or a square."
    ),
}
_USE_OTHER = "Hold the card parallel to what is measured, beside it, and cover none of its marks."

_MAKE = (
    "Cut along the line{window}. Bond the paper flat on a stiff, matt backing, cover it with matt, "
    "fluid-proof film and round the corners: a bent card is refused, a shiny one glares. "
    "A tab of the backing beyond the lower end takes the lanyard."
)


@dataclass(frozen=True)
class Section:
    """A heading and what stands under it; `fields` are blanks to be written on."""

    heading: str
    text: str = ""
    fields: tuple[tuple[str, ...], ...] = ()


def title(card: Card) -> str:
    """Return the page's title, without the copy's number."""
    purpose = _PURPOSE.get(card.name)
    return f"Scale card: {card.name} {purpose}" if purpose else f"Scale card: {card.name}"


def sections(card: Card, has_window: bool) -> tuple[Section, ...]:
    """Return what is printed beside `card`, in reading order."""
    window = ", and cut out the middle" if has_window else ""
    return (
        check_section(card),
        Section("Making", _MAKE.format(window=window)),
        Section("Using", _USE.get(card.name, _USE_OTHER)),
        Section(
            "Never",
            "Never fix a card by magnet or by adhesive on chrome, never clip it on a line, never touch "
            "chrome with it. Count the cards out and in: a missing one stops the swing and the sign-off.",
        ),
    )


def check_section(card: Card) -> Section:
    """Return the caution with the blanks for the measured lengths."""
    if card.check_bars_mm is None:
        return Section("Before use", PLAIN_CAUTION)
    along, across = card.check_bars_mm
    return Section(
        "Before use",
        CAUTION,
        (
            (f"the {along:g} mm bar, along:",),
            (f"the {across:g} mm bar, across:",),
            ("steel rule no.:", "checked by:"),
            ("date:", "due again:"),
        ),
    )
