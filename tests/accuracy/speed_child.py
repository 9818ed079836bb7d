"""The process whose time and memory are measured: one photo, several times; prints one line of JSON."""

import gc
import json
import sys
import time
from pathlib import Path

import cv2
import numpy as np

from tests.accuracy.photos import leg_of_truth, read_truth
from vision.card import supplied_cards
from vision.photo import read_photo
from vision.results import Reading
from vision.strut import StandOff, measure_strut

PROC = Path("/proc/self")


def memory_kb(name: str) -> int:
    """``"VmRSS"`` or ``"VmHWM"`` of this process, kB."""
    for line in (PROC / "status").read_text(encoding="ascii").splitlines():
        if line.startswith(name + ":"):
            return int(line.split()[1])
    msg = f"{PROC}/status does not tell {name}: memory is measured on Linux only"
    raise RuntimeError(msg)


def forget_peak() -> None:
    """Let the peak begin anew (proc(5), clear_refs 5), so that the imports' own is not counted."""
    (PROC / "clear_refs").write_text("5", encoding="ascii")


def clocks() -> np.ndarray:
    """Time on the wall and of this process's processors, s."""
    return np.array([time.perf_counter(), time.process_time()])


def main(photo: Path, top: Path, times: int) -> dict[str, float | str]:
    """Memory of the first measurement, then the median times of several."""
    data, truth = photo.read_bytes(), read_truth(photo)
    leg, cards = leg_of_truth(truth, photo, top), supplied_cards()
    told = truth.get("stand_off_mm")
    stand_off = StandOff(*told) if isinstance(told, list) else None
    bars = truth.get("check_bars_mm")

    def answer() -> object:
        return measure_strut(
            read_photo(data), leg, cards, stand_off=stand_off, check_bar_mm=tuple(bars) if bars else None
        )

    gc.collect()
    forget_peak()
    before = memory_kb("VmRSS")
    result = answer()
    peak_mb = (memory_kb("VmHWM") - before) * 1024 / 1e6
    decoding, answering = [], []
    for _ in range(times):
        began = clocks()
        picture = cv2.imdecode(np.frombuffer(data, np.uint8), cv2.IMREAD_COLOR)
        decoded = clocks()
        answer()
        decoding.append(decoded - began)
        answering.append(clocks() - decoded)
    picture_mb = picture.nbytes / 1e6
    # Time on the wall, and of the processors, which other work on the machine does not stretch.
    (decode, decode_cpu), (whole, whole_cpu) = (np.median(t, axis=0) for t in (decoding, answering))
    return {
        "name": photo.stem,
        "megapixels": picture.shape[0] * picture.shape[1] / 1e6,
        "status": "reading" if isinstance(result, Reading) else "refused",
        "decode_ms": float(1e3 * decode),
        "answer_ms": float(1e3 * whole),
        "time_ratio": float(whole / decode),
        "cpu_ratio": float(whole_cpu / decode_cpu),
        "peak_mb": peak_mb,
        "picture_mb": picture_mb,
        "memory_ratio": peak_mb / picture_mb,
    }


if __name__ == "__main__":
    print(json.dumps(main(Path(sys.argv[1]), Path(sys.argv[2]), int(sys.argv[3]))))
