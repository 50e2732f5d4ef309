"""Footprints of walks on paper: each step has one, none overlaps anything, and whatever is too large is cut well."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path
from random import Random

import pytest
from bench.tower import write_tower
from walk.plants import FRAMES, network
from wiring.boxes import access, switch

from vlancheck.drawing.folding import Part, folded
from vlancheck.drawing.footprints import HIGH, WIDE, Trail, Tread, trail
from vlancheck.drawing.picture import Box, Line, Picture, Socket, Sort
from vlancheck.drawing.placing import PAD, TEXT, Frame, Row
from vlancheck.drawing.texts import width
from vlancheck.example import write_site
from vlancheck.pipeline import open_site
from vlancheck.walk import walk
from vlancheck.walk.flood import What
from vlancheck.wiring import Network

EMPTY = Picture(title="closet", survey="as-found")


def spans(row: Row, tread: Tread) -> list[tuple[float, float]]:
    """Return what a row has, from left to right, each from where to where."""
    found = [(PAD, PAD + width(row.name, TEXT, bold=True))]
    found += [(row.kept_x + one.x, row.kept_x + one.x + one.wide) for one in tread.prints]
    found.append((row.kept_x + tread.words_x, row.kept_x + tread.words_x + width(tread.words, TEXT)))
    return [*found, (row.note_x, row.note_x + width(row.note, TEXT))] if row.note else found


def apart(one: Frame, other: Frame) -> bool:
    """Tell whether two boxes lie beside or below each other."""
    return (
        one.x + one.width <= other.x
        or other.x + other.width <= one.x
        or one.y + one.height <= other.y
        or other.y + other.height <= one.y
    )


def overlaps(part: Part, trail_: Trail) -> list[str]:
    """Return the rows of a drawing in which something overlaps, or leaves its box, and boxes that overlap."""
    found = []
    for number, frame in enumerate(part.layout.frames):
        found += [frame.title for other in part.layout.frames[:number] if not apart(frame, other)]
        for row in frame.rows:
            across = spans(row, trail_.treads[row.socket.key])
            if any(left[1] > right[0] for left, right in pairwise(across)) or across[-1][1] > frame.width + 0.1:
                found.append(row.socket.key)
    return found


def sound(made: Trail) -> None:
    """Assert that every step has a footprint, that every cord is drawn, and that nothing overlaps."""
    numbers = [one.number for tread in made.treads.values() for one in tread.prints]
    assert sorted(numbers) == [step.number for step in made.walk.steps]
    drawn = {row.socket.key for part in made.parts for frame in part.layout.frames for row in frame.rows}
    assert drawn == {*made.treads}
    assert {line.key for part in made.parts for line in part.picture.lines} == cords(made)
    for part in made.parts:
        assert overlaps(part, made) == []
        assert (part.layout.width <= WIDE, part.layout.height <= HIGH) == (True, True)


def cords(made: Trail) -> set[tuple[str, str]]:
    """Return the cords that copies of a walk pass, as its steps say it."""
    pairs = set()
    for step in made.walk.steps[1:]:
        cause = made.walk.steps[step.parent - 1]
        if cause.what in (What.SENT, What.LEAVES) and cause.port != step.port:
            pairs.add((min(cause.port, step.port), max(cause.port, step.port)))
    return pairs


def test_every_walk_of_the_example_is_sound(tmp_path: Path) -> None:
    write_site(tmp_path / "site")
    site = open_site(tmp_path / "site")
    for survey, before in (("as-found", ""), ("as-left", "as-found")):
        trails = [made for _, made in site.follow(survey, before).trails]
        assert len(trails) > 20
        assert max(len(made.parts) for made in trails) > 1
        for made in trails:
            sound(made)


def test_a_walk_through_a_building_is_sound(tmp_path: Path) -> None:
    """A thousand footprints in 41 boxes: on many sheets, each of which is no larger than paper."""
    survey = (site := open_site(write_tower(tmp_path / "tower"))).survey("as-left")
    made = site.trace(survey, survey.walk("ACC-1:GigabitEthernet1/0/1"))
    assert made.walk.length == 1000
    assert len(made.parts) > 10
    sound(made)


@pytest.mark.parametrize("seed", range(30))
def test_walks_at_random_are_sound(seed: int) -> None:
    """Loops, cords within one box, and facts that nobody knows."""
    rng = Random(seed)
    net = network(rng, unknowns=seed % 2 == 0)
    for place in sorted(net.boundary)[:3]:
        walked = walk(net, place, rng.choice(FRAMES))
        sound(trail(walked, EMPTY, net.devices, {place: "phone 7 + PC with a long name that nobody can pronounce"}))


def test_long_names_are_cut_where_they_tell_least() -> None:
    """Of a port the end is kept, since its number is there; two such boxes are no wider than paper."""
    ports = [access(f"extraordinarily-long-name-of-a-port-{number}", 10) for number in (1, 2)]
    names = ("A-box-with-a-name-that-is-longer-than-paper-is-wide", "B-box-with-a-name-that-is-longer-than-paper-is")
    boxes = [switch(name, *ports) for name in names]
    far, near = (port.port for port in ports)
    net = Network(boxes, [(f"{names[0]}:{far}", f"{names[1]}:{far}")])
    made = trail(walk(net, f"{names[0]}:{near}", ()), EMPTY, net.devices, {})
    sound(made)
    assert [row.name for frame in made.parts[0].layout.frames for row in frame.rows][1].endswith("a-port-2")
    assert max(part.layout.width for part in made.parts) > WIDE * 0.9


def test_an_overlap_would_be_found() -> None:
    """The check of overlaps is one that can fail."""
    net = network(Random(3))
    place = sorted(net.boundary)[0]
    made = trail(walk(net, place, ()), EMPTY, net.devices, {})
    one = made.treads[place]
    longer = Tread(one.prints, one.words * 30, one.words_x - 12)
    assert overlaps(made.parts[0], made) == []
    assert overlaps(made.parts[0], Trail(made.walk, made.parts, {**made.treads, place: longer}, {})) == [place]


# ---- cutting -------------------------------------------------------------------------------------------------------


def box(name: str, ports: int) -> Box:
    rows = tuple(Socket(key=f"{name}:{port}", name=str(port), whole=f"{name}:{port}") for port in range(ports))
    return Box(key=name, name=name, sort=Sort.DEVICE, words="switch", sockets=rows)


def test_what_fits_is_one_drawing() -> None:
    picture = Picture(
        title="", survey="", boxes=(box("A", 3), box("B", 3)), lines=(Line(one="A:1", other="B:1"),), roots=()
    )
    (part,) = folded(picture, WIDE, HIGH)
    assert [one.key for one in part.picture.boxes] == ["A", "B"]


def test_a_chain_goes_on_where_it_was_left() -> None:
    """Each part begins with the box where the part before it ended, without its other rows."""
    names = [f"SW-{number}" for number in range(12)]
    lines = tuple(Line(one=f"{one}:1", other=f"{other}:2") for one, other in pairwise(names))
    picture = Picture(title="", survey="", boxes=tuple(box(name, 4) for name in names), lines=lines, roots=())
    parts = folded(picture, WIDE, HIGH)
    assert len(parts) > 2
    for before, after in pairwise(parts):
        again = after.picture.boxes[0]
        assert again.key == before.picture.boxes[-1].key
        assert again.words == "as before"
        assert [row.name for row in again.sockets] == ["1"]
        assert after.layout.frames[0].x == 0
    assert sum(len(part.picture.lines) for part in parts) == 11


def test_a_box_that_is_higher_than_paper_is_cut() -> None:
    """Every row is there once, and no part is too high."""
    picture = Picture(
        title="", survey="", boxes=(box("A", 130), box("B", 2)), lines=(Line(one="A:128", other="B:1"),), roots=()
    )
    parts = folded(picture, WIDE, HIGH)
    rows = [row.key for part in parts for one in part.picture.boxes for row in one.sockets]
    assert sorted(rows) == sorted({row.key for one in picture.boxes for row in one.sockets})
    assert all(part.layout.height <= HIGH for part in parts)
    assert "continued; switch" in [one.words for part in parts for one in part.picture.boxes]
