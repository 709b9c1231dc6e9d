"""Training on human and synthetic speech, on every GPU of the machine: CTC, then MMI as well.

    python train.py PEOPLE SYNTHETIC TOKENS.jsonl.gz OUT --total 900 --until 540

PEOPLE comes from people.py, SYNTHETIC from synthesise.py. The schedule runs over ``--total``
seconds of training; a call stops at ``--until`` and the next one goes on from OUT/state.pt. People
count more later on, and from ``--mmi`` of the schedule the loss is mostly lattice-free MMI
(denominator.py). Speech that SYNTHETIC gains meanwhile is taken in between two passes.
After it ``--tail`` seconds of mostly MMI may follow at a low rate of their own, once the weights
at the end of the schedule are kept. Exponential averages of the weights are what is kept, at
``--also`` shares of the schedule as well, and every ``SAVED`` seconds in case the machine goes.
Prints the greedy phone error on held-out speakers.
"""

from __future__ import annotations

import argparse
import gzip
import json
import math
import os
import sys
import time
from collections.abc import Iterator
from multiprocessing.pool import ThreadPool
from pathlib import Path
from typing import Any

import numpy as np
import torch
import torch.distributed as dist
import torch.multiprocessing as mp
import torch.nn.functional as F
from acoustic import CONFIG, Acoustic, Cepstra, frames_of
from augment import augment, cut
from denominator import Denominator, phone_trigram
from noise import bank
from torch import Tensor

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "graph"))

from phones import ID, from_misaki

SEED = 7
LONGEST = 17 * 16000
WEIGHTS = {"l": (3, 5), "s": (1, 1.5), "w": (0.7, 0.7), "a": (2, 1), "f": (0.8, 0.6)}
"""How often a corpus is used per pass, at the beginning and at the end; others once."""
CTC_BESIDE_MMI = 0.15
SAVED = 60.0
UNCHECKED, BELIEVED = "gqa", 1.5
"""Corpora not checked by anybody, and the loss per phone (nats) up to which they are used."""
Item = tuple[int, int, list[int], str]
"""Offset, samples, phones, corpus."""


def human(folder: Path, part: str) -> tuple[np.ndarray, list[Item]]:
    """All recordings of one part end to end, loudness made even."""
    rows = [
        row
        for index in sorted(folder.glob("index*.json"))
        for row in json.loads(index.read_text())[part]
    ]
    cache = folder / f"{part}.npy"
    if cache.exists():
        sound = np.load(cache)
    else:
        import soundfile
        import torchaudio.functional as AF

        def piece(row: list[Any]) -> np.ndarray:
            x, rate = soundfile.read(folder / row[0], dtype="float32", always_2d=True)
            x = x.mean(1)
            if rate != 16000:
                x = AF.resample(torch.from_numpy(x), rate, 16000).numpy()
            x = np.pad(x[: row[1]], (0, max(0, row[1] - len(x))))
            return (x / (np.abs(x).max() + 1e-4) * 0.6 * 32767).astype(np.int16)

        pieces = ThreadPool(16).map(piece, rows, chunksize=20)
        sound = np.concatenate(pieces)
        temporary = cache.with_suffix(f".{os.getpid()}.npy")
        np.save(temporary, sound)
        temporary.replace(cache)
    items, at = [], 0
    for _, n, phones, corpus in rows:
        items.append((at, n, phones, corpus))
        at += n
    return sound, [i for i in items if _fits(i)]


def spoken_by(tokens: Path) -> dict[int, list[int]]:
    """The phones of each synthetic utterance."""
    with gzip.open(tokens, "rt", encoding="utf-8") as lines:
        return {d["i"]: [ID[p] for p in from_misaki(d["p"])] for d in map(json.loads, lines)}


def synthetic(
    folder: Path, said: dict[int, list[int]], known: set[str], at: int = 0
) -> tuple[np.ndarray, list[Item]]:
    """Synthetic utterances of files not ``known`` yet, end to end, as from sample ``at`` on."""
    sounds, items = [], list[Item]()
    for meta in sorted(folder.glob("m*.json")):
        if meta.name in known:
            continue
        known.add(meta.name)
        sounds.append(np.load(folder / meta.name.replace("m", "a", 1).replace(".json", ".npy")))
        for i, n in json.loads(meta.read_text()):
            letter = "f" if meta.name.startswith("mf") else "k"
            items.append((at, n, said[i], letter))
            at += n
    if not sounds:
        return np.zeros(0, np.int16), []
    return np.concatenate(sounds), [i for i in items if _fits(i)]


def _fits(item: Item) -> bool:
    frames = (frames_of(item[1]) + 2) // 3
    return 5000 < item[1] < LONGEST and 0 < len(item[2]) * 1.12 < frames


def hours_of(items: list[Item]) -> dict[str, float]:
    samples = {c: sum(i[1] for i in items if i[3] == c) for c in sorted({i[3] for i in items})}
    return {c: round(n / 57.6e6, 2) for c, n in samples.items()}


class Feeder:
    """Batches of about equally long utterances, mixed anew in every pass."""

    def __init__(self, items: list[Item], seconds: float, rank: int, world: int) -> None:
        self.by: dict[str, list[Item]] = {}
        self.add(items)
        self.most = int(seconds * 16000)
        self.rank, self.world = rank, world
        self.rng = np.random.default_rng(SEED)

    def add(self, items: list[Item]) -> None:
        for item in items:
            self.by.setdefault(item[3], []).append(item)

    def passes(self, done: float) -> Iterator[list[Item]]:
        """The batches of one pass, this rank's share; ``done`` is the share of time gone."""
        bend = min(1.0, max(0.0, (done - 0.3) / 0.5))
        chosen: list[Item] = []
        for corpus, found in sorted(self.by.items()):
            early, late = WEIGHTS.get(corpus, (1, 1))
            times = early + bend * (late - early)
            extra = self.rng.random(len(found)) < times % 1
            chosen += found * int(times) + [i for i, more in zip(found, extra, strict=True) if more]
        keys = [i[1] * self.rng.uniform(0.9, 1.1) for i in chosen]
        chosen = [chosen[k] for k in np.argsort(keys)]
        batches: list[list[Item]] = []
        now: list[Item] = []
        longest = 0
        for item in chosen:
            if now and max(longest, item[1]) * (len(now) + 1) > self.most:
                batches.append(now)
                now, longest = [], 0
            now.append(item)
            longest = max(longest, item[1])
        order = self.rng.permutation(len(batches))
        order = order[: len(order) // self.world * self.world]
        for b in order[self.rank :: self.world]:
            yield batches[b]


def greedy_error(
    net: torch.nn.Module, front: Cepstra, sound: Tensor, items: list[Item]
) -> dict[str, float]:
    """Phone error rate per corpus, best phone per frame, no language model."""
    net.eval()
    wrong: dict[str, int] = {}
    total: dict[str, int] = {}
    with torch.no_grad():
        for at, n, phones, corpus in items:
            out = net(front(sound[at : at + n].float()[None]))[0].argmax(-1).tolist()
            heard = [p for p, q in zip(out, [0, *out], strict=False) if p and p != q]
            wrong[corpus] = wrong.get(corpus, 0) + _distance(heard, phones)
            total[corpus] = total.get(corpus, 0) + len(phones)
    net.train()
    return {c: round(wrong[c] / total[c], 4) for c in wrong}


def _distance(a: list[int], b: list[int]) -> int:
    row = list(range(len(b) + 1))
    for i, x in enumerate(a, 1):
        before, row[0] = row[0], i
        for j, y in enumerate(b, 1):
            before, row[j] = row[j], min(row[j] + 1, row[j - 1] + 1, before + (x != y))
    return row[-1]


def run(rank: int, world: int, args: argparse.Namespace) -> None:
    CONFIG.update(hidden=args.hidden, narrow=args.narrow, dilations=args.dilations)
    gpu = torch.cuda.is_available()
    dev = torch.device(f"cuda:{rank}" if gpu else "cpu")
    if gpu:
        torch.cuda.set_device(rank)
        torch.backends.cudnn.benchmark = False
        torch.backends.cuda.matmul.allow_tf32 = True
        torch.backends.cudnn.allow_tf32 = True
    if world > 1:
        os.environ.setdefault("MASTER_ADDR", "127.0.0.1")
        os.environ.setdefault("MASTER_PORT", "29511")
        dist.init_process_group("nccl" if gpu else "gloo", rank=rank, world_size=world)
    began = time.time()
    torch.manual_seed(args.seed + rank)
    people, items = human(args.people, "train")
    said, known = spoken_by(args.tokens), set[str]()
    made, more = synthetic(args.synthetic, said, known, len(people))
    items += more
    sound = torch.from_numpy(np.concatenate([people, made])).to(dev)
    dev_sound, dev_items = human(args.people, "dev")
    dev_wave = torch.from_numpy(dev_sound).to(dev)
    noises = torch.from_numpy(bank(args.seed, args.noises)).to(dev)
    if rank == 0:
        took = f"loaded in {time.time() - began:.0f} s"
        print(took, hours_of(items), "dev", hours_of(dev_items), flush=True)
    front, net = Cepstra().to(dev), Acoustic().to(dev)
    if args.begin:
        with np.load(args.begin) as found:
            kept = {k: torch.from_numpy(found[k]).float() for k in found.files}
        net.load_state_dict(kept, strict=False)
    average = Acoustic().to(dev)
    average.load_state_dict(net.state_dict())
    optimiser = torch.optim.AdamW(
        net.parameters(), lr=args.lr, weight_decay=1e-2, betas=(0.9, 0.98), fused=gpu
    )
    spent, step = 0.0, 0
    state = args.out / "state.pt"
    if state.exists():
        kept = torch.load(state, map_location=dev, weights_only=False)
        net.load_state_dict(kept["net"])
        average.load_state_dict(kept["average"])
        optimiser.load_state_dict(kept["optimiser"])
        spent, step = kept["spent"], kept["step"]
    model: torch.nn.Module = net
    if spent or args.begin:
        items = believed(items, average, front, sound)
    if world > 1:
        model = torch.nn.parallel.DistributedDataParallel(net, device_ids=[rank] if gpu else None)
    losses = Losses(items, len(CONFIG["phones"]) - 1, dev)
    feeder = Feeder(items, args.batch_seconds, rank, world)
    feeder.rng = np.random.default_rng(args.seed + step)
    start, shown, last_test = time.time(), time.time(), time.time()
    smooth: Tensor | None = None
    also = [x for x in args.also if x * args.total > spent]
    until = min(args.until, args.total)
    saved, tail = time.time(), False
    stop = torch.zeros(1, device=dev)
    slow, quick = kept_of(average), kept_of(net)

    def keep_now(name: str, every: int = 4) -> None:
        report(args, name, average, spent + time.time() - start, step, front,
               dev_wave, dev_items[::every], sound, items)  # fmt: skip

    while not stop.item():
        # Every rank must make the same plan, so rank 0's clock counts.
        done = torch.tensor([(spent + time.time() - start) / args.total], device=dev)
        if world > 1:
            dist.broadcast(done, 0)
        for batch in feeder.passes(float(done)):
            gone = spent + time.time() - start
            share = min(1.0, gone / args.total)
            rate = args.lr * min(1, step / 300) * (0.5 * (1 + math.cos(math.pi * share)) + 0.004)
            if tail:
                rate = args.tail_lr * max(0.0, (until - gone) / args.tail)
            for group in optimiser.param_groups:
                group["lr"] = rate
            mmi = 1.0 if tail else min(1.0, max(0.0, (share - args.mmi) / 0.05))
            loss = one_step(model, front, optimiser, losses, mmi, batch, sound, noises)
            step += 1
            keep = min(0.998 if tail else 0.9995, (1 + step) / (20 + step))
            with torch.no_grad():
                torch._foreach_lerp_(slow, quick, 1 - keep)
            smooth = loss if smooth is None else smooth.lerp(loss, 0.02)
            if rank == 0 and time.time() - shown > 20:
                shown = time.time()
                where = f"{gone:4.0f} s step {step} loss {float(smooth):.3f}"
                print(where, f"lr {rate:.5f} mmi {mmi:.2f}", flush=True)
            if rank == 0 and time.time() - last_test > 150:
                print("   dev", greedy_error(average, front, dev_wave, dev_items[::4]), flush=True)
                last_test = time.time()
            if also and share >= also[0]:
                if rank == 0:
                    keep_now(f"{args.name}-{also[0]:g}")
                also = also[1:]
            if rank == 0 and time.time() - saved > SAVED:
                keep_average(average, f"{args.name}-last")
                saved = time.time()
            if step % 10 == 0:
                stop.fill_(float(gone >= until))
                if world > 1:
                    dist.broadcast(stop, 0)
                if stop.item():
                    break
        if stop.item() and args.tail and not tail and until == args.total:
            if rank == 0:
                keep_now(args.name, 1)
            # The clock of the tail begins when that is measured.
            start, spent, tail, until = time.time(), until, True, until + args.tail
            args.name += "-tail"
            stop.zero_()
        # One process only: with several they could see different files.
        if world == 1:
            made, more = synthetic(args.synthetic, said, known, len(sound))
            if more:
                sound = torch.cat([sound, torch.from_numpy(made).to(dev)])
                feeder.add(more)
                items += more
                print("now", hours_of(items), flush=True)
    if rank == 0:
        finish(args, net, average, optimiser, spent + time.time() - start, step, front,
               dev_wave, dev_items, sound, items)  # fmt: skip
    if world > 1:
        dist.barrier()
        dist.destroy_process_group()


def believed(items: list[Item], net: torch.nn.Module, front: Cepstra, sound: Tensor) -> list[Item]:
    """Without recordings in which a half-trained network does not find the words at all.

    Only for corpora whose transcripts nobody checked against the sound.
    """
    net.eval()
    kept = [i for i in items if i[3] not in UNCHECKED]
    asked = sorted((i for i in items if i[3] in UNCHECKED), key=lambda i: i[1])
    before = len(kept) + len(asked)
    for k in range(0, len(asked), 64):
        some = asked[k : k + 64]
        starts, sizes = (torch.tensor([i[c] for i in some]) for c in (0, 1))
        with torch.no_grad():
            x, lens = cut(sound, starts, sizes, torch.ones(len(some)))
            scores = net(front(x)).transpose(0, 1)
            loss = F.ctc_loss(
                scores, torch.tensor([p for i in some for p in i[2]], device=sound.device),
                ((frames_of(lens) + 2) // 3).clamp(max=len(scores)),
                torch.tensor([len(i[2]) for i in some]), reduction="none",
            )  # fmt: skip
        kept += [i for i, x in zip(some, loss.tolist(), strict=True) if x < BELIEVED * len(i[2])]
    net.train()
    print("not believed:", before - len(kept), "of", len(asked), flush=True)
    return kept


def kept_of(net: torch.nn.Module) -> list[Tensor]:
    """All weights and running statistics."""
    return [t for t in net.state_dict().values() if t.is_floating_point()]


class Losses:
    """CTC and lattice-free MMI, per phone said."""

    def __init__(self, items: list[Item], phones: int, dev: torch.device) -> None:
        three, two = phone_trigram((i[2] for i in items), phones)
        self.trigram = torch.from_numpy(three).permute(1, 0, 2).contiguous().to(dev)
        self.pairs = torch.from_numpy(two).t().contiguous().to(dev)

    def __call__(self, scores: Tensor, frames: Tensor, said: list[list[int]], mmi: float) -> Tensor:
        targets = torch.tensor([p for phones in said for p in phones], device=scores.device)
        sizes = torch.tensor([len(phones) for phones in said])
        right = F.ctc_loss(
            scores.transpose(0, 1), targets, frames, sizes, reduction="none", zero_infinity=True
        )
        loss = right.sum() * (1 - mmi + CTC_BESIDE_MMI * mmi)
        if mmi:
            # The numerator is the CTC sum; what the trigram gives the right phones is constant.
            shown = frames.to(scores.device)
            every = Denominator.apply(scores, shown, self.trigram, self.pairs)
            loss = loss + mmi * ((right + every) * (right > 0)).sum()
        return loss / sizes.sum()


def one_step(
    model: torch.nn.Module, front: Cepstra, optimiser: torch.optim.Optimizer, losses: Losses,
    mmi: float, batch: list[Item], sound: Tensor, noises: Tensor,
) -> Tensor:  # fmt: skip
    """One batch: cut out, change speed, augment, features, loss, step.

    Nothing is asked back from the GPU, so that it does not wait for the next step's commands.
    """
    dev = sound.device
    starts, sizes = (torch.tensor([i[c] for i in batch]) for c in (0, 1))
    with torch.no_grad():
        x, lens = cut(sound, starts, sizes, torch.rand(len(batch)) * 0.33 + 0.85)
        x = augment(x, lens, noises)
        x = x + torch.randn_like(x)
        cepstra = front(x, augment=True)
        frames = frames_of(lens).clamp(max=cepstra.shape[1])
    with torch.autocast(dev.type, torch.bfloat16, enabled=dev.type == "cuda"):
        scores = model(cepstra)
    out = ((frames + 2) // 3).clamp(max=scores.shape[1])
    loss = losses(scores, out, [i[2] for i in batch], mmi)
    optimiser.zero_grad(set_to_none=True)
    loss.backward()
    torch.nn.utils.clip_grad_norm_(model.parameters(), 5.0)
    optimiser.step()
    return loss.detach()


def keep_average(average: Acoustic, name: str) -> None:
    """Write weights as half floats, where the lease brings them home from."""
    arrays = {k: v.half().cpu().numpy() for k, v in average.state_dict().items()
              if v.is_floating_point()}  # fmt: skip
    target = Path(os.environ.get("OUT", ".")) / f"{name}.npz"
    # Put in place whole: a call may end and bring home what lies there at any time.
    np.savez_compressed(target.with_suffix(".new.npz"), **arrays)
    target.with_suffix(".new.npz").replace(target)


def finish(
    args: argparse.Namespace, net: Acoustic, average: Acoustic, optimiser: torch.optim.Optimizer,
    spent: float, step: int, front: Cepstra, dev_wave: Tensor, dev_items: list[Item],
    sound: Tensor, items: list[Item],
) -> None:  # fmt: skip
    """Keep everything to go on from; measure and write the averaged weights."""
    torch.save(
        {"net": net.state_dict(), "average": average.state_dict(),
         "optimiser": optimiser.state_dict(), "spent": spent, "step": step},
        args.out / "state.pt",
    )  # fmt: skip
    report(args, args.name, average, spent, step, front, dev_wave, dev_items, sound, items)


def report(
    args: argparse.Namespace, name: str, average: Acoustic, spent: float, step: int,
    front: Cepstra, dev_wave: Tensor, dev_items: list[Item], sound: Tensor, items: list[Item],
) -> None:  # fmt: skip
    """Write the averaged weights as half floats, then what they are and what they reach."""
    keep_average(average, name)
    average.eval()
    total = torch.zeros(len(CONFIG["phones"]), device=sound.device)
    with torch.no_grad():
        for at, n, _, _ in items[:: max(1, len(items) // 400)]:
            total += average(front(sound[at : at + n].float()[None]))[0].exp().sum(0)
    priors = (total / total.sum()).clamp_min(1e-6).log().cpu().tolist()
    error = greedy_error(average, front, dev_wave, dev_items)
    facts: dict[str, Any] = {
        **CONFIG,
        "name": name,
        "steps": step,
        "seconds": round(spent),
        "hours": hours_of(items),
        "dev_phone_error": error,
        "log_priors": priors,
        "seed": args.seed,
    }
    target = Path(os.environ.get("OUT", "."))
    (target / f"{name}.json").write_text(json.dumps(facts))
    print(f"{name}: {spent:.0f} s, step {step}, dev phone error {error}", flush=True)


def main() -> None:
    ask = argparse.ArgumentParser(description=__doc__)
    for name in ("people", "synthetic", "tokens", "out"):
        ask.add_argument(name, type=Path)
    ask.add_argument("--name", default="acoustic")
    ask.add_argument("--total", type=float, default=900)
    ask.add_argument("--until", type=float, default=1e9)
    ask.add_argument("--lr", type=float, default=2e-3)
    ask.add_argument("--batch-seconds", type=float, default=700)
    ask.add_argument("--noises", type=int, default=12)
    ask.add_argument("--mmi", type=float, default=0.4, help="share of the schedule before MMI")
    ask.add_argument("--hidden", type=int, default=CONFIG["hidden"])
    ask.add_argument("--narrow", type=int, default=CONFIG["narrow"])
    ask.add_argument("--dilations", type=int, nargs="*", default=CONFIG["dilations"])
    ask.add_argument("--also", type=float, nargs="*", default=[], help="shares to keep weights at")
    ask.add_argument("--tail", type=float, default=0, help="seconds of MMI after the schedule")
    ask.add_argument("--tail-lr", type=float, default=2.5e-4)
    ask.add_argument("--seed", type=int, default=SEED)
    ask.add_argument("--begin", type=Path, help="weights to begin with (.npz)")
    args = ask.parse_args()
    args.out.mkdir(parents=True, exist_ok=True)
    world = max(1, torch.cuda.device_count())
    if world == 1:
        run(0, 1, args)
    else:
        mp.spawn(run, args=(world, args), nprocs=world)


if __name__ == "__main__":
    main()
