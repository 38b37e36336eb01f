"""What is learnt from otherwise since an earlier version recorded it, said once."""

from __future__ import annotations

from ...library import Library
from ...library.history.derived import TOLD, change_words

# So many swatches are named where all of them would fill screens; `verify` names all. Our choice.
_MOST = 20


def derived_anew(library: Library) -> list[str]:
    """One sentence for each swatch whose columns are made of its steps otherwise than before; only
    the first time, and nothing where that cannot be noted. `verify` tells them again."""
    changed = library.columns_changed()
    if not changed or library.setting(TOLD) or not library.writable:
        return []
    library.set_setting(TOLD, "yes")
    one = len(changed) == 1
    out = [
        f"Since an earlier version {len(changed)} {'swatch is' if one else 'swatches are'} learnt "
        "from otherwise. The steps are as they were told; swatchbath verify names this again."
    ]
    out += [f"{key}: {change_words(columns)}." for key, columns in list(changed.items())[:_MOST]]
    if len(changed) > _MOST:
        out.append(f"And {len(changed) - _MOST} more.")
    return out
