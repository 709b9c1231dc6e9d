"""Run as ``python -m fieldlog.speech.proof FOLDER``: does this model load and read?

A process of its own, because libvosk may end it. Prints ``proven`` and exits with 0, or leaves
Kaldi's complaint on standard error.
"""

from __future__ import annotations

import sys


def main() -> int:
    """Load the model and let it read a second of faint noise."""
    import random

    import vosk

    vosk.SetLogLevel(-1)
    noise = random.Random(1)
    sound = b"".join(
        noise.randrange(-200, 200).to_bytes(2, "little", signed=True) for _ in range(16_000)
    )
    recogniser = vosk.KaldiRecognizer(vosk.Model(model_path=sys.argv[1]), 16_000)
    recogniser.SetWords(True)
    recogniser.AcceptWaveform(sound)
    recogniser.FinalResult()
    print("proven")
    return 0


if __name__ == "__main__":
    sys.exit(main())
