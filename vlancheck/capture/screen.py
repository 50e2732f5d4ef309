"""The bytes a device sent for one line come in; what they left on the screen goes out.

A cursor on one row: backspaces, carriage returns, and the cursor and erase sequences of ECMA-48 that devices send
while a command is typed or a page is turned.
"""

from __future__ import annotations

import re

_WIDTH = 4096  # columns a cursor can be sent to; a log that asks for more is not believed
_TOKEN = re.compile(
    r"\x1b\[(?P<args>[0-?]{0,64})[ -/]{0,8}(?P<do>[@-~])"  # control sequence
    r"|\x1b[ -/]{0,8}(?P<esc>[0-~])"  # escape sequence
    r"|(?P<back>\x08++)"
    r"|(?P<return>\r++)"
    r"|(?P<text>[^\x08\r\x1b]++)"
    r"|\x1b"
)
_PROMPT_START = re.compile(r"\s*(?:\S[^#>$%\]]{0,80}+)?[#>$%\]]")


def shown(sent: str) -> str:
    r"""Return what stands on the screen after `sent`; it holds `\n` where a sequence moved to another row."""
    rows = [_Row()]
    place = ""  # the row last named by a cursor address; a device that names one row stays on the line
    for token in _TOKEN.finditer(sent):
        row = rows[-1]
        match token.lastgroup:
            case "text":
                row.write(token["text"])
            case "back":
                row.column = max(0, row.column - len(token["back"]))
                row.backed = len(token["back"])
            case "return":
                row.to_start()
            case "do":
                named, _, column = token["args"].partition(";")
                if token["do"] in "Hf":
                    if place and named != place:
                        rows.append(_Row())
                    place = named
                    rows[-1].column = _number(column, 1) - 1
                elif token["do"] == "J" and token["args"] not in ("", "0"):
                    rows.append(_Row())  # the screen is cleared, but what stood on it was printed
                else:
                    row.control(token["do"], token["args"])
            case "esc" if token["esc"] == "E":
                rows.append(_Row())
            case _:
                pass
    shown_rows = [text for text in (row.text() for row in rows) if text]
    return "\n".join(shown_rows)


def _number(args: str, default: int) -> int:
    digits = args.partition(";")[0]
    return min(int(digits), _WIDTH) if digits.isdecimal() and len(digits) < 10 else default


class _Row:
    """The cells of one row and the cursor."""

    def __init__(self) -> None:
        self.cells: list[str] = []
        self.column = 0
        self.before = ""  # text that a carriage return left behind and that what follows does not replace
        self.backed = 0  # backspaces just received
        self.scrolled = ""  # prompt and command before the device drew them anew, shifted to the left
        self.mark = 0  # column of the `$` that says so

    def write(self, text: str) -> None:
        if self.backed > 2 and text.startswith("$"):
            self._scroll()
        self.backed = 0
        self._pad()
        self.cells[self.column : self.column + len(text)] = text
        self.column += len(text)

    def control(self, do: str, args: str) -> None:
        count = max(1, _number(args, 1))
        match do:
            case "D":
                self.column = max(0, self.column - count)
            case "C":
                self.column = min(self.column + count, _WIDTH)
            case "G" | "`":
                self.column = count - 1
            case "K" | "J":
                mode = _number(args, 0)
                if mode in (0, 2):
                    del self.cells[self.column :]
                    self.before = self.before[: self.column]
                if mode in (1, 2):
                    erased = min(self.column + 1, len(self.cells)) if mode == 1 else min(self.column, len(self.cells))
                    self.cells[:erased] = " " * erased
            case "P":
                del self.cells[self.column : self.column + count]
            case "X":
                end = min(self.column + count, len(self.cells))
                self.cells[self.column : end] = " " * max(0, end - self.column)
            case "@":
                self._pad()
                self.cells[self.column : self.column] = " " * count
            case _:
                pass  # colours, modes, reports: nothing moves

    def to_start(self) -> None:
        """Go back to the first column, keeping aside a text that may have to stay."""
        self.before = _after_return(self.before, "".join(self.cells))
        self.cells, self.column = [], 0

    def text(self) -> str:
        return _after_return(self.before, self._whole()).rstrip()

    def _pad(self) -> None:
        missing = self.column - len(self.cells)
        if missing > 0:
            self.cells.extend(" " * missing)

    def _scroll(self) -> None:
        """Keep the command as it stood: the device redraws it behind a `$`, shifted to the left."""
        self.scrolled, self.mark = self._whole().rstrip(), self.column
        self.cells[self.column :] = []

    def _whole(self) -> str:
        seen = "".join(self.cells)
        if not self.scrolled:
            return seen
        tail = seen[self.mark + 1 :]
        if tail.endswith("$"):  # a mark at the right: the cursor went back to the start of the command
            return self.scrolled
        for size in range(min(len(tail), len(self.scrolled)), 0, -1):
            if self.scrolled.endswith(tail[:size]):
                return self.scrolled + tail[size:]
        return seen


def _after_return(before: str, after: str) -> str:
    """Return what a row shows when `after` is printed from the first column over `before`.

    Blanks erase and a prompt is drawn anew.  Any other text that would vanish under other text is kept in front:
    a terminal would drop it, but so does a damaged line end, and a line of a configuration must not be lost.
    """
    if not before.strip() or not after:
        return after or before
    if not after.strip() or after.startswith(before.rstrip()) or before.startswith(after.rstrip()):
        return after + before[len(after) :]
    drawn = _PROMPT_START.match(before)
    if drawn and after.startswith(drawn[0].rstrip()):
        return after
    return (before[:-1] if before.endswith(" ") else before + " ") + after
