"""The command `hoses`: traced photos of hoses of a seed, each with its truth and its leg's data.

A run that is started again goes on where it stopped: a picture that is there is not traced again.
"""

import argparse
import json
import time
from pathlib import Path

from tests.scenes.physical.hose_chance import STREAM, hose_scenes
from tests.scenes.physical.hose_demo import LEG_FILE, hose_demo, leg_toml
from tests.scenes.physical.hose_render import finish_hoses, render_hoses
from tests.scenes.physical.hose_scene import HoseScene
from tests.scenes.physical.hose_truth import hose_truth, leg_text


def add_options(command: argparse.ArgumentParser) -> None:
    """The command's options."""
    command.add_argument("--out", type=Path, required=True)
    command.add_argument("--list", choices=("random", "demo"), default="random")
    command.add_argument("--only", nargs="*", help="names of demo scenes")
    command.add_argument("--kinds", nargs="+", choices=tuple(STREAM), default=["fair"])
    command.add_argument("--n", type=int, default=10, help="scenes 0 to n-1 of each kind")
    command.add_argument("--first", type=int, default=0, help="skip the scenes before this one")
    command.add_argument("--seed", type=int, default=1)
    command.add_argument("--variant", default="cuda_ad_rgb", help="cuda_ad_rgb, llvm_ad_rgb or scalar_rgb")
    command.add_argument("--spp", type=int, default=64, help="samples a pixel, in passes of 16")
    command.add_argument("--scale", type=float, default=1.0, help="size of the picture, same field of view")


def run(options: argparse.Namespace) -> None:
    """Render every scene asked for that is not there yet."""
    if options.list == "demo":
        legs = options.out / "legs"
        legs.mkdir(parents=True, exist_ok=True)
        (legs / LEG_FILE).write_text(leg_toml(), encoding="utf-8")
        for scene in hose_demo():
            if not options.only or scene.name in options.only:
                write(scene, options.out / "hoses", options)
        return
    for kind in options.kinds:
        for scene in hose_scenes(kind, options.n, options.seed)[options.first :]:
            write(scene, options.out, options)


def write(scene: HoseScene, folder: Path, options: argparse.Namespace) -> None:
    """One scene's truth, leg and picture, the picture last and under its name only when it is whole."""
    folder.mkdir(parents=True, exist_ok=True)
    picture = folder / f"{scene.name}.jpg"
    if picture.exists():
        return
    beside = json.dumps(hose_truth(scene, options.scale))
    picture.with_suffix(".truth.json").write_text(beside + "\n", encoding="utf-8")
    if not scene.leg_file:
        picture.with_suffix(".leg.toml").write_text(leg_text(scene), encoding="utf-8")
    start = time.perf_counter()
    linear = render_hoses(scene, options.spp, options.scale, options.variant)
    traced = time.perf_counter() - start
    part = picture.with_suffix(".part")
    part.write_bytes(finish_hoses(linear, scene, options.scale))
    part.replace(picture)
    print(f"{picture}: traced {traced:.1f} s, all {time.perf_counter() - start:.1f} s", flush=True)
