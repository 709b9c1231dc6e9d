"""Numbers as they are typed or split in haste: grades like ``2/5``, inches "and five eighths".

What ``numbers`` finds is put right where only the trade tells: a fifth, ninth or tenth of an inch
is on no tape, so ``2/5`` is a grade out of five; "three inches and five eighths" is one length.
"""

from __future__ import annotations

import re
from dataclasses import replace

from fieldlog.core.units import Unit
from fieldlog.language.numbers.spoken import NumberSpan, find_numbers

_GRADE = re.compile(r"(\d+(?:\.\d+)?)\s*/\s*(5|9|10)")
_AND = re.compile(r"\s+and\s+(?:a\s+)?", re.IGNORECASE)


def trade_numbers(text: str) -> list[NumberSpan]:
    """The numbers of ``text`` in order, none overlapping."""
    out: list[NumberSpan] = []
    for span in find_numbers(text):
        slash = _GRADE.fullmatch(text[span.start : span.end].strip())
        if slash and float(slash[1]) <= float(slash[2]):
            span = replace(span, value=float(slash[1]), unit=None, form=f"grade/{slash[2]}")
        left = out[-1] if out else None
        if (
            left is not None
            and left.unit is Unit.INCH
            and left.high is None
            and float(left.value).is_integer()
            and span.form == "fraction"
            and span.value < 1
            and span.unit in (None, Unit.INCH)
            and _AND.fullmatch(text[left.end : span.start])
        ):
            out[-1] = replace(
                left,
                end=span.end,
                value=left.value + span.value,
                spoken=f"{left.spoken} and {span.spoken}",
                form="fraction",
            )
            continue
        out.append(span)
    return out
