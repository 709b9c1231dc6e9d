"""Weights to go on training from, out of a packed model: its folded batch norms put back.

    python unfold.py PACKED/am/network.npz OUT.npz [--people PEOPLE] [--more 1 6 11]

The shipped model keeps every layer with its batch norm folded in, one byte a weight. Here each
batch norm gets the mean and the spread of its input as its statistics and the same numbers again
as offset and gain, so that it changes nothing: the network listens as the packed one does. The
statistics are measured on real features with all that training does to them (noise, rooms,
drop-out), so that it also does so in training mode, where a batch brings its own; without PEOPLE
they are left at 0 and 1, which is right for listening only. ``--more`` puts a new block behind
each of those blocks, with its dilation; its gain begins at zero, so that it passes on what comes.
"""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from models.inputs import asking, existing, packages

if __name__ == "__main__":
    packages(__doc__, "models/train/README.md", "torch", "torchaudio")

import numpy as np
import torch
from acoustic import CONFIG, Acoustic, Block, Cepstra
from augment import augment, cut
from feeder import Feeder
from noise import bank
from speech import human, places
from torch import Tensor, nn

EPS = 1e-5
LEAST = 0.02
"""A unit that hardly ever moves is not blown up beyond this."""
STRONG = 3.5
"""Spread of the weights before a batch norm times the root of their number. The norm makes their
scale free, but the optimiser's steps count against it; those whose scale was kept lie near this."""


def layers(blocks: int) -> list[tuple[str, str, str]]:
    """(packed name, convolution, batch norm or nothing)."""
    found = [("a1", "c1", "b1"), ("l2", "c2", ""), ("a2", "c2b", "b2"), ("l3", "c3", ""),
             ("a3", "c3b", "b3")]  # fmt: skip
    for i in range(blocks):
        found += [
            (f"bl{i}", f"blocks.{i}.lin", ""),
            (f"ba{i}", f"blocks.{i}.aff", f"blocks.{i}.bn"),
        ]
    return [*found, ("out", "out", "")]


def loaded(path: Path) -> Acoustic:
    """The packed network with batch norms that do nothing."""
    with np.load(path) as found:
        packed = {k: found[k].astype(np.float32) for k in found.files}
    config = CONFIG | {"hidden": len(packed["a1.bias"]), "narrow": len(packed["l2.bias"])}
    net = Acoustic(config).eval()
    modules = dict(net.named_modules())
    with torch.no_grad():
        scale = np.diag(packed["norm.weight"]) * packed["norm.scale"]
        norm = modules["norm"]
        norm.running_var.copy_(torch.from_numpy(1 / scale**2 - EPS))
        norm.running_mean.copy_(torch.from_numpy(-packed["norm.bias"] / scale))
        for name, layer, norm_name in layers(len(config["dilations"])):
            conv = modules[layer]
            out, inner, taps = conv.weight.shape
            weight = packed[f"{name}.weight"] * packed[f"{name}.scale"][:, None]
            weight = weight.reshape(out, taps, inner).transpose(0, 2, 1)
            conv.weight.copy_(torch.from_numpy(weight.copy()))
            if conv.bias is not None:
                conv.bias.copy_(torch.from_numpy(packed[f"{name}.bias"]))
            if norm_name:
                one = modules[norm_name]
                one.running_var.fill_(1 - EPS)
    return net


def batches(people: Path, count: int, seconds: float) -> list[Tensor]:
    """Sounds as training hears them."""
    sound, items = human(people, "train")
    whole, noises = torch.from_numpy(sound), torch.from_numpy(bank(1, 2))
    torch.manual_seed(1)
    made = []
    for batch in Feeder(items, seconds, 0, 1).passes(0.0):
        x, lens = cut(whole, *places(batch), torch.rand(len(batch)) * 0.33 + 0.85)
        made.append(augment(x, lens, noises))
        if len(made) == count:
            break
    return made


def measure(net: Acoustic, sounds: list[Tensor]) -> None:
    """Give every batch norm the statistics of its input, and undo them in its gain and offset."""
    norms = {n: m for n, m in net.named_modules() if isinstance(m, nn.BatchNorm1d) and m.affine}
    sums = {n: torch.zeros(3, m.num_features, dtype=torch.float64) for n, m in norms.items()}

    def keep(name: str):  # type: ignore[no-untyped-def]
        def hook(_: nn.Module, inputs: tuple[Tensor], __: Tensor) -> None:
            x = inputs[0].double()
            sums[name] += torch.stack([torch.full_like(x[0], len(x)), x.sum(0), (x * x).sum(0)])

        return hook

    hooks = [m.register_forward_hook(keep(n)) for n, m in norms.items()]
    front = Cepstra()
    for m in net.modules():
        if isinstance(m, nn.Dropout):
            m.train()
    with torch.no_grad():
        for x in sounds:
            net(front(x + torch.randn_like(x), augment=True))
    for hook in hooks:
        hook.remove()
    net.eval()
    modules = dict(net.named_modules())
    convs = {norm: conv for _, conv, norm in layers(len(net.blocks)) if norm}
    with torch.no_grad():
        for name, norm in norms.items():
            count, total, square = sums[name]
            mean = (total / count).float()
            spread = (square / count - (total / count) ** 2).clamp_min(0).sqrt().float()
            conv = modules[convs[name]]
            even = conv.weight / spread.clamp_min(LEAST)[:, None, None]
            size = even.square().mean().sqrt() * even[0].numel() ** 0.5 / STRONG
            scale = spread.clamp_min(LEAST) * size
            conv.weight.div_(scale[:, None, None])
            conv.bias.div_(scale)
            norm.running_mean.copy_(mean / scale)
            norm.running_var.copy_((spread / scale) ** 2)
            norm.weight.copy_(scale * torch.sqrt(norm.running_var + EPS))
            norm.bias.copy_(mean)


def deepened(net: Acoustic, behind: list[int]) -> Acoustic:
    """The same function with new blocks that pass everything on (a sum of what is not negative)."""
    kept: list[nn.Module] = []
    dilations = []
    hidden, narrow = net.blocks[0].bn.num_features, net.blocks[0].lin.out_channels
    for i, block in enumerate(net.blocks):
        kept.append(block)
        dilations.append(block.dilation)
        if i in behind:
            new = Block(hidden, narrow, block.dilation, block.drop.p)
            nn.init.zeros_(new.bn.weight)
            kept.append(new)
            dilations.append(new.dilation)
    net.blocks = nn.ModuleList(kept)
    net.context = 4 + 3 * sum(dilations)
    return net.eval()


def main() -> None:
    ask = asking(__doc__)
    ask.add_argument(
        "packed",
        help="am/network.npz of a packed model",
        type=existing("the shipped one is models/farrier-en/am/network.npz"),
    )
    ask.add_argument("out", type=Path, help="the weights, .npz")
    ask.add_argument("--people", help="folder of people.py, to measure on",
                     type=existing("make it: models/train/people.py", "index*.json"))  # fmt: skip
    ask.add_argument("--more", type=int, nargs="*", default=[], help="blocks to put one behind")
    ask.add_argument("--batches", type=int, default=24, help="to measure on")
    args = ask.parse_args()
    torch.manual_seed(1)
    net = loaded(args.packed)
    if args.people:
        measure(net, batches(args.people, args.batches, 120.0))
    net = deepened(net, args.more)
    arrays = {k: v.numpy() for k, v in net.state_dict().items() if v.is_floating_point()}
    arrays = {k: v for k, v in arrays.items() if not k.startswith("front")}
    np.savez_compressed(args.out, **arrays)
    print(args.out, "dilations", [b.dilation for b in net.blocks])


if __name__ == "__main__":
    main()
