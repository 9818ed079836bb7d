"""How a search of hoses reads for a person; "nothing flagged" never stands without how much was searched."""

from collections.abc import Iterator

from app.measuring.hose_request import length_share
from vision.hose import Flag, Hose, Searched
from vision.results import Refusal
from vision.units import INCH_MM

_STRENGTH = {1: "faint", 2: "clear", 3: "strong"}
_SHOW_IT = "show the hose with --tap at three places or more along it"


def describe_hoses(found: Searched | Refusal) -> str:
    """Return the search of one photo's hoses as lines of text."""
    if isinstance(found, Refusal):
        return f"Hoses: not searched\n  {found.reason}\n  What to do: {found.advice}"
    lines = [line for index, hose in enumerate(found.hoses) for line in _hose(index, hose, found)]
    if found.flags:
        lines += ["Places to look at, one by one:"]
        lines += [f"  {number} {_flag(flag)}" for number, flag in enumerate(found.flags, 1)]
    if found.set_aside:
        lines += ["Set aside; look at these too where you doubt it:"]
        lines += [f"  {flag.kind}: {_flag(flag)}" for flag in found.set_aside]
    lines += ["Notes:", *(f"  {note.text}" for note in found.notes)]
    return "\n".join(lines)


def _hose(index: int, hose: Hose, found: Searched) -> Iterator[str]:
    flags = sum(flag.hose == index for flag in found.flags)
    yield f"Hose {_letter(index)}, {hose.name or 'without a name'}"
    places = f"{flags} place{'' if flags == 1 else 's'} to look at"
    along = length_share(hose.coverage)
    if along > 0:
        yield (
            f"  {places if flags else 'nothing flagged in what was searched'}; "
            # A course ends at the outermost taps: of the hose beyond them nothing is said.
            f"{100 * along:.0f} % of the length that was shown was searched, "
            f"{100 * hose.coverage.share:.0f} % of its surface. The rest is not inspected."
        )
    else:
        yield f"  Not inspected: 0 % of the length counts as searched; {_SHOW_IT}, in calm, sharp light."
        if flags:
            yield f"  {places} all the same."


def _flag(flag: Flag) -> str:
    size = "" if flag.size_mm is None else f", {_length(flag.size_mm)}"
    along = "" if flag.along_mm is None else f", {_length(flag.along_mm)} along"
    x, y = flag.outline_px.mean(axis=0)
    return f"on {_letter(flag.hose)} at {x:.0f},{y:.0f} px, {_STRENGTH[flag.grade]}{size}{along}: {flag.why}"


def _length(mm: float) -> str:
    return f"{mm:.0f} mm ({mm / INCH_MM:.2f} in)"


def _letter(index: int) -> str:
    return chr(ord("A") + index % 26)
