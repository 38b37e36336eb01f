"""The command as its user types it."""

import json
import re
from pathlib import Path

from click.testing import CliRunner

from swatchbath.cli import main


def run(*words, ok=0, env=None):
    """Run it in this process; `ok` is the exit code that is expected."""
    result = CliRunner().invoke(main, [str(w) for w in words], env=env or {})
    if result.exception and not isinstance(result.exception, SystemExit):
        raise result.exception
    details = re.search(r"details are in (.*)\.$", result.output)
    assert ok is None or result.exit_code == ok, (
        Path(details[1]).read_text() if details else result.output
    )
    return result


def run_json(*words, folder, ok=0):
    """What it answers in JSON about the library in a folder."""
    return json.loads(run(*words, "--library", folder, "--json", ok=ok).stdout)
