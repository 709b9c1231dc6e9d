"""Phone error rate of an acoustic model alone: greedy CTC, no words, no language model.

A small evaluator of the nnet3 subset that our own networks use (Append, Offset, Sum, affine,
rectifier, log softmax), over MFCCs from kaldi-native-fbank.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

import kaldi_native_fbank as knf
import numpy as np
from numpy.typing import NDArray

from fieldlog.speech.kaldi import Network

Array = NDArray[np.float32]


def mfcc(sound: NDArray[np.int16], options: dict[str, float]) -> Array:
    """Cepstra (frames, dim) as Kaldi computes them with our mfcc.conf."""
    o = knf.MfccOptions()
    o.frame_opts.dither = 0
    o.use_energy = False
    o.num_ceps = int(options.get("num-ceps", 40))
    o.mel_opts.num_bins = int(options.get("num-mel-bins", 40))
    o.mel_opts.low_freq = options.get("low-freq", 20)
    o.mel_opts.high_freq = options.get("high-freq", 7600)
    m = knf.OnlineMfcc(o)
    m.accept_waveform(16000, sound.astype(np.float32).tolist())
    m.input_finished()
    return np.array([m.get_frame(i) for i in range(m.num_frames_ready)], np.float32)


def outputs(net: Network, frames: Array) -> Array:
    """Log probabilities at every third frame."""
    parts = {c.name: c for c in net.components}
    pad = net.left_context + 60
    x = np.concatenate([frames[:1].repeat(pad, 0), frames, frames[-1:].repeat(pad, 0)])
    values: dict[str, Array] = {"input": x}

    def descriptor(text: str) -> Array:
        text = text.strip()
        if m := re.fullmatch(r"Offset\((.*),\s*(-?\d+)\)", text):
            inner, k = descriptor(m[1]), int(m[2])
            index = np.clip(np.arange(len(inner)) + k, 0, len(inner) - 1)
            return inner[index]
        if m := re.fullmatch(r"(Append|Sum)\((.*)\)", text):
            pieces = [descriptor(p) for p in _split(m[2])]
            if m[1] == "Append":
                return np.concatenate(pieces, 1)
            total = pieces[0]
            for p in pieces[1:]:
                total = total + p
            return total
        if m := re.fullmatch(r"Scale\(([-\d.e]+),\s*(.*)\)", text):
            return float(m[1]) * descriptor(m[2])
        return values[text]

    for line in net.lines:
        m = re.match(r"component-node name=(\S+) component=(\S+) input=(.*)", line)
        if not m:
            continue
        part, inp = parts[m[2]], descriptor(m[3])
        if part.kind == "affine":
            assert part.weight is not None
            assert part.bias is not None
            values[m[1]] = inp @ part.weight.T + part.bias
        elif part.kind == "relu":
            values[m[1]] = np.maximum(inp, 0)
        else:
            top = inp - inp.max(1, keepdims=True)
            values[m[1]] = top - np.log(np.exp(top).sum(1, keepdims=True))
        last = m[1]
    return values[last][pad : pad + len(frames) : 3]


def _split(text: str) -> list[str]:
    depth, start, out = 0, 0, []
    for i, c in enumerate(text):
        depth += (c == "(") - (c == ")")
        if c == "," and not depth:
            out.append(text[start:i])
            start = i + 1
    return [*out, text[start:]]


def greedy(log_probs: Array, phones: Sequence[str]) -> list[str]:
    """Best output at each step, repeats and blanks (output 0) dropped."""
    best = log_probs.argmax(1)
    keep = (best != 0) & (best != np.concatenate([[0], best[:-1]]))
    return [phones[i - 1] for i in best[keep]]
