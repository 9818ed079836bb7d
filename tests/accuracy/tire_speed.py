"""Time and memory of a tire's readings: ``python -m tests.accuracy tire_speed --photos DIR``.

From JPEG bytes to the results, of traced tires (`python -m tests.scenes.physical tires`), one thread each,
as a ratio to cv2's decoding of the same bytes by turns: processor time, the best of several, since other work
on the machine only adds to it.  Memory is the peak above what the process holds, over the decoded picture.
"""

import argparse
import time
from collections.abc import Callable, Sequence
from pathlib import Path

import cv2
import numpy as np

from tests.accuracy.speed_child import forget_peak, memory_kb
from tests.accuracy.tire_case import leg_of, taps_of
from tests.accuracy.tire_photos import case_beside, find_tires, read_tire
from tests.scenes.tire_told import camera_of
from tests.scenes.wheel_scene import truth_of
from vision.results import Reading
from vision.tire import Told, measure_tire


def timed(path: Path, times: int) -> tuple[float, float, float, int]:
    """Seconds of decoding and to the results, memory over the picture's, and how many results are readings."""
    case, data = case_beside(path), path.read_bytes()
    truth, leg, camera, told = truth_of(case.scene), leg_of(case), camera_of(case), Told(rim_px=taps_of(case))
    coded = np.frombuffer(data, np.uint8)

    def answer() -> int:
        found = measure_tire(read_tire(data, case, truth), leg, camera=camera, told=told)
        return sum(isinstance(result, Reading) for result in found.results)

    forget_peak()
    before = memory_kb("VmRSS")
    readings = answer()
    peak = (memory_kb("VmHWM") - before) * 1024
    decoding, answering = [], []
    for _ in range(times):
        decoding.append(_seconds(lambda: cv2.imdecode(coded, cv2.IMREAD_COLOR)))
        answering.append(_seconds(answer))
    picture = cv2.imdecode(coded, cv2.IMREAD_COLOR)
    return min(decoding), min(answering), peak / picture.nbytes, readings


def _seconds(work: Callable[[], object]) -> float:
    began = time.process_time()
    work()
    return time.process_time() - began


def main(argv: Sequence[str]) -> int:
    """Time each photo and print its line, then the median and the worst."""
    top = argparse.ArgumentParser(
        prog="python -m tests.accuracy tire_speed", description=__doc__.splitlines()[0]
    )
    top.add_argument("--photos", type=Path, required=True, help="folder of traced tires with truth files")
    top.add_argument("--times", type=int, default=3, help="repetitions, of which the best counts")
    options = top.parse_args(argv)
    cv2.setNumThreads(1)
    ratios, memory = [], []
    for path in find_tires(options.photos):
        decode, whole, peak, readings = timed(path, options.times)
        ratios.append(whole / decode)
        memory.append(peak)
        print(
            f"{path.name}: {readings} readings, decoding {1e3 * decode:.0f} ms, to the results "
            f"{1e3 * whole:.0f} ms, ratio {ratios[-1]:.1f}; memory {peak:.1f} pictures",
            flush=True,
        )
    if not ratios:
        top.error(f"no traced tire lies below {options.photos}")
    print(f"{len(ratios)} photos: median {np.median(ratios):.1f}, worst {max(ratios):.1f} times decoding")
    print(f"memory: median {np.median(memory):.1f}, worst {max(memory):.1f} decoded pictures")
    return 0
