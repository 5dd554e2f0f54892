"""Results to files: whole or not at all, and to standard output when asked."""

from __future__ import annotations

import json
import math
import sys
from collections.abc import Callable
from contextlib import suppress
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tankful.errors import Fault, OutputError
from tankful.paths import write_whole

if TYPE_CHECKING:
    from pandas import DataFrame

STDOUT = ("-", "/dev/stdout", "/dev/fd/1", "/proc/self/fd/1")


def is_stdout(path: Path) -> bool:
    """Whether a file name stands for standard output."""
    return str(path) in STDOUT


def spare_input(out: Path | None, case: Path) -> None:
    """OutputError when a result would replace the case it is made from."""
    if out is None or is_stdout(out):
        return
    with suppress(OSError, ValueError):
        if out.samefile(case):
            fault = Fault("", "this is the case itself", mend="choose another name", file=str(out))
            raise OutputError("The result was not written.", [fault])


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
