"""``python -m tests.training.hose_net``: train the network of `vision/hose/net.py` on strips; needs torch and a GPU.

Reads NPZ files of `hose_strips` and writes an ONNX file. Nine tenths of the strips train, the others tell
recall and false places by cover and by threshold.
"""

import argparse
import json
import time
from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np
import torch
from scipy import ndimage
from torch import nn
from torch.nn import functional

from tests.training.hose_strips import REACH as STORED_REACH
from vision.hose.dust import FLOOR
from vision.hose.net import CLASSES
from vision.hose.net_strip import CHANNELS, COVERS, REACH, ROWS
from vision.hose.ribbon import LUMA
from vision.photo import SRGB

COLUMNS, WINDOW = 448, 560  # given to the network; cut out before it is widened
WEAR = CLASSES.index("wear")
_CLASS_WEIGHTS = (0.6, 3.0, 1.0, 1.0, 1.0, 1.5, 1.0, 1.0)
_THRESHOLDS = (0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8)


class Net(nn.Module):
    """Eight channels (B, 8, R, C) in, eight classes (B, 8, R/2, C/2) out."""

    def __init__(self) -> None:
        super().__init__()
        self.stem = nn.Sequential(_conv(CHANNELS, 24, 5, 2), _conv(24, 24))
        self.middle = nn.Sequential(_conv(24, 48, 3, 2), _conv(48, 48))
        self.deep = nn.Sequential(
            _conv(48, 96, 3, 2), _conv(96, 96), _conv(96, 96, along=2), _conv(96, 96, along=4)
        )
        self.up_middle, self.join_middle = nn.Conv2d(96, 48, 1), _conv(48, 48)
        self.up_stem, self.join_stem = nn.Conv2d(48, 24, 1), _conv(24, 24)
        self.head = nn.Conv2d(24, len(CLASSES), 1)

    def forward(self, given: torch.Tensor) -> torch.Tensor:
        stem = self.stem(given)
        middle = self.middle(stem)
        deep = self.deep(middle)
        middle = self.join_middle(middle + functional.interpolate(self.up_middle(deep), scale_factor=2.0))
        stem = self.join_stem(stem + functional.interpolate(self.up_stem(middle), scale_factor=2.0))
        out: torch.Tensor = self.head(stem)
        return out


def _conv(inner: int, outer: int, size: int = 3, step: int = 1, along: int = 1) -> nn.Sequential:
    pad = (size // 2, size // 2 * along)
    return nn.Sequential(
        nn.Conv2d(inner, outer, size, step, pad, dilation=(1, along), bias=False),
        nn.BatchNorm2d(outer),
        nn.ReLU(inplace=True),
    )


class Strips:
    """All strips on the GPU, and windows drawn from them."""

    def __init__(self, files: Sequence[Path], device: str) -> None:
        coded, classes, ends, covers, traced = [], [], [0], [], []
        for path in files:
            one = np.load(path)
            coded.append(one["coded"])
            classes.append(one["classes"])
            ends += (one["ends"][1:] + ends[-1]).tolist()
            covers += one["covers"].tolist()
            traced += [path.name.startswith("traced")] * len(one["covers"])
        self.classes_np, self.ends = np.concatenate(classes, axis=1), np.array(ends)
        self.covers, self.traced = np.array(covers), np.array(traced)
        self.coded = torch.from_numpy(np.concatenate(coded, axis=1)).to(device)
        self.classes = torch.from_numpy(self.classes_np).to(device)
        self.held_out = np.arange(len(self.covers)) % 10 == 0
        self.wear = [np.flatnonzero((self.classes_np[:, a:b] == WEAR).any(axis=0)) for a, b in self.spans()]

    def spans(self) -> Iterator[tuple[int, int]]:
        return zip(self.ends[:-1].tolist(), self.ends[1:].tolist(), strict=True)

    def batch(self, rng: np.random.Generator, size: int) -> tuple[torch.Tensor, torch.Tensor, torch.Tensor]:
        """Coded windows (B, 3, R, WINDOW), classes (B, R, WINDOW) and covers (B,)."""
        weight = np.where(self.held_out, 0.0, 1.0) * np.where(self.traced, self._traced_weight(), 1.0)
        chosen = rng.choice(len(self.covers), size, p=weight / weight.sum())
        starts = []
        for k in chosen:
            a, b = int(self.ends[k]), int(self.ends[k + 1])
            at = rng.integers(0, b - a)
            if len(self.wear[k]) and rng.random() < 0.5:
                at = int(rng.choice(self.wear[k])) + int(rng.integers(-150, 150))
            starts.append(a + int(np.clip(at - WINDOW // 2, 0, max(b - a - WINDOW, 0))))
        first = torch.tensor(starts, device=self.coded.device)
        last = torch.tensor(self.ends[chosen + 1] - 1, device=self.coded.device)
        columns = first[:, None] + torch.arange(WINDOW, device=first.device)[None]
        outside = columns > last[:, None]
        columns = torch.minimum(columns, last[:, None])
        coded = self.coded[:, columns].permute(1, 3, 0, 2).float()
        classes = self.classes[:, columns].permute(1, 0, 2).long()
        classes = classes.masked_fill(outside[:, None], -1)
        return coded, classes, torch.tensor(self.covers[chosen], device=first.device)

    def _traced_weight(self) -> float:
        """So that traced strips are about half of what is seen."""
        some = max(int((self.traced & ~self.held_out).sum()), 1)
        return max(1.0, ((~self.traced & ~self.held_out).sum()) / some)


def moved(
    coded: torch.Tensor, classes: torch.Tensor, generator: torch.Generator
) -> tuple[torch.Tensor, torch.Tensor]:
    """Cut (ROWS, COLUMNS) out of windows, a little shifted, widened and flipped."""
    size, device = len(coded), coded.device

    def chance(low: float, high: float) -> torch.Tensor:
        return low + (high - low) * torch.rand(size, generator=generator, device=device)

    flip_x, flip_y = (torch.sign(chance(-1, 1)) for _ in range(2))
    across = REACH / STORED_REACH * torch.exp(chance(-0.09, 0.09)) * flip_y
    along = COLUMNS / WINDOW * torch.exp(chance(-0.2, 0.2)) * flip_x
    theta = torch.zeros(size, 2, 3, device=device)
    theta[:, 0, 0], theta[:, 1, 1] = along, across
    theta[:, 1, 2] = chance(-0.05, 0.05)
    grid = functional.affine_grid(theta, [size, 1, ROWS, COLUMNS], align_corners=True)
    out = functional.grid_sample(coded, grid, align_corners=True, padding_mode="border")
    told = functional.grid_sample(
        classes[:, None].float() + 1, grid, mode="nearest", align_corners=True, padding_mode="zeros"
    )[:, 0]
    return out, told.round().long() - 1


def disturbed(coded: torch.Tensor, generator: torch.Generator) -> torch.Tensor:
    """Other light, colour, tone curve, dust, softness and noise than the scenes have; coded light."""
    size, device = len(coded), coded.device

    def normal(*shape: int) -> torch.Tensor:
        return torch.randn(*shape, generator=generator, device=device)

    def chance(*shape: int) -> torch.Tensor:
        return torch.rand(*shape, generator=generator, device=device)

    lut = torch.tensor(np.asarray(SRGB.lut), device=device, dtype=torch.float32)
    linear = _through(lut, coded)
    gain = torch.exp(0.35 * normal(size, 1, 1, 1) + 0.12 * normal(size, 3, 1, 1))
    even = functional.interpolate(normal(size, 1, 1, 5), (1, COLUMNS), mode="bicubic", align_corners=True)
    gain = gain * torch.exp(0.25 * chance(size, 1, 1, 1) * even)
    for cells in ((4, 24), (8, 60)):
        patchy = functional.interpolate(normal(size, 1, *cells), (ROWS, COLUMNS), mode="bicubic")
        brown = torch.tensor([1.0, 0.85, 0.55], device=device).view(1, 3, 1, 1)
        tint = torch.where(chance(size, 1, 1, 1) < 0.5, brown, torch.ones_like(brown))
        strength = 0.1 * chance(size, 1, 1, 1) * (chance(size, 1, 1, 1) < 0.5)
        gain = gain * torch.exp(strength * patchy * tint)
    linear = (linear * gain).clamp(1e-5, 1)
    linear = linear ** torch.exp(0.15 * normal(size, 1, 1, 1))
    soft = functional.avg_pool2d(linear, 3, 1, 1, count_include_pad=False)
    linear = torch.lerp(linear, soft, (chance(size, 1, 1, 1) * 1.4 - 0.6).clamp(0, 0.8))
    noisy = linear + normal(*linear.shape) * 0.012 * chance(size, 1, 1, 1) * (linear + 0.02).sqrt()
    return noisy.clamp(0, 1)


def _through(lut: torch.Tensor, coded: torch.Tensor) -> torch.Tensor:
    low = coded.clamp(0, 255).floor().long().clamp(max=254)
    return torch.lerp(lut[low], lut[low + 1], coded.clamp(0, 255) - low)


def channels(linear: torch.Tensor, covers: torch.Tensor) -> torch.Tensor:
    """As `vision.hose.net_strip.channels`, of linear light (B, 3, R, C)."""
    luma = torch.log((linear * torch.tensor(LUMA, device=linear.device).view(1, 3, 1, 1)).sum(1) + FLOOR)
    log = torch.log(linear + FLOOR)
    red, blue = log[:, 0] - log[:, 1], log[:, 2] - log[:, 1]
    size, rows, columns = luma.shape

    def off(one: torch.Tensor) -> torch.Tensor:
        return one - one.flatten(1).median(dim=1).values[:, None, None]

    across = torch.linspace(-1, 1, rows, device=luma.device)[None, :, None].expand(size, rows, columns)
    told = [(covers == k).float()[:, None, None].expand(size, rows, columns) for k in range(len(COVERS))]
    by_row = luma - luma.median(dim=2, keepdim=True).values
    return torch.stack([off(luma), by_row, off(red), off(blue), across, *told], dim=1)


def loss_of(out: torch.Tensor, classes: torch.Tensor) -> torch.Tensor:
    """Weighted cross entropy and what the wear's overlap lacks."""
    told = classes[:, ::2, ::2]
    weights = torch.tensor(_CLASS_WEIGHTS, device=out.device)
    entropy = functional.cross_entropy(out, told, weight=weights, ignore_index=-1)
    known = (told >= 0).float()
    wear, truth = out.softmax(1)[:, WEAR] * known, (told == WEAR).float()
    common = (wear * truth).sum()
    return entropy + 0.5 * (1 - (2 * common + 1) / (wear.sum() + truth.sum() + 1))


@torch.no_grad()
def held_out_figures(net: Net, strips: Strips) -> dict[str, dict[str, list[float]]]:
    """For each tier and cover: worn places, those found and false places at each threshold."""
    net.eval()
    lut = torch.tensor(np.asarray(SRGB.lut), device=strips.coded.device, dtype=torch.float32)
    figures: dict[str, dict[str, list[float]]] = {}
    inner = (strips.coded.shape[0] - 1) / 2 + (
        strips.coded.shape[0] - 1
    ) / 2 * REACH / STORED_REACH * np.linspace(-1, 1, ROWS)
    rows = torch.tensor(np.round(inner).astype(int), device=strips.coded.device)
    for k, (a, b) in enumerate(strips.spans()):
        if not strips.held_out[k] or b - a < 64:
            continue
        last = a + (b - a) // 16 * 16
        coded = strips.coded[rows, a:last].permute(2, 0, 1)[None].float()
        given = channels(_through(lut, coded), torch.tensor([strips.covers[k]], device=coded.device))
        wear = net(given).softmax(1)[0, WEAR].cpu().numpy()
        truth, n = ndimage.label(strips.classes_np[rows.cpu().numpy()][::2, a:last:2] == WEAR)
        inside = np.abs(np.linspace(-REACH, REACH, len(wear))) < 0.95
        where = f"{'traced' if strips.traced[k] else 'drawn'} {COVERS[strips.covers[k]]}"
        row = figures.setdefault(where, {"strips": [0], "worn": [0], "found": [0] * 7, "false": [0] * 7})
        row["strips"][0] += 1
        row["worn"][0] += n
        for i, least in enumerate(_THRESHOLDS):
            parts, m = ndimage.label((wear > least) & inside[:, None])
            sizes = ndimage.sum(parts > 0, parts, np.arange(1, m + 1))
            hit = set()
            for part in np.flatnonzero(np.asarray(sizes) >= 6) + 1:
                mine = set(np.unique(truth[parts == part]).tolist()) - {0}
                hit |= mine
                row["false"][i] += not mine
            row["found"][i] += len(hit)
    net.train()
    return figures


def main(argv: Sequence[str] | None = None) -> int:
    """Train for some seconds, tell, and write the network."""
    parser = argparse.ArgumentParser(prog="python -m tests.training.hose_net", description=__doc__)
    parser.add_argument("--strips", type=Path, nargs="+", required=True)
    parser.add_argument("--seconds", type=float, default=400)
    parser.add_argument("--batch", type=int, default=96)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--out", type=Path, required=True, help="ONNX file")
    asked = parser.parse_args(argv)
    torch.manual_seed(asked.seed)
    device = "cuda" if torch.cuda.is_available() else "cpu"
    strips = Strips(asked.strips, device)
    net = Net().to(device)
    print(
        len(strips.covers),
        "strips,",
        int(strips.traced.sum()),
        "traced;",
        sum(p.numel() for p in net.parameters()),
        "weights",
    )
    best = torch.optim.AdamW(net.parameters(), lr=2e-3, weight_decay=1e-3)
    rng, generator = np.random.default_rng(asked.seed), torch.Generator(device).manual_seed(asked.seed)
    began, step, total, count = time.monotonic(), 0, 0.0, 0
    while (gone := (time.monotonic() - began) / asked.seconds) < 1:
        for group in best.param_groups:
            group["lr"] = 2e-3 * min(1, step / 200) * (0.5 + 0.5 * np.cos(np.pi * gone)) + 1e-6
        coded, classes, covers = strips.batch(rng, asked.batch)
        coded, classes = moved(coded, classes, generator)
        loss = loss_of(net(channels(disturbed(coded, generator), covers)), classes)
        best.zero_grad(set_to_none=True)
        loss.backward()
        best.step()
        step, count = step + 1, count + 1
        if step % 50 == 0:
            total += float(loss)
        if step % 1000 == 0:
            print(f"step {step}, {gone:.0%}: loss {total / 20:.4f}", flush=True)
            total = 0.0
        if step % 4000 == 0:
            print(json.dumps(held_out_figures(net, strips)), flush=True)
    print("thresholds", _THRESHOLDS, "\n", json.dumps(held_out_figures(net, strips), indent=0), flush=True)
    torch.save(net.state_dict(), asked.out.with_suffix(".pt"))
    export(net, asked.out)
    return 0


def export(net: Net, path: Path) -> None:
    """Write the network as ONNX with its normalisation folded into the convolutions."""
    net = net.cpu().eval()
    for part in net.modules():
        if isinstance(part, nn.Sequential) and len(part) == 3 and isinstance(part[1], nn.BatchNorm2d):
            part[0] = nn.utils.fuse_conv_bn_eval(part[0], part[1])
            part[1] = nn.Identity()
    given = torch.zeros(1, CHANNELS, ROWS, COLUMNS)
    torch.onnx.export(
        net, (given,), str(path), input_names=["strip"], output_names=["classes"], opset_version=17,
        dynamic_axes={"strip": {3: "columns"}, "classes": {3: "half"}}, dynamo=False,
    )  # fmt: skip
    print(f"{path}: {path.stat().st_size / 1e6:.2f} MB")


if __name__ == "__main__":
    raise SystemExit(main())
