"""The lowest versions that pyproject.toml allows, as pip's constraints: name==version."""

import re
import tomllib
from pathlib import Path

project = tomllib.loads((Path(__file__).parent.parent / "pyproject.toml").read_text("utf-8"))
named = project["project"]
extras = named["optional-dependencies"]
for line in [*named["dependencies"], *(line for name in extras for line in extras[name])]:
    floor = re.fullmatch(r"([\w.-]+)>=([\w.]+)", line)
    if floor:
        print(f"{floor[1]}=={floor[2]}")
    elif not line.startswith(named["name"] + "["):
        raise SystemExit(f"pyproject.toml: '{line}' has no floor; write it as name>=version.")
