"""How a search of a surface reads for a person; "nothing flagged" never stands without what was searched."""

from vision.results import Refusal
from vision.surface import Flag, Searched
from vision.units import INCH_MM

_STRENGTH = {1: "faint", 2: "clear", 3: "strong"}


def describe_surface(found: Searched | Refusal) -> str:
    """Return the search of one photo's surface as lines of text."""
    if isinstance(found, Refusal):
        return f"Surface: not searched\n  {found.reason}\n  What to do: {found.advice}"
    count, share = len(found.flags), found.coverage.share
    places = f"{count} place{'' if count == 1 else 's'} to look at"
    lines = ["Surface"]
    if share > 0:
        lines.append(
            f"  {places if count else 'nothing flagged in what was searched'}; "
            f"{100 * share:.0f} % of the region was searched. The rest is not inspected."
        )
    else:
        lines.append("  Not inspected: 0 % of the region counts as searched.")
        lines += [f"  {places} all the same."] if count else []
    lines.append(f"  Looked for: places {found.least_px:.0f} to {found.most_px:.0f} px long.")
    if count:
        lines.append("Places to look at, one by one:")
        lines += [f"  {number} {_flag(flag)}" for number, flag in enumerate(found.flags, 1)]
    if found.set_aside:
        lines.append("Set aside; look at these too where you doubt it:")
        lines += [f"  {flag.kind}: {_flag(flag)}" for flag in found.set_aside]
    lines += ["Notes:", *(f"  {note.text}" for note in found.notes)]
    return "\n".join(lines)


def _flag(flag: Flag) -> str:
    x, y = flag.middle_px
    size = (
        f"{flag.size_px:.0f} px, size not known"
        if flag.size_mm is None
        else f"{flag.size_mm:.0f} mm ({flag.size_mm / INCH_MM:.2f} in)"
    )
    return f"at {x:.0f},{y:.0f} px, {_STRENGTH[flag.grade]}, {size}: {flag.why}"
