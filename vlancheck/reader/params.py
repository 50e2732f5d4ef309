"""A mapping of a dialect's YAML comes in; checked words, patterns and lists go out, or an error with its line."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Mapping

from vlancheck.errors import DialectError
from vlancheck.yamltext import Items, Node, Table, Text


class Parameters:
    """A mapping of which every key must be asked for; `done` refuses the keys nobody asked for."""

    def __init__(self, node: Node | None, file: str, what: str, line: int = 0) -> None:
        """Take the mapping `node`, which describes `what`; None is an empty one."""
        self.file = getattr(node, "file", "") or file
        self.what = what
        self.line = getattr(node, "line", 0) or line
        self._asked: list[str] = []
        if node is None:
            self._table: Table = Table()
        elif isinstance(node, Table):
            self._table = node
        else:
            raise self.error(f"{what} must be a mapping", node)

    def error(self, message: str, node: Node | None = None, hint: str = "") -> DialectError:
        """Return the error `message` at `node`."""
        file = getattr(node, "file", "") or self.file
        return DialectError(message, file=file, line=getattr(node, "line", 0) or self.line, hint=hint)

    def unknown(self, kind: str, word: str, known: Iterable[str]) -> DialectError:
        """Return the error that `word` is no `kind`, with the nearest one known."""
        known = sorted(known)
        near = difflib.get_close_matches(word, known, 1)
        hint = f"did you mean {near[0]!r}?" if near else f"known: {', '.join(known)}"
        return self.error(f"{word!r} is no {kind}", word if isinstance(word, Text) else None, hint)

    def node(self, key: str) -> Node | None:
        """Return what stands under `key`."""
        self._asked.append(key)
        return self._table.get(Text(key))

    def has(self, key: str) -> bool:
        """Tell whether `key` is there; it still has to be asked for."""
        return key in self._table

    def written(self) -> list[Text]:
        """Return the keys as written."""
        return list(self._table)

    def done(self) -> None:
        """Refuse a key nobody asked for."""
        for key in self._table:
            if key not in self._asked:
                raise self.unknown(f"word of {self.what}", key, self._asked)

    def word(self, key: str, default: str | None = None) -> str:
        """Return the text under `key`, or `default`; without one the key must be there."""
        node = self.node(key)
        if node is None and default is not None:
            return default
        if not isinstance(node, Text):
            raise self.error(f"{self.what} needs a word under {key!r}", node)
        return node

    def choice(self, key: str, known: Iterable[str], default: str | None = None) -> str:
        """Return the text under `key`, which must be one of `known`."""
        known = list(known)
        word = self.word(key, default)
        if word not in known:
            raise self.unknown(key, word, known)
        return str(word)

    def flag(self, key: str, *, default: bool) -> bool:
        """Return the `yes` or `no` under `key`."""
        return self.choice(key, ("yes", "no"), "yes" if default else "no") == "yes"

    def words(self, key: str) -> tuple[Text, ...]:
        """Return the text, or the list of texts, under `key`."""
        node = self.node(key)
        if node is None:
            return ()
        if isinstance(node, Text):
            return (node,)
        if isinstance(node, Items) and all(isinstance(item, Text) for item in node):
            return tuple(item for item in node if isinstance(item, Text))
        raise self.error(f"{key!r} of {self.what} must be a word or a list of words", node)

    def patterns(self, key: str) -> tuple[re.Pattern[str], ...]:
        """Return the regular expressions under `key`."""
        return tuple(self.compiled(word) for word in self.words(key))

    def pattern_pairs(self, key: str) -> tuple[tuple[re.Pattern[str], str], ...]:
        """Return the mapping of regular expressions to texts under `key`."""
        return tuple((self.compiled(opens), closes) for opens, closes in self.mapping(key).items())

    def compiled(self, word: str) -> re.Pattern[str]:
        """Return `word` as a regular expression."""
        try:
            return re.compile(word)
        except re.error as error:
            raise self.error(
                f"{str(word)!r} is no regular expression: {error}", word if isinstance(word, Text) else None
            ) from error

    def mapping(self, key: str) -> dict[Text, Text]:
        """Return the mapping of texts to texts under `key`."""
        node = self.node(key)
        if node is None:
            return {}
        if not isinstance(node, Table):
            raise self.error(f"{key!r} of {self.what} must be a mapping", node)
        found: dict[Text, Text] = {}
        for name, value in node.items():
            if not isinstance(value, Text):
                raise self.error(f"{str(name)!r} of {key!r} must be a word", value)
            found[name] = value
        return found

    def lists(self, key: str) -> Mapping[str, tuple[str, ...]]:
        """Return the mapping of texts to lists of texts under `key`."""
        inner = self.below(key)
        return {str(name): tuple(map(str, inner.words(name))) for name in inner.written()}

    def below(self, key: str) -> Parameters:
        """Return the mapping under `key`, empty when it is not there."""
        return Parameters(self.node(key), self.file, f"{self.what}: {key}", self.line)

    def each(self, key: str) -> list[Parameters]:
        """Return the mappings in the list under `key`."""
        node = self.node(key)
        if node is None:
            return []
        if not isinstance(node, Items):
            raise self.error(f"{key!r} of {self.what} must be a list", node)
        return [Parameters(item, self.file, f"{self.what}: {key}", node.line) for item in node]
