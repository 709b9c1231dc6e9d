"""A broken installation in plain words. Loads nothing but Python's own."""

from __future__ import annotations

import importlib.util

PACKAGES = {
    "vosk": "vosk",
    "sounddevice": "sounddevice",
    "soundfile": "soundfile",
    "av": "av",
    "soxr": "soxr",
    "numpy": "numpy",
    "spacy": "spacy",
    "onnxruntime": "onnxruntime",
    "sqlite_utils": "sqlite-utils",
    "textual": "textual",
    "click": "click",
    "platformdirs": "platformdirs",
    "rapidfuzz": "rapidfuzz",
    "jellyfish": "jellyfish",
    "jinja2": "jinja2",
    "fpdf": "fpdf2",
    "matplotlib": "matplotlib",
}
"""What fieldlog cannot do without: the module, and the package that brings it."""

REMEDY = (
    "Your records are not touched. Install fieldlog again into the environment that you start it "
    "from, as you did the first time (pip install -e . in its folder; README.md, “See it work”); "
    "then “fieldlog doctor” says whether all is there."
)


def missing() -> list[str]:
    """The packages that are not installed here."""
    return [package for module, package in PACKAGES.items() if not _there(module)]


def _there(module: str) -> bool:
    try:
        return importlib.util.find_spec(module) is not None
    except (ImportError, ValueError):
        return False


def told(problem: ImportError) -> str:
    """What a failed import means for the farrier, without what to do; empty if it is our fault.

    Args:
        problem: as Python raised it.
    """
    module = (problem.name or "").partition(".")[0]
    if not module or module == "fieldlog":
        return ""
    package = PACKAGES.get(module, module)
    if isinstance(problem, ModuleNotFoundError) and problem.name == module:
        return f"This needs the package {package}, which is not installed."
    return f"This needs the package {package}, which is installed but does not load ({problem})."
