"""python -m swatchbath.cli: what icons start, which know the Python and no command."""

from . import main

main(prog_name="swatchbath")
