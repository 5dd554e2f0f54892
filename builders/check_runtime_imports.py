"""Check that the program needs no package beyond those a user installs.

Imports every module of the program while packages that only developers have are hidden,
then starts the command line. Imports inside functions run too late for this and are read
from the source instead.
"""

from __future__ import annotations

import ast
import importlib
import importlib.metadata as metadata
import pkgutil
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import tankful

PACKAGE = Path(tankful.__file__).parent


def plain(name: str) -> str:
    """A distribution's name as registries compare it."""
    return re.sub(r"[-_.]+", "-", name).lower()


def runtime_distributions() -> set[str]:
    """The program's distribution and all it requires without extras, however deep."""
    found: set[str] = set()
    waiting = ["tankful"]
    while waiting:
        name = plain(waiting.pop())
        if name in found:
            continue
        try:
            needs = metadata.requires(name) or []
        except metadata.PackageNotFoundError:
            continue  # wanted on other machines only, such as under Windows
        found.add(name)
        # What a marker with an extra asks for is not installed by plain `pip install`.
        waiting += [re.split(r"[^\w.-]", need)[0] for need in needs if "extra ==" not in need]
    return found


def hidden_modules() -> set[str]:
    """Top-level modules that only packages outside the runtime set provide."""
    runtime = runtime_distributions()
    return {
        module
        for module, owners in metadata.packages_distributions().items()
        if not {plain(owner) for owner in owners} & runtime
    }


def imported_names(source: str) -> Iterator[str]:
    """Top-level name of every import in a source, also those inside functions."""
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            yield from (alias.name.partition(".")[0] for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
            yield node.module.partition(".")[0]


def faults(hidden: set[str]) -> list[str]:
    """Every import of a hidden module that the program's sources hold."""
    return [
        f"{path.relative_to(PACKAGE.parent)} imports {name}, which users do not install"
        for path in sorted(PACKAGE.rglob("*.py"))
        for name in sorted(set(imported_names(path.read_text(encoding="utf-8"))) & hidden)
    ]


class Hide:
    """An import hook that knows nothing of the hidden modules."""

    def __init__(self, hidden: set[str]) -> None:
        self.hidden = hidden

    def find_spec(self, name: str, path: object = None, target: object = None) -> None:
        if name.partition(".")[0] in self.hidden:
            raise ModuleNotFoundError(f"{name} is hidden: users do not install it", name=name)


def import_all(hidden: set[str]) -> int:
    """Import every module with the hidden ones out of reach; how many were imported."""
    for name in [name for name in sys.modules if name.partition(".")[0] in hidden]:
        del sys.modules[name]
    sys.meta_path.insert(0, Hide(hidden))  # type: ignore[arg-type]
    names = [item.name for item in pkgutil.walk_packages([str(PACKAGE)], "tankful.")]
    for name in names:
        importlib.import_module(name)
    return len(names)


def main() -> int:
    hidden = hidden_modules()
    found = faults(hidden)
    if found:
        print("\n".join(found))
        return 1
    count = import_all(hidden)
    subprocess.run([Path(sys.executable).parent / "tankful", "--version"], check=True)  # noqa: S603
    print(f"{count} modules import with runtime packages alone")
    return 0


if __name__ == "__main__":
    sys.exit(main())
