"""A strip has every port of a way in its order, in the box it belongs to, and between boxes the tags on the wire."""

from __future__ import annotations

from pathlib import Path

from vlancheck import open_site
from vlancheck.example import write_site
from vlancheck.places import split_place
from vlancheck.report.strip import strip
from vlancheck.verdicts.reasons import Hop


def told(path: tuple[Hop, ...], ends: str = "") -> list[tuple[str, str]]:
    """Return the parts of a strip: what sort each is, and its words."""
    return [(part.get("class", ""), "".join(part.itertext())) for part in strip(path, ends)]


def test_every_way_of_the_example(tmp_path: Path) -> None:
    """Ports in order, each with its device in one box; frames of wires are those of the hops."""
    write_site(tmp_path)
    report = open_site(tmp_path).verify()
    ways = [ending.path for verdict in report.verdicts for ending in verdict.endings if ending.path]
    assert len(ways) > 20
    for path in ways:
        parts = told(path)
        boxes = [words for sort, words in parts if sort == "box"]
        left = [hop.port for hop in path]
        for words in boxes:
            device = split_place(left[0])[0]
            assert words.startswith(f"{device}:")
            while left and split_place(left[0])[0] == device and split_place(left[0])[1] in words:
                left.pop(0)
        assert left == []
        frames = {hop.frame for hop in path}
        assert {words for sort, words in parts if sort == "wire"} <= frames


def test_a_frame_that_dies() -> None:
    """What it wore, where it came in, and the word for what became of it; nothing after that."""
    path = (
        Hop("A:1", "in", "10", 10, True),
        Hop("A:2", "out", "20", 10, True),
        Hop("B:1", "in", "20", 20, False),
    )
    assert told(path, "lost here") == [
        ("wire", "10"),
        ("box", "A:1 → 2 VLAN 10"),
        ("wire", "20"),
        ("box", "B:1 VLAN 20unproven"),
        ("dies", "lost here"),
    ]
