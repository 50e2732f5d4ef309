"""The top-level guard: errors in, one clear message and the right exit code out."""

from __future__ import annotations

import functools
import os
import sys
import tempfile
import traceback
from collections.abc import Callable
from pathlib import Path
from typing import ParamSpec

from vlancheck.errors import VlancheckError

OK, FINDINGS, COULD_NOT_RUN, UNPROVEN, INTERNAL, INTERRUPTED = 0, 1, 2, 3, 4, 130

P = ParamSpec("P")


def guarded(command: Callable[P, int]) -> Callable[P, None]:
    """Wrap a command that returns its exit code, so that nothing it raises shows as a traceback."""

    @functools.wraps(command)
    def run(*args: P.args, **kwargs: P.kwargs) -> None:
        raise SystemExit(_code(lambda: command(*args, **kwargs)))

    run.__annotations__ = {**command.__annotations__, "return": None}
    return run


def _code(command: Callable[[], int]) -> int:
    try:
        code = command()
        sys.stdout.flush()
    except VlancheckError as error:
        print(f"vlancheck: {error}", file=sys.stderr)
        return COULD_NOT_RUN
    except KeyboardInterrupt:
        print("vlancheck: interrupted", file=sys.stderr)
        return INTERRUPTED
    except BrokenPipeError:
        # Whoever reads has seen enough; the interpreter must not complain about it when it closes stdout.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return OK
    except RecursionError:
        print("vlancheck: the input is nested too deeply", file=sys.stderr)
        return COULD_NOT_RUN
    except Exception as error:
        return _internal(error)
    return code


def _internal(error: Exception) -> int:
    """Say sorry in two lines and leave the details in a file, secrets masked."""
    from vlancheck.capture.secrets import mask

    details = "".join(traceback.format_exception(error))
    text = "\n".join(mask(line) for line in details.splitlines())
    where = "no file could be written for the details"
    try:
        handle, name = tempfile.mkstemp(prefix="vlancheck-", suffix=".txt", text=True)
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(f"vlancheck, Python {sys.version}\n\n{text}\n")
        where = f"the details, passwords masked, are in {Path(name)}"
    except OSError:
        pass
    print(f"vlancheck: sorry, this is a fault of vlancheck itself ({type(error).__name__})", file=sys.stderr)
    print(f"  {where}", file=sys.stderr)
    print("  please report it with that file and the smallest capture that shows it", file=sys.stderr)
    return INTERNAL
