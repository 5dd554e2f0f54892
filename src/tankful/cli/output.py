"""Results to files: whole or not at all, and to standard output when asked."""

from __future__ import annotations

import errno
import json
import math
import os
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tankful.errors import CaseError, Fault, OutputError
from tankful.paths import write_whole

if TYPE_CHECKING:
    from pandas import DataFrame

STDOUT = ("-", "/dev/stdout", "/dev/fd/1", "/proc/self/fd/1")


def is_stdout(path: Path) -> bool:
    """Whether a file name stands for standard output."""
    return str(path) in STDOUT


def spare_input(out: Path | None, case: Path) -> None:
    """OutputError, before the long work, when a result would replace the case it is made from
    or a file that the case names, or when it could not be written."""
    if out is None or is_stdout(out):
        return
    for file, problem in _inputs_of(case) if os.path.exists(out) else ():
        with suppress(OSError, ValueError):
            if out.samefile(file):
                fault = Fault("", problem, mend="choose another name", file=str(out))
                raise OutputError("The result was not written.", [fault])
    _check_place(out)


def spare_inputs(outs: Sequence[Path | None], *inputs: Path | None) -> None:
    """The same for several results and inputs; no two results may go to one file."""
    files = [out for out in outs if out is not None]
    for out in files:
        for case in inputs:
            if case is not None:
                spare_input(out, case)
    whole = [os.path.realpath(out) for out in files]
    for out, name in zip(files, whole, strict=True):
        if whole.count(name) > 1 and os.path.realpath(os.devnull) != name:
            mend = "give each result a file of its own"
            fault = Fault("", "two results would go to this file", mend=mend, file=str(out))
            raise OutputError("The results were not written.", [fault])


def _inputs_of(case: Path) -> Iterator[tuple[Path, str]]:
    """A case and the files it names, with what each is; a case with faults names none."""
    from tankful.casefile.read import read_text
    from tankful.casefile.syntax import parse_text

    yield case, "this is the case itself"
    try:
        data = parse_text(read_text(case), str(case))
    except CaseError:
        return
    for section, key in (("electricity", "meter_file"), ("place", "weather_file")):
        table = data.get(section)
        name = table.get(key) if isinstance(table, dict) else None
        if isinstance(name, str):
            yield case.parent / name, f"this is the {key} of the case"
    if isinstance(data.get("logo"), str):
        yield case.parent / data["logo"], "this is the logo of the branding"


def _check_place(out: Path) -> None:
    """OutputError when a file cannot come to be where ``out`` says."""
    folder = Path(os.path.realpath(out.parent))
    if os.path.isdir(out):
        reason = errno.EISDIR
    elif not folder.exists():
        reason = errno.ENOENT
    elif not folder.is_dir():
        reason = errno.ENOTDIR
    elif not os.access(folder, os.W_OK) and not os.path.exists(out):
        reason = errno.EACCES
    else:
        return
    raise _refused(out, OSError(reason, os.strerror(reason)))


def write_json(path: Path, data: Any) -> None:
    """Write plain data as JSON. Numbers that JSON cannot hold (NaN, infinity) become null."""
    ascii_only = is_stdout(path)  # whose encoding may lack letters; files are always UTF-8
    text = json.dumps(_plain(data), indent=2, ensure_ascii=ascii_only, allow_nan=False)
    write_text(path, text + "\n")


def write_text(path: Path, text: str) -> None:
    """Write a text file. OutputError when that fails."""
    if is_stdout(path):
        sys.stdout.write(text)
        return
    _write(path, lambda file: file.write_text(text, encoding="utf-8"))


def write_frame(path: Path, frame: DataFrame) -> None:
    """Write a table: Parquet for a name ending in .parquet, otherwise CSV."""
    if path.suffix.lower() == ".parquet":
        _write(path, lambda file: _write_parquet(file, frame))
    elif is_stdout(path):
        frame.to_csv(sys.stdout, index=False)
    else:
        _write(path, lambda file: frame.to_csv(file, index=False))


def _write_parquet(file: Path, frame: DataFrame) -> None:
    import duckdb

    try:
        duckdb.from_df(frame).write_parquet(str(file))
    except duckdb.IOException as error:
        raise OSError(str(error).rsplit(": ", 1)[-1]) from error


def _write(path: Path, write: Callable[[Path], object]) -> None:
    try:
        write_whole(path, write)
    except OSError as error:
        raise _refused(path, error) from None


def _refused(path: Path, error: OSError) -> OutputError:
    fault = Fault(
        field="",
        problem=error.strerror or str(error),
        mend="check that the folder exists and may be written, and that the disk is not full",
        file=str(path),
    )
    return OutputError("The result could not be written.", [fault])


def _plain(value: Any) -> Any:
    """A value that JSON can hold, all the way down."""
    if hasattr(value, "model_dump"):
        value = value.model_dump()
    if isinstance(value, dict):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    if hasattr(value, "item") and not isinstance(value, str):
        value = value.item()
    if isinstance(value, float) and not math.isfinite(value):
        return None
    if isinstance(value, date):
        return value.isoformat()
    return str(value) if isinstance(value, Path) else value
