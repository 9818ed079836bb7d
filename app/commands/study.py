"""`gearwitness study PAIRS.csv`: may photo readings of this leg type stand by themselves?"""

import argparse
import csv
import math
from collections.abc import Iterator
from pathlib import Path

from app import console
from app.commands.files import make_folder, write_whole
from app.commands.numbers import Number
from app.errors import UsageError
from vision.agreement import CommissioningStudy, Pair, commissioning_study, difference_plot
from vision.leg import load_leg

HELP = "hold paired hand and photo readings of a leg type against each other (commissioning)"
CARRIES, LACKS = 0, 3
COLUMNS = ("strut", "hand_mm", "hand_u_mm", "hand_by", "photo_mm", "photo_u_mm", "photo_by")
_NOTE = (
    "This study is evidence for the person who may approve it; approve nothing that the aircraft's own "
    "data or local rules do not allow."
)


def configure(parser: argparse.ArgumentParser) -> None:
    """Add what `study` understands."""
    parser.set_defaults(run=run)
    add = parser.add_argument
    add(
        "pairs", type=Path, metavar="PAIRS.csv",
        help=f"one line for each strut and visit, with the columns {', '.join(COLUMNS)}; "
        "uncertainties are expanded ones (95 %%)",
    )  # fmt: skip
    add("--leg", type=Path, required=True, metavar="LEG.toml", help="the leg's data, for its limits")
    add(
        "--allowed", type=Number("mm", 0.01, 50.0), required=True, metavar="MM",
        help="what a photo reading may differ from the hand's, with 95 %% probability",
    )  # fmt: skip
    add("--out", type=Path, metavar="DIR", help="folder for the table and the plot")


def run(options: argparse.Namespace) -> int:
    """Evaluate the study, write it down, say what it shows; return the exit status.

    Raises
    ------
    GearwitnessError
        Wrong use, or data that cannot be read.
    """
    leg = load_leg(options.leg)
    if leg.strut is None or leg.strut.lower_mm is None or leg.strut.upper_mm is None:
        msg = f"{options.leg} states no lower and upper limit of the strut: the study needs both for its span"
        raise UsageError(msg)
    pairs = list(_read(options.pairs))
    try:
        study = commissioning_study(
            pairs, allowed_mm=options.allowed, span_mm=leg.strut.upper_mm - leg.strut.lower_mm
        )
    except ValueError as error:
        msg = f"{options.pairs}: {error}"
        raise UsageError(msg) from None
    text = report(study)
    if options.out is not None:
        make_folder(options.out)
        plot = difference_plot(study.limits, [p.photo_mm for p in pairs], [p.hand_mm for p in pairs])
        write_whole(options.out / "study.md", (text + "\n").encode())
        write_whole(options.out / "study.svg", plot.encode())
        text += f"\n\nWritten: {options.out / 'study.md'}, {options.out / 'study.svg'}"
    console.say(text)
    return CARRIES if study.carries else LACKS


def report(study: CommissioningStudy) -> str:
    """Return the study in words and a table (Markdown)."""
    limits, n = study.limits, len(study.pairs)
    lines = [
        f"# Paired study: {n} pairs of {len({pair.strut for pair in study.pairs})} struts",
        "",
        "| photo minus hand | mm |",
        "|---|---|",
        f"| bias (95 % interval) | {limits.mean:+.3f} ({limits.mean_interval[0]:+.3f} to "
        f"{limits.mean_interval[1]:+.3f}) |",
        f"| standard deviation | {limits.sd:.3f} |",
        f"| limits of agreement | {limits.lower:+.3f} to {limits.upper:+.3f} |",
        f"| shown to hold 95 % of differences | {limits.holding[0]:+.3f} to {limits.holding[1]:+.3f} |",
        f"| allowed | ± {study.allowed_mm:.3f} |",
        f"| change between the leg's limits | {limits.slope * study.span_mm:+.3f} |",
        "",
        f"{study.covered} of {n} pairs agree within their combined expanded uncertainty "
        f"(so few or fewer by chance: {study.coverage_chance:.0%}).",
    ]
    lines += [
        f"- not agreed: {pair.strut}, photo {pair.photo_mm:.2f} mm, hand {pair.hand_mm:.2f} mm, "
        f"combined U {pair.combined_u_mm:.2f} mm"
        for pair in study.uncovered
    ]
    lines.append("")
    if study.carries:
        lines.append("The study carries the step from supporting to primary readings, once it is approved.")
    else:
        lines.append("Photo readings stay supporting:")
        lines += [f"- {gap}" for gap in study.gaps]
    return "\n".join([*lines, "", _NOTE])


def _read(path: Path) -> Iterator[Pair]:
    try:
        text = path.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        msg = f"{path} cannot be read ({error}): give a CSV file in UTF-8"
        raise UsageError(msg) from None
    rows = csv.DictReader(text.splitlines())
    missing = [name for name in COLUMNS if name not in (rows.fieldnames or ())]
    if missing:
        msg = f"{path} line 1: no column {', '.join(missing)}; the columns are {', '.join(COLUMNS)}"
        raise UsageError(msg)
    for row in rows:
        where = f"{path} line {rows.line_num}"
        numbers = {name: _number(row[name], name, where) for name in COLUMNS if name.endswith("_mm")}
        words = {name: _word(row[name], name, where) for name in COLUMNS if not name.endswith("_mm")}
        yield Pair(**words, **numbers)  # type: ignore[arg-type]  # the names are the columns


def _number(text: str | None, name: str, where: str) -> float:
    try:
        number = float(text or "")
    except ValueError:
        number = math.nan
    if not (math.isfinite(number) and number > 0):
        msg = f"{where}: {name} is {text!r}: a positive number of mm with a decimal point was expected"
        raise UsageError(msg)
    return number


def _word(text: str | None, name: str, where: str) -> str:
    if not (text or "").strip():
        msg = f"{where}: {name} is empty: write anything that tells struts and people apart"
        raise UsageError(msg)
    return str(text).strip()
