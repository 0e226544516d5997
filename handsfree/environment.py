"""The project's own virtual environment, made on first use by `python3 demo` and `python3 tests`.

Standard library only: this runs before anything is installed.
"""

import hashlib
import subprocess
import sys
import venv
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
_ENVIRONMENT = ROOT / ".venv"
_PYTHON = _ENVIRONMENT / "bin" / "python"
_OLDEST = (3, 11)


def python_with(*extras: str) -> Path:
    """The interpreter of `.venv`, with the project and these extras of it installed.

    Does nothing the second time, unless pyproject.toml has changed; so it needs no network then.
    Ends the program with a message where Python is too old or an installation fails.
    """
    if sys.version_info < _OLDEST:
        raise SystemExit(
            f"handsfree needs Python {_OLDEST[0]}.{_OLDEST[1]} or newer, and this is "
            f"{sys.version.split()[0]}. Call it as, for example, python3.11."
        )
    wanted = f"{sys.version_info[:2]} {sorted(extras)} " + _fingerprint()
    stamp = _ENVIRONMENT / f"installed-{'-'.join(sorted(extras))}.txt"
    if _PYTHON.exists() and stamp.exists() and stamp.read_text(encoding="utf-8") == wanted:
        return _PYTHON
    print(f"Setting up {_ENVIRONMENT.name} (once; it takes a minute or two) ...", flush=True)
    try:
        if not _PYTHON.exists():
            venv.create(_ENVIRONMENT, with_pip=True, clear=_ENVIRONMENT.exists())
    except (OSError, subprocess.CalledProcessError) as error:
        raise SystemExit(
            f"{_ENVIRONMENT}: cannot be made ({error}). On Debian and Ubuntu, Python's venv is a "
            "package of its own, python3-venv."
        ) from error
    _install(f"{ROOT}[{','.join(extras)}]")
    stamp.write_text(wanted, encoding="utf-8")
    return _PYTHON


def _fingerprint() -> str:
    return hashlib.sha256((ROOT / "pyproject.toml").read_bytes()).hexdigest()


def _install(requirement: str) -> None:
    command = [
        str(_PYTHON),
        "-m",
        "pip",
        "install",
        "--disable-pip-version-check",
        "-e",
        requirement,
    ]
    output: list[str] = []
    with subprocess.Popen(
        command, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
    ) as pip:
        assert pip.stdout is not None
        for line in pip.stdout:
            output.append(line)
            _show(line)
    print("\r\033[K" if sys.stdout.isatty() else "", end="", flush=True)
    if pip.returncode:
        print("".join(output[-30:]), file=sys.stderr)
        raise SystemExit(
            "The installation failed; the lines above say why. It needs a package index such as "
            "PyPI, once."
        )


def _show(line: str) -> None:
    """What pip is at, on one line that is written over; without a terminal, the packages only."""
    words = line.split()
    if not words:
        return
    if sys.stdout.isatty():
        print(f"\r\033[K  {line.strip()[:76]}", end="", flush=True)
    elif words[0] == "Collecting":
        print(f"  {words[1]}", flush=True)
