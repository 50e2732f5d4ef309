"""The command line: one command a file, no rule."""


def main() -> None:
    """Run the command line; every way out has its exit code, and no traceback reaches a user."""
    from vlancheck.cli.app import app

    app()
