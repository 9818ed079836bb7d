"""The rendered tier: physically based pictures, traced in this process while a pool stages and measures.

Staging a scene (meshes, textures) and measuring a photo are work of the
processor, tracing is the graphics card's: so scenes are staged ahead in the
pool, traced one after another here, and finished (lens, noise, JPEG) and
measured in the pool again.  Pictures and their truth files stay in
``--pictures``; what is there is not traced again, what has a row is not
measured again.
"""

import argparse
import pickle
import shutil
import time
from collections import deque
from collections.abc import Iterator
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from pathlib import Path
from typing import Any

import numpy as np

from tests.accuracy.jobs import Row, RowFile, quiet_worker, spawning
from tests.accuracy.photos import measure_photo
from tests.accuracy.progress import Progress
from tests.accuracy.rendered_scenes import RenderedScene, rendered_scene, write_truth
from tests.scenes.physical.finish import finish
from tests.scenes.physical.render import stage_scene, trace
from tests.scenes.physical.textures import load, prepare

AHEAD = 4  # scenes staged before they are traced
STAGED = "staged.pickle"


def add_options(group: Any) -> None:
    """The options of the tier."""
    group.add_argument("--variant", default="cuda_ad_rgb", help="cuda_ad_rgb, llvm_ad_rgb or scalar_rgb")
    group.add_argument("--spp", type=int, default=64, help="samples a pixel, in passes of 16")
    group.add_argument("--scale", type=float, default=1.0, help="size of the picture, same field of view")
    group.add_argument("--pictures", type=Path, default=Path("build/accuracy-pictures"), help="kept there")
    group.add_argument("--textures", type=Path, help="prepared textures; made below --pictures if not given")
    group.add_argument("--minutes", type=float, help="start no further picture after so many minutes")


def run_rendered(options: argparse.Namespace) -> list[Row]:
    """Trace and measure the scenes that are not there yet; return all rows, in order."""
    if "hard" in options.sets:
        msg = 'the rendered tier has the sets "fair" and "wide": leave "hard" out'
        raise SystemExit(msg)
    run = _Run(options)
    try:
        return run.rows()
    finally:
        run.close()


class _Run:
    def __init__(self, options: argparse.Namespace) -> None:
        self.options = options
        self.began = time.monotonic()
        self.pictures: Path = options.pictures
        self.pictures.mkdir(parents=True, exist_ok=True)
        self.work = self.pictures / "work"
        shutil.rmtree(self.work, ignore_errors=True)
        self.work.mkdir()
        self.textures = options.textures or self.pictures / "textures"
        _prepared(self.textures)
        self.file = RowFile(options.out / "rows.jsonl")
        # Fresh processes: one that has opened the graphics card must not be forked.
        self.pool = ProcessPoolExecutor(options.processes, mp_context=spawning(), initializer=quiet_worker)
        self.measuring: set[Future[Row]] = set()

    def close(self) -> None:
        self.pool.shutdown(cancel_futures=True)
        shutil.rmtree(self.work, ignore_errors=True)

    def rows(self) -> list[Row]:
        wanted = [(kind, k) for kind in self.options.sets for k in range(self.options.scenes)]
        names = [f"{kind}_{self.options.seed}_{k:03d}.jpg" for kind, k in wanted]
        done = {row["name"]: row for row in self.file.rows if "name" in row}
        self.progress = Progress("rendered", len(wanted))
        missing = []
        for (kind, k), name in zip(wanted, names, strict=True):
            if name in done:
                self.progress.step(fresh=False)
            elif (self.pictures / name).exists():
                self.measuring.add(self.pool.submit(measure_photo, self.pictures / name, self.pictures))
            else:
                missing.append((kind, k))
        traced = self._trace_all(missing)
        self._collect(0)
        left = len(missing) - traced
        if left:
            print(f"{left} pictures were not begun within --minutes; the same command goes on with them")
        chosen = set(names)
        rows = {row["name"]: row for row in self.file.rows if row.get("name") in chosen}
        return [rows[name] for name in names if name in rows]

    def _trace_all(self, missing: list[tuple[str, int]]) -> int:
        """Trace in order, the next ones being staged meanwhile; return how many were traced."""
        todo = self._staged(missing)
        traced = 0
        for scene, folder in todo:
            self._trace(scene, folder)
            traced += 1
            # Linear pictures wait on the disk: no more of them than the pool can take soon.
            self._collect(2 * self.options.processes)
        return traced

    def _staged(self, missing: list[tuple[str, int]]) -> Iterator[tuple[RenderedScene, Path]]:
        waiting: deque[Future[tuple[RenderedScene, Path]]] = deque()
        numbers = iter(missing)
        while True:
            while len(waiting) < AHEAD and not self._late():
                key = next(numbers, None)
                if key is None:
                    break
                waiting.append(
                    self.pool.submit(
                        stage, *key, self.options.seed, self.options.scale, self.textures, self.work
                    )
                )
            if not waiting or self._late():
                return
            yield waiting.popleft().result()

    def _late(self) -> bool:
        minutes = self.options.minutes
        return minutes is not None and time.monotonic() - self.began > 60 * minutes

    def _trace(self, scene: RenderedScene, folder: Path) -> None:
        items = pickle.loads((folder / STAGED).read_bytes())
        linear = trace(items, scene.scene, self.options.spp, self.options.scale, self.options.variant)
        kept = self.work / f"{scene.scene.name}.npy"
        # Half precision: a thousandth of the light, less than its noise.
        np.save(kept, np.minimum(linear, 6e4).astype(np.float16))
        shutil.rmtree(folder)
        self.measuring.add(
            self.pool.submit(finish_and_measure, scene, kept, self.options.scale, self.pictures)
        )

    def _collect(self, most: int) -> None:
        """Take in what has been measured, until at most so many are still being measured."""
        while self.measuring:
            timeout = None if len(self.measuring) > most else 0
            ready, self.measuring = wait(self.measuring, timeout, FIRST_COMPLETED)
            if not ready:
                return
            for future in ready:
                self.file.append(future.result())
                self.progress.step()


def _prepared(folder: Path) -> None:
    """Make the textures where they are not there."""
    from tests.scenes.physical.legs import LEGS  # noqa: PLC0415 - only here

    if not (folder / "card.json").exists():
        prepare(folder, [leg.tag for leg in LEGS.values() if leg.tag is not None])


def stage(
    kind: str, k: int, seed: int, scale: float, textures: Path, work: Path
) -> tuple[RenderedScene, Path]:
    """Draw a scene, write its truth file and its bodies; runs in the pool."""
    scene = rendered_scene(kind, seed, k)
    folder = work / f"{scene.scene.name}.staged"
    folder.mkdir()
    items = stage_scene(scene.scene, scene.textures(load(textures)), folder)
    (folder / STAGED).write_bytes(pickle.dumps(items, protocol=pickle.HIGHEST_PROTOCOL))
    return scene, folder


def finish_and_measure(scene: RenderedScene, linear: Path, scale: float, pictures: Path) -> Row:
    """Make the photo of a linear picture, truth file first, and measure it; runs in the pool."""
    light = np.load(linear).astype(np.float32)
    data = finish(light, scene.scene, scene.card_size_mm, scale)
    linear.unlink()
    picture = pictures / f"{scene.scene.name}.jpg"
    write_truth(scene, scale, picture)
    half = picture.with_suffix(".part")
    half.write_bytes(data)
    half.rename(picture)
    return measure_photo(picture, pictures)
