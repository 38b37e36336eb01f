"""Help starts without heavy imports, and nothing reaches for the network."""

import subprocess
import sys

import pytest

HEAVY = ("colour", "sklearn", "pandas", "scipy", "matplotlib", "numpy", "PIL")


@pytest.mark.parametrize(
    "words",
    [["--help"], ["--version"], ["suggest", "--help"], ["demo", "--help"], ["record", "--help"]],
    ids=" ".join,
)
def test_help_imports_nothing_heavy(words):
    code = (
        "import sys\nfrom swatchbath.cli import main\n"
        f"try: main({words!r})\nexcept SystemExit as e: assert e.code == 0, e.code\n"
        f"print('HEAVY', [m for m in {HEAVY!r} if m in sys.modules])"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=60)
    assert "HEAVY []" in run.stdout, run.stdout + run.stderr


def test_importing_the_package_is_light():
    code = f"import sys, swatchbath; print([m for m in {HEAVY!r} if m in sys.modules])"
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=60)
    assert run.stdout.strip() == "[]", run.stdout + run.stderr


def test_measuring_and_comparing_do_not_load_the_large_libraries():
    code = (
        "import sys, swatchbath as sb\nsb.compare([50, 0, 0], [51, 0, 0])\nsb.measure\n"
        "print([m for m in ('colour', 'sklearn', 'pandas', 'matplotlib') if m in sys.modules])"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=60)
    assert run.stdout.strip() == "[]", run.stdout + run.stderr
