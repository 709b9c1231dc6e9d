"""Training on human and synthetic speech, on every GPU of the machine: CTC, then MMI as well.

    python train.py PEOPLE SYNTHETIC TOKENS.jsonl.gz OUT --total 900 --until 540

PEOPLE comes from people.py, SYNTHETIC from synthesise.py. The schedule runs over ``--total``
seconds of training; a call stops at ``--until`` and the next one goes on from OUT/state.pt. People
count more later on, and from ``--mmi`` of the schedule the loss is mostly lattice-free MMI
(denominator.py). Speech that SYNTHETIC gains meanwhile is taken in between two passes.
After it ``--tail`` seconds of mostly MMI may follow at a low rate of their own, once the weights
at the end of the schedule are kept. Exponential averages of the weights are what is kept, at
``--also`` shares of the schedule as well, and every ``SAVED`` seconds in case the machine goes.
Weights go to the folder that the environment names as ``OUT``, else to the current one.
Prints the greedy phone error on held-out speakers.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
import time
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from models.inputs import asking, existing, packages

if __name__ == "__main__":
    packages(__doc__, "models/train/README.md", "torch", "torchaudio")

import torch
import torch.distributed as dist
import torch.multiprocessing as mp
from acoustic import CONFIG, frames_of
from augment import augment, cut
from feeder import SEED, Feeder
from learner import Learner, keep_weights, results
from listening import believed, greedy_error, log_priors
from losses import Losses
from schedule import Every, Schedule
from speech import Item, Speech, hours_of, places
from torch import Tensor

SAVED, SHOWN, TESTED = 60.0, 20.0, 150.0
"""Seconds after which weights are kept, a line is printed, held-out speakers are listened to."""
SOME = 4
"""Of the held-out utterances every fourth is listened to meanwhile."""
ASKED_EVERY = 10
"""Steps after which the processes agree whether the time is over."""


class Training:
    """One process of a call; the one of rank 0 also prints, measures and writes."""

    def __init__(
        self, args: argparse.Namespace, speech: Speech, learner: Learner, rank: int, world: int
    ) -> None:
        self.args, self.speech, self.learner = args, speech, learner
        self.rank, self.world, self.name = rank, world, args.name
        self.dev = speech.sound.device
        self.model: torch.nn.Module = learner.net
        if world > 1:
            where = [rank] if self.dev.type == "cuda" else None
            self.model = torch.nn.parallel.DistributedDataParallel(learner.net, device_ids=where)
        self.losses = Losses(speech.items, len(CONFIG["phones"]) - 1, self.dev)
        self.feeder = Feeder(
            speech.items, args.batch_seconds, rank, world, args.seed + learner.step
        )
        self.schedule = Schedule(args)
        self.also = [x for x in args.also if x * args.total > learner.spent]
        self.smooth: Tensor | None = None
        self._start = time.time()
        self._show, self._test, self._save = Every(SHOWN), Every(TESTED), Every(SAVED)
        self._over = torch.zeros(1, device=self.dev)

    def gone(self) -> float:
        """Seconds of training, those of earlier calls included."""
        return self.learner.spent + time.time() - self._start

    def run(self) -> None:
        """Pass after pass until the time is over; then keep, measure and write everything."""
        while not self._over.item():
            self.one_pass()
            if self._over.item() and self.schedule.has_tail():
                self.begin_tail()
            # One process only: with several they could see different files.
            if self.world == 1:
                self.take_in_more()
        if self.rank == 0:
            self.learner.keep(self.gone())
            self.report(self.name)

    def one_pass(self) -> None:
        """Every utterance about once, unless the time is over before."""
        # Every rank must make the same plan, so rank 0's clock counts.
        done = self.told_by_first(torch.tensor([self.gone() / self.args.total], device=self.dev))
        for batch in self.feeder.passes(float(done)):
            gone = self.gone()
            self.learn(batch, gone)
            if self.rank == 0:
                self.follow_up(gone)
            if self.also and self.schedule.share(gone) >= self.also[0]:
                if self.rank == 0:
                    self.report(f"{self.name}-{self.also[0]:g}", SOME)
                self.also = self.also[1:]
            if self.learner.step % ASKED_EVERY == 0:
                self._over.fill_(float(gone >= self.schedule.until))
                if self.told_by_first(self._over).item():
                    break

    def told_by_first(self, number: Tensor) -> Tensor:
        """What the process of rank 0 has there."""
        if self.world > 1:
            dist.broadcast(number, 0)
        return number

    def learn(self, batch: list[Item], gone: float) -> None:
        """One step, and the average after it."""
        for group in self.learner.optimiser.param_groups:
            group["lr"] = self.schedule.rate(gone, self.learner.step)
        loss = self.one_step(batch, self.schedule.mmi(gone))
        self.learner.step += 1
        self.learner.follow(self.schedule.kept(self.learner.step))
        self.smooth = loss if self.smooth is None else self.smooth.lerp(loss, 0.02)

    def one_step(self, batch: list[Item], mmi: float) -> Tensor:
        """One batch: cut out, change speed, augment, features, loss, step.

        Nothing is asked back from the GPU, so that it does not wait for the next step's commands.
        """
        cepstra, frames = self.heard(batch)
        with torch.autocast(self.dev.type, torch.bfloat16, enabled=self.dev.type == "cuda"):
            scores = self.model(cepstra)
        out = ((frames + 2) // 3).clamp(max=scores.shape[1])
        loss = self.losses(scores, out, [item.phones for item in batch], mmi)
        self.learner.optimiser.zero_grad(set_to_none=True)
        loss.backward()
        torch.nn.utils.clip_grad_norm_(self.model.parameters(), 5.0)
        self.learner.optimiser.step()
        return loss.detach()

    @torch.no_grad()
    def heard(self, batch: list[Item]) -> tuple[Tensor, Tensor]:
        """The cepstra of a batch after all that is done to its sound, and how many each has."""
        speeds = torch.rand(len(batch)) * 0.33 + 0.85
        x, lens = cut(self.speech.sound, *places(batch), speeds)
        x = augment(x, lens, self.speech.noises)
        x = x + torch.randn_like(x)
        cepstra = self.learner.front(x, augment=True)
        return cepstra, frames_of(lens).clamp(max=cepstra.shape[1])

    def follow_up(self, gone: float) -> None:
        """What is printed, measured and kept now and then."""
        self._show(lambda: self.show(gone))
        self._test(self.test)
        self._save(lambda: keep_weights(self.learner.average, f"{self.name}-last"))

    def show(self, gone: float) -> None:
        """Print how far it is."""
        rate = self.learner.optimiser.param_groups[0]["lr"]
        print(f"{gone:4.0f} s step {self.learner.step} loss {float(self.smooth):.3f} "
              f"lr {rate:.5f} mmi {self.schedule.mmi(gone):.2f}", flush=True)  # fmt: skip

    def test(self) -> None:
        """Print how well some of the held-out speakers are heard."""
        print("   dev", self.dev_error(SOME), flush=True)

    def dev_error(self, every: int) -> dict[str, float]:
        """The phone errors of the average, each ``every``-th of the held-out utterances."""
        at, speech = self.learner, self.speech
        return greedy_error(at.average, at.front, speech.dev_sound, speech.dev_items[::every])

    def begin_tail(self) -> None:
        """Keep what the schedule reached, and go on."""
        if self.rank == 0:
            self.report(self.name)
        # The clock of the tail begins when that is measured.
        self._start, self.learner.spent = time.time(), self.schedule.until
        self.schedule.begin_tail()
        self.name += "-tail"
        self._over.zero_()

    def take_in_more(self) -> None:
        """Learn from synthetic speech that has come meanwhile as well."""
        more = self.speech.newly_made()
        if more:
            self.feeder.add(more)
            print("now", hours_of(self.speech.items), flush=True)

    def report(self, name: str, every: int = 1) -> None:
        """Write the averaged weights as half floats, then what they are and what they reach."""
        spent, at, items = self.gone(), self.learner, self.speech.items
        keep_weights(at.average, name)
        at.average.eval()
        phones = len(at.config["phones"])
        priors = log_priors(at.average, at.front, self.speech.sound, items, phones)
        error = self.dev_error(every)
        facts: dict[str, Any] = {
            **at.config,
            "name": name,
            "steps": at.step,
            "seconds": round(spent),
            "hours": hours_of(items),
            "dev_phone_error": error,
            "log_priors": priors,
            "seed": self.args.seed,
        }
        (results() / f"{name}.json").write_text(json.dumps(facts))
        print(f"{name}: {spent:.0f} s, step {at.step}, dev phone error {error}", flush=True)


def device(rank: int) -> torch.device:
    """The GPU of this process, quick products allowed; the processor where there is none."""
    if not torch.cuda.is_available():
        return torch.device("cpu")
    torch.cuda.set_device(rank)
    torch.backends.cudnn.benchmark = False
    torch.backends.cuda.matmul.allow_tf32 = True
    torch.backends.cudnn.allow_tf32 = True
    return torch.device(f"cuda:{rank}")


def join(rank: int, world: int, kind: str) -> None:
    """Meet the other processes."""
    os.environ.setdefault("MASTER_ADDR", "127.0.0.1")
    os.environ.setdefault("MASTER_PORT", "29511")
    dist.init_process_group("nccl" if kind == "cuda" else "gloo", rank=rank, world_size=world)


def run(rank: int, world: int, args: argparse.Namespace) -> None:
    """Train as process ``rank`` of ``world``."""
    dev = device(rank)
    if world > 1:
        join(rank, world, dev.type)
    began = time.time()
    torch.manual_seed(args.seed + rank)
    speech = Speech(args, dev)
    if rank == 0:
        took = f"loaded in {time.time() - began:.0f} s"
        print(took, hours_of(speech.items), "dev", hours_of(speech.dev_items), flush=True)
    learner = Learner(args, dev)
    if learner.spent or args.begin:
        speech.items = believed(speech.items, learner.average, learner.front, speech.sound)
    Training(args, speech, learner, rank, world).run()
    if world > 1:
        dist.barrier()
        dist.destroy_process_group()


def wanted() -> argparse.Namespace:
    """What the command line asks for."""
    ask = asking(__doc__)
    ask.add_argument("people", help="folder of people.py",
                     type=existing("make it: models/train/people.py", "index*.json"))  # fmt: skip
    ask.add_argument("synthetic", help="folder of synthesise.py and formants.py; may be empty",
                     type=existing("make it: models/train/synthesise.py"))  # fmt: skip
    ask.add_argument("tokens", help="TOKENS.jsonl.gz",
                     type=existing("make it: models/train/tokens.py"))  # fmt: skip
    ask.add_argument("out", type=Path, help="folder of the state that the next call goes on from")
    ask.add_argument("--name", default="acoustic", help="of the weights")
    ask.add_argument("--total", type=float, default=900, help="seconds of the schedule")
    ask.add_argument("--until", type=float, default=1e9, help="seconds at which this call stops")
    ask.add_argument("--lr", type=float, default=2e-3, help="peak rate of learning")
    ask.add_argument("--batch-seconds", type=float, default=700, help="sound of a batch and GPU")
    ask.add_argument("--noises", type=int, default=12, help="of each kind of barn noise")
    ask.add_argument("--mmi", type=float, default=0.4, help="share of the schedule before MMI")
    ask.add_argument("--hidden", type=int, default=CONFIG["hidden"], help="units of a layer")
    ask.add_argument("--narrow", type=int, default=CONFIG["narrow"], help="units between layers")
    ask.add_argument("--dilations", type=int, nargs="*", default=CONFIG["dilations"],
                     help="frames between a block's taps, block by block")  # fmt: skip
    ask.add_argument("--also", type=float, nargs="*", default=[], help="shares to keep weights at")
    ask.add_argument("--tail", type=float, default=0, help="seconds of MMI after the schedule")
    ask.add_argument("--tail-lr", type=float, default=2.5e-4, help="rate of learning in it")
    ask.add_argument("--seed", type=int, default=SEED, help="of weights, batches and noises")
    ask.add_argument("--begin", help="weights to begin with (.npz)",
                     type=existing("weights of an earlier call, or of unfold.py"))  # fmt: skip
    return ask.parse_args()


def main() -> None:
    """Train on every GPU, or on the processor."""
    args = wanted()
    args.out.mkdir(parents=True, exist_ok=True)
    world = max(1, torch.cuda.device_count())
    if world == 1:
        run(0, 1, args)
    else:
        mp.spawn(run, args=(world, args), nprocs=world)


if __name__ == "__main__":
    main()
