"""The command `tires`: traced tires of a seed, or the demo's, each with its truth and its leg's data."""

import argparse
import json
import time
from pathlib import Path

from tests.scenes.physical.legs import write_legs
from tests.scenes.physical.tire_chance import tire_scenes
from tests.scenes.physical.tire_demo import tire_demo
from tests.scenes.physical.tire_render import finish_tire, render_tire
from tests.scenes.physical.tire_scene import TireScene
from tests.scenes.physical.tire_truth import tire_truth
from tests.scenes.tire_leg import leg_text


def add_options(command: argparse.ArgumentParser) -> None:
    """The command's options."""
    command.add_argument("--out", type=Path, required=True)
    command.add_argument("--list", choices=("demo", "random"), default="random")
    command.add_argument("--only", nargs="*", help="names of demo scenes")
    command.add_argument("--kinds", nargs="+", choices=("fair", "wide", "faults"), default=["fair"])
    command.add_argument("--n", type=int, default=10, help="scenes 0 to n-1 of each kind")
    command.add_argument("--first", type=int, default=0, help="skip the scenes before this one")
    command.add_argument("--seed", type=int, default=1)
    command.add_argument("--variant", default="cuda_ad_rgb", help="cuda_ad_rgb, llvm_ad_rgb or scalar_rgb")
    command.add_argument("--spp", type=int, default=64, help="samples a pixel, in passes of 16")
    command.add_argument("--scale", type=float, default=1.0, help="size of the picture, same field of view")
    command.add_argument("--keep", action="store_true", help="skip pictures that are there already")
    command.add_argument("--truth-only", action="store_true", help="write truth and leg files alone")


def wanted(options: argparse.Namespace) -> list[tuple[Path, TireScene]]:
    """Folder and scene of every picture asked for."""
    if options.list == "demo":
        found = [(options.out / folder, scene) for folder, scenes in tire_demo().items() for scene in scenes]
        return [(at, scene) for at, scene in found if not options.only or scene.name in options.only]
    return [
        (options.out, scene)
        for kind in options.kinds
        for scene in tire_scenes(kind, options.n, options.seed)[options.first :]
    ]


def run(options: argparse.Namespace) -> None:
    """Render every scene asked for; a scene's picture is written last."""
    if options.list == "demo":
        write_legs(options.out / "legs")
    for folder, scene in wanted(options):
        write(scene, folder, options)


def write(scene: TireScene, folder: Path, options: argparse.Namespace) -> None:
    """One scene's truth, leg and picture."""
    folder.mkdir(parents=True, exist_ok=True)
    picture = folder / f"{scene.name}.jpg"
    if options.keep and picture.exists() and not options.truth_only:
        return
    beside = json.dumps(tire_truth(scene, options.scale), indent=1)
    picture.with_suffix(".truth.json").write_text(beside + "\n", encoding="utf-8")
    if not scene.leg_file:
        picture.with_suffix(".leg.toml").write_text(leg_text(scene.case), encoding="utf-8")
    if options.truth_only:
        return
    start = time.perf_counter()
    linear = render_tire(scene, options.spp, options.scale, options.variant)
    traced = time.perf_counter() - start
    picture.write_bytes(finish_tire(linear, scene, options.scale))
    print(f"{picture}: traced {traced:.1f} s, all {time.perf_counter() - start:.1f} s", flush=True)
