"""The command line: one command a file, no rule."""

import gc

_COLLECT_AFTER = 100_000  # new objects; a command makes many values that refer to no cycle, and then it ends


def main() -> None:
    """Run the command line; every way out has its exit code, and no traceback reaches a user."""
    # Garbage in cycles is looked for less often than Python does by itself: up to a fifth of a command went into it.
    gc.set_threshold(_COLLECT_AFTER, 20, 20)
    from vlancheck.cli.app import app

    app()
