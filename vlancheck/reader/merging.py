"""Two dialects' YAML come in, that of the second laid over the first goes out (`extends`)."""

from __future__ import annotations

from vlancheck.yamltext import Items, Node, Table, Text

_OWN = ("signs", "title")  # never taken from the dialect below


def merged(under: Table, over: Table) -> Table:
    """Return `over` laid over `under`.

    Mappings are merged word by word; of lists, `sources` is replaced by name, `owners` and `names` come first,
    rows of meaning come last (so that they override); `sensitive` words add up; everything else is replaced.
    """
    made = Table()
    made.line, made.file = over.line, over.file
    for key, value in under.items():
        if key not in _OWN:
            made[key] = value
    for key, value in over.items():
        made[key] = _merged(key, made[key], value) if key in made else value
    return made


def _merged(key: Text, under: Node, over: Node) -> Node:
    if isinstance(under, Table) and isinstance(over, Table):
        if key in ("form", "when") or "is" in over or "of" in over:
            return over
        table = Table(under)
        table.line, table.file = over.line, over.file
        for word, value in over.items():
            table[word] = _merged(word, under[word], value) if word in under else value
        return table
    if key == "sensitive":
        return _items([*_listed(under), *_listed(over)], over)
    if isinstance(under, Items) and isinstance(over, Items):
        if key in ("bridges", "device", "derive") or (key == "ports" and all(isinstance(row, Table) for row in over)):
            return _items([*under, *over], over)
        if key in ("owners", "names"):
            return _items([*over, *under], over)
        if key == "sources":
            named = {_name(one) for one in over}
            return _items([*over, *(one for one in under if _name(one) not in named)], over)
    return over


def _listed(node: Node) -> list[Node]:
    return node if isinstance(node, Items) else [node]


def _items(nodes: list[Node], like: Node) -> Items:
    items = Items(nodes)
    items.line, items.file = like.line, like.file
    return items


def _name(node: Node) -> str:
    name = node.get(Text("name")) if isinstance(node, Table) else None
    return str(name)
