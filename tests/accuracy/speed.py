"""Time and memory from JPEG bytes to a reading: ``python -m tests.accuracy speed``.

Time is told as a ratio to cv2's decoding of the same bytes in the same run, the two taken by turns, so that
it means the same on any machine.  Memory is the process's peak above what it holds after its imports, as a
ratio to the decoded picture; each photo has a fresh process of its own.
"""

import argparse
import json
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

import numpy as np

DEMO = Path(__file__).parents[2] / "demo_images"
ALLOWED_TIME, ALLOWED_MEMORY = 8.0, 6.0
CHILD = "tests.accuracy.speed_child"


def photos(folder: Path) -> list[Path]:
    """The photos of a folder that have a truth file and are expected to read."""
    found = []
    for truth in sorted(folder.rglob("*.truth.json")):
        content = json.loads(truth.read_text(encoding="utf-8"))
        picture = truth.with_name(truth.name.replace(".truth.json", ".jpg"))
        if picture.exists() and (content.get("expected") or {}).get("status") != "refused":
            found.append(picture)
    return found


def measure(photo: Path, top: Path, times: int) -> dict[str, float | str]:
    """What the child process tells of one photo.

    Raises
    ------
    RuntimeError
        The child failed; its last words are in the message.
    """
    command = [sys.executable, "-m", CHILD, str(photo), str(top), str(times)]
    child = subprocess.run(
        command, capture_output=True, text=True, check=False, cwd=Path(__file__).parents[2]
    )
    if child.returncode:
        msg = f"{photo.name} could not be timed: {child.stderr.strip().splitlines()[-1:]}"
        raise RuntimeError(msg)
    told: dict[str, float | str] = json.loads(child.stdout.splitlines()[-1])
    return told


def report(rows: Sequence[dict[str, float | str]]) -> str:
    """The table as Markdown."""
    lines = [
        "| photo | MP | answer | decode ms | to the answer ms | ratio | processor ratio | peak MB | picture MB | ratio |",
        "|" + "---|" * 10,
    ]
    for row in rows:
        lines.append(
            f"| {row['name']} | {row['megapixels']:.1f} | {row['status']} | {row['decode_ms']:.0f} "
            f"| {row['answer_ms']:.0f} | {row['time_ratio']:.1f} | {row['cpu_ratio']:.1f} | {row['peak_mb']:.0f} "
            f"| {row['picture_mb']:.0f} | {row['memory_ratio']:.2f} |"
        )
    time, processors, memory = (
        np.array([float(row[key]) for row in rows]) for key in ("time_ratio", "cpu_ratio", "memory_ratio")
    )
    return "\n".join(
        [
            *lines,
            "",
            f"Time: median ratio {np.median(time):.1f}, largest {time.max():.1f} (allowed {ALLOWED_TIME:g}), "
            f"of the processors' time {np.median(processors):.1f}. "
            f"Memory: median ratio {np.median(memory):.2f}, largest {memory.max():.2f} "
            f"(allowed {ALLOWED_MEMORY:g}).",
        ]
    )


def main(argv: Sequence[str]) -> int:
    """Measure, write and print the table."""
    top = argparse.ArgumentParser(prog="python -m tests.accuracy speed", description=__doc__.splitlines()[0])
    top.add_argument("--photos", type=Path, default=DEMO, help="folder of photos with truth files")
    top.add_argument("--times", type=int, default=5, help="repetitions, of which the median counts")
    top.add_argument("--most", type=int, default=8, help="so many photos")
    top.add_argument("--out", type=Path, default=Path("build/speed"))
    options = top.parse_args(argv)
    chosen = photos(options.photos)[: options.most]
    if not chosen:
        top.error(f"no photo that is expected to read lies below {options.photos}")
    rows = []
    for photo in chosen:
        rows.append(measure(photo, options.photos, options.times))
        print(f"{photo.name}: {rows[-1]['time_ratio']:.1f}", file=sys.stderr, flush=True)
    text = report(rows)
    options.out.mkdir(parents=True, exist_ok=True)
    (options.out / "table.md").write_text(text + "\n", encoding="utf-8")
    print(text)
    return 0
