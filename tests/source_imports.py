"""Who imports whom, read from the source: for the rules about layers, circles and privacy."""

import ast

from folders import SOURCE


def name_of(path):
    """photo/place/region.py -> photo.place.region; a folder's face is named as the folder."""
    parts = path.relative_to(SOURCE).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


FILES = {name_of(path): path for path in sorted(SOURCE.rglob("*.py"))}
TREES = {name: ast.parse(path.read_text(encoding="utf-8")) for name, path in FILES.items()}


def _base(name, node):
    """The module that a `from ... import` names, without `swatchbath.`; None for foreign ones."""
    if not node.level:
        first, _, rest = (node.module or "").partition(".")
        return rest if first == "swatchbath" else None
    parts = name.split(".") if name else []
    if FILES[name].name != "__init__.py":
        parts = parts[:-1]
    parts = parts[: len(parts) - (node.level - 1)]
    return ".".join(parts + (node.module.split(".") if node.module else []))


def imports(name):
    """(module, name taken from it or None for the whole) of every import of ours, wherever it
    stands: at the top, inside a function, or for types alone."""
    for node in ast.walk(TREES[name]):
        if isinstance(node, ast.ImportFrom) and (base := _base(name, node)) is not None:
            for alias in node.names:
                whole = f"{base}.{alias.name}".lstrip(".")
                # A function may bear its file's name (photo.measure): then the face is meant.
                taken = whole in FILES and not _defines(base, alias.name)
                yield (whole, None) if taken else (base, alias.name)
        elif isinstance(node, ast.Import):
            for alias in node.names:
                if alias.name.split(".")[0] == "swatchbath":
                    yield alias.name.partition(".")[2], None


def _defines(base, name):
    """Whether a folder's face imports a name from one of its files."""
    return base in FILES and any(
        isinstance(node, ast.ImportFrom)
        and node.module
        and any((alias.asname or alias.name) == name for alias in node.names)
        for node in TREES[base].body
    )


ARROWS = {name: {target for target, _ in imports(name)} - {name} for name in FILES}
