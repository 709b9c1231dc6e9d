"""spaCy without its command line tools, which it imports with itself.

``import spacy`` brings ``spacy.cli`` and with it two web clients and a project manager, a third of
its time and none of it used here. While spaCy is imported, a stand-in takes the place of the one
module that asks for them; afterwards it is gone, and ``spacy.cli`` can be imported as always.
"""

from __future__ import annotations

import sys
from types import ModuleType
from typing import Any

_ASKS = "spacy.cli.info"


def spacy() -> ModuleType:
    """The module ``spacy``, imported on the first call."""
    if "spacy" not in sys.modules and _ASKS not in sys.modules:
        stand_in = ModuleType(_ASKS)
        stand_in.info = _info  # type: ignore[attr-defined]
        sys.modules[_ASKS] = stand_in
        try:
            import spacy
        finally:
            del sys.modules[_ASKS]
    import spacy

    return spacy


def _info(*args: Any, **options: Any) -> Any:
    """What ``spacy.info`` does, by the module that was left out."""
    from spacy.cli.info import info

    return info(*args, **options)
