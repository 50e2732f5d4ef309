"""Invented pictures: closets of up to 60 boxes with cords at random, built from a seed."""

from __future__ import annotations

from random import Random

from vlancheck.drawing.picture import Box, Line, Picture, Socket, Sort


def closet(seed: int, most: int = 60) -> Picture:
    """Return a picture of a tree of boxes with some rings, and of panels with cords to any of its boxes."""
    random = Random(seed)
    devices = random.randint(2, max(2, most * 2 // 3))
    panels = random.randint(0, max(0, min(most - devices, devices)))
    names = [f"SW-{number}" for number in range(1, devices + 1)] + [
        f"PANEL-{number}" for number in range(1, panels + 1)
    ]
    rows: dict[str, list[str]] = {name: [] for name in names}
    lines: list[tuple[str, str]] = []

    def join(one: str, other: str) -> None:
        ends = []
        for name in (one, other):
            rows[name].append(f"{name}:{len(rows[name]) + 1}")
            ends.append(rows[name][-1])
        lines.append((ends[0], ends[1]))

    for number in range(1, devices):
        join(names[random.randint(max(0, number - 6), number - 1)], names[number])
    for _ in range(random.randint(0, devices // 4)):
        one, other = random.sample(range(devices), 2)
        join(names[one], names[other])
    for panel in names[devices:]:
        for device in random.sample(names[:devices], min(devices, random.randint(1, 3))):
            for _ in range(random.randint(1, 12)):
                join(device, panel)
    for name in names:  # cords are not put in one after the other
        keys = [f"{name}:{number + 1}" for number in range(len(rows[name]))]
        if random.random() < 0.3:
            random.shuffle(keys)
        other = dict(zip(rows[name], keys, strict=True))
        lines = [(other.get(one, one), other.get(two, two)) for one, two in lines]
    boxes = tuple(
        Box(
            key=name,
            name=name,
            sort=Sort.PANEL if name.startswith("PANEL") else Sort.DEVICE,
            words="panel" if name.startswith("PANEL") else "switch",
            sockets=tuple(
                Socket(key=f"{name}:{row}", name=str(row), whole=f"{name}:{row}", labels=(f"C-{seed}{row:02}",))
                for row in range(1, len(rows[name]) + 1)
            ),
            idle=random.randint(0, 3),
        )
        for name in names
    )
    made = tuple(Line(one=one, other=other, ports=frozenset({one, other})) for one, other in sorted(lines))
    return Picture(title=f"Closet {seed}", survey="as-found", boxes=boxes, lines=made, roots=("SW-1",))
