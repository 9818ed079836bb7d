"""Command line of the scene renderer: prepare the textures, trace, finish.

python -m tests.scenes.physical prepare
python -m tests.scenes.physical render --list demo --out demo_images --variant cuda_ad_rgb --spp 256
python -m tests.scenes.physical finish --out DIR        (only after render --linear)
python -m tests.scenes.physical tires --kinds fair wide --n 60 --seed 1 --out DIR
python -m tests.scenes.physical tires --list demo --out demo_images --spp 256
python -m tests.scenes.physical hoses --n 60 --seed 1 --out DIR
"""

import argparse
import json
import time
from pathlib import Path

import numpy as np

from tests.scenes.physical import hose_command, tire_command
from tests.scenes.physical.demo import demo
from tests.scenes.physical.fair import fair_scenes
from tests.scenes.physical.legs import LEGS, write_legs
from tests.scenes.physical.render import render
from tests.scenes.physical.scene import StrutScene, from_dict
from tests.scenes.physical.textures import load, prepare
from tests.scenes.physical.truth import truth

TEXTURES = Path(".local/scene_textures")


def wanted(options: argparse.Namespace) -> list[tuple[Path, StrutScene]]:
    """Folder and scene of every picture asked for."""
    if options.list == "random":
        return [(options.out, scene) for scene in fair_scenes(options.n, options.seed)][options.first :]
    found = [(options.out / folder, scene) for folder, scenes in demo().items() for scene in scenes]
    return [(folder, scene) for folder, scene in found if not options.only or scene.name in options.only]


def run_render(options: argparse.Namespace) -> None:
    """Trace each scene, then finish it at once or leave the linear picture."""
    textures = load(options.textures)
    if options.list == "demo":
        write_legs(options.out / "legs")
    for folder, scene in wanted(options):
        folder.mkdir(parents=True, exist_ok=True)
        beside = json.dumps(truth(scene, textures.card_size_mm, options.scale), indent=1)
        (folder / f"{scene.name}.truth.json").write_text(beside + "\n", encoding="utf-8")
        picture = folder / f"{scene.name}.jpg"
        if options.truth_only or (options.keep and picture.exists()):
            continue
        start = time.perf_counter()
        linear = render(scene, textures, options.spp, options.scale, options.variant)
        traced = time.perf_counter()
        if options.linear:
            np.save(folder / f"{scene.name}.npy", linear.astype(np.float16))
        else:
            _finish(linear, scene, textures.card_size_mm, options.scale, picture)
        print(
            f"{picture}: traced {traced - start:.1f} s, all {time.perf_counter() - start:.1f} s", flush=True
        )


def run_finish(options: argparse.Namespace) -> None:
    """Finish every linear picture below the folder."""
    size = load(options.textures).card_size_mm
    for path in sorted(options.out.rglob("*.npy")):
        beside = json.loads(path.with_suffix(".truth.json").read_text(encoding="utf-8"))
        scene = from_dict(beside["scene"])
        scale = beside["camera"]["width_px"] / scene.camera.width_px
        _finish(np.load(path).astype(np.float32), scene, size, scale, path.with_suffix(".jpg"))


def _finish(
    linear: np.ndarray, scene: StrutScene, size: tuple[float, float], scale: float, picture: Path
) -> None:
    from tests.scenes.physical.finish import finish  # noqa: PLC0415 - tracing does without OpenCV

    picture.write_bytes(finish(linear, scene, size, scale))


def parser() -> argparse.ArgumentParser:
    """The commands."""
    top = argparse.ArgumentParser(prog="python -m tests.scenes.physical", description=__doc__.splitlines()[0])
    commands = top.add_subparsers(dest="command", required=True)
    for name in ("prepare", "render", "finish"):
        command = commands.add_parser(name)
        command.add_argument(
            "--textures", type=Path, default=TEXTURES, help="folder of the prepared textures"
        )
        if name != "prepare":
            command.add_argument("--out", type=Path, required=True)
    command = commands.choices["render"]
    command.add_argument("--list", choices=("demo", "random"), default="demo")
    command.add_argument("--only", nargs="*", help="names of demo scenes")
    command.add_argument("--n", type=int, default=10, help="random: scenes 0 to n-1")
    command.add_argument("--first", type=int, default=0, help="random: skip the scenes before this one")
    command.add_argument("--seed", type=int, default=1)
    command.add_argument("--variant", default="cuda_ad_rgb", help="cuda_ad_rgb, llvm_ad_rgb or scalar_rgb")
    command.add_argument("--spp", type=int, default=256, help="samples a pixel, in passes of 16")
    command.add_argument("--scale", type=float, default=1.0, help="size of the picture, same field of view")
    command.add_argument("--linear", action="store_true", help="leave linear .npy files for finish")
    command.add_argument("--keep", action="store_true", help="skip pictures that are there already")
    command.add_argument("--truth-only", action="store_true", help="write the truth files alone")
    tire_command.add_options(commands.add_parser("tires", help="traced tires with truth and leg data"))
    hose_command.add_options(commands.add_parser("hoses", help="traced hoses with truth and leg data"))
    return top


def main() -> None:
    """Run one command."""
    options = parser().parse_args()
    if options.command == "prepare":
        prepare(options.textures, [leg.tag for leg in LEGS.values() if leg.tag is not None])
    else:
        {"render": run_render, "finish": run_finish, "tires": tire_command.run, "hoses": hose_command.run}[
            options.command
        ](options)


if __name__ == "__main__":
    main()
