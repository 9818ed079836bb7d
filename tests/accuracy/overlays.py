"""Accepted errors above 1 mm drawn one by one: the photo is made or read again, and what was measured drawn."""

from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

from tests.accuracy.hard import draw_kind
from tests.accuracy.jobs import Row, quiet_worker, spawning
from tests.accuracy.run import measure_picture, photo_and_scale
from tests.accuracy.stats import large, name_of
from vision.overlay import annotate

MOST_BYTES = 12_000_000


def draw_large(
    rows: Sequence[Row], folder: Path, draw: Callable[[Row], bytes | None], most: int, processes: int
) -> None:
    """Draw the worst accepted errors into a folder; each row is told its overlay's path (key ``overlay``)."""
    bad = [row for row in large(rows)[:most] if not _there(row, folder)]
    if not bad:
        return
    folder.mkdir(parents=True, exist_ok=True)
    with ProcessPoolExecutor(
        min(processes, len(bad)), mp_context=spawning(), initializer=quiet_worker
    ) as pool:
        for row, drawn in zip(bad, pool.map(draw, bad), strict=True):
            if drawn is not None and len(drawn) <= MOST_BYTES:
                (folder / _file(row)).write_bytes(drawn)
                row["overlay"] = f"{folder.name}/{_file(row)}"


def _there(row: Row, folder: Path) -> bool:
    if not (folder / _file(row)).exists():
        return False
    row["overlay"] = f"{folder.name}/{_file(row)}"
    return True


def _file(row: Row) -> str:
    return f"{name_of(row).replace(' ', '_').replace('/', '_')}.jpg"


def draw_analytic(row: Row) -> bytes | None:
    """The annotated copy of an analytic case, rendered and measured again."""
    case = draw_kind(row["cell"]["set"], row["seed"])
    photo, scale = photo_and_scale(case)
    result, _ = measure_picture(case, photo, scale)
    return None if result is None else annotate(photo, result)
