"""What lies where on paper: nothing overlaps, nothing is too small, lines cross seldom, boxes keep their place."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from bench.tower import write_tower
from report.sites import write_closet

from vlancheck.drawing.picture import Picture
from vlancheck.drawing.placing import lay_out
from vlancheck.example import write_site
from vlancheck.picturing import Drawing
from vlancheck.pipeline import Site, open_site
from vlancheck.report import draw_dot, draw_svg

from . import graphviz
from .closets import closet
from .measuring import classes, crossings, frames, having, overlapping, read, texts, ways


@pytest.fixture(scope="module")
def example(tmp_path_factory: pytest.TempPathFactory) -> Site:
    folder = tmp_path_factory.mktemp("closet") / "site"
    write_site(folder)
    return open_site(folder)


def alone(picture: Picture) -> Drawing:
    """Return the drawing of a picture that has its paper for itself."""
    (layout,) = lay_out(picture, picture)
    return Drawing(picture, layout)


def sound(drawing: Drawing) -> None:
    """Assert that nothing of a drawing overlaps, and that every line lies where it may."""
    root = read(draw_svg.text(drawing))
    shown, boxes = texts(root), frames(root)
    assert len(boxes) == len(drawing.picture.boxes)
    assert overlapping(shown) == []
    assert overlapping(boxes) == []
    wide, high = (float(root.get(side, "").removesuffix("pt")) for side in ("width", "height"))
    assert root.get("viewBox") == f"0 0 {wide:g} {high:g}"
    assert all(one.left >= 0 and one.right <= wide and one.top >= 0 and one.bottom <= high for one in (*shown, *boxes))
    inside = [one for one in shown if any(box.overlaps(one) for box in boxes)]
    assert [one.what for one in inside if not any(box.holds(one) for box in boxes)] == []
    for way in ways(root):
        for x, y in way:
            for box in boxes:
                assert not (box.left + 0.2 < x < box.right - 0.2 and box.top < y < box.bottom), (x, y)


# ---- overlaps ------------------------------------------------------------------------------------------------------


def test_the_example_is_sound_in_every_survey_and_ink(example: Site) -> None:
    for survey in example.surveys:
        sound(example.draw(survey))
    for name in ("Catalogue line", "Internet", "Phone trunk", "Branch tunnel", "cameras"):
        sound(example.draw("as-left", service=name))
    sound(example.draw("as-found", vlan=10, inks=True))
    sound(example.draw_changes())


def test_the_tower_is_sound(tmp_path: Path) -> None:
    """40 switches of 48 ports."""
    site = open_site(write_tower(tmp_path / "tower"))
    drawing = site.draw("as-left")
    assert len([box for box in drawing.picture.boxes if box.words == "switch"]) == 41
    sound(drawing)


@pytest.mark.parametrize("seed", range(1, 13))
def test_closets_at_random_are_sound(seed: int) -> None:
    sound(alone(closet(seed)))


def test_an_overlap_would_be_found(example: Site) -> None:
    """The check of overlaps is one that can fail."""
    text = draw_svg.text(example.draw())
    moved = re.sub(r'(class="label" x=")[\d.]+', r"\g<1>40", text)
    assert overlapping(texts(read(text))) == []
    assert overlapping(texts(read(moved))) != []


def test_no_text_is_smaller_than_nine_points(example: Site) -> None:
    """A unit of the drawing is a point, its sizes are in its style, and each of these is 9 or more."""
    text = draw_svg.text(example.draw("as-left", service="Internet"))
    root = read(text)
    assert root.get("width", "").removesuffix("pt") == root.get("viewBox", "").split()[2]
    sizes = [float(size) for size in re.findall(r"font-size: ([\d.]+)px", text)]
    assert sizes
    assert min(sizes) >= 9
    assert not re.search(r"font-size: [\d.]+(?!\d|\.|px)|scale\(", text)


# ---- crossings -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(2, 24, 4))
def test_crossings_are_counted_as_they_are_drawn(seed: int) -> None:
    drawing = alone(closet(seed, 18))
    assert crossings(ways(read(draw_svg.text(drawing)))) == drawing.layout.crossings


def test_the_example_has_no_more_crossings_than_graphviz_makes(example: Site) -> None:
    graphviz.needed()
    for survey in example.surveys:
        drawing = alone(example.draw(survey).picture)
        assert drawing.layout.crossings <= graphviz.dot_crossings(draw_dot.text(drawing))


# Of 359 closets those in which Graphviz comes nearest, and some others.
_NEAR = {
    16: [*range(100, 124), 139, 142, 153, 155, 175, 190, 198, 215, 217, 218, 297, 320],
    30: [1001, 1004, 1019, 1039, 1042, 1047, 1067, 1074, 1077, 1089, 1097],
    60: [6, 7, 10, 18, 21, 23, 32, 52, 56, 59, 61, 62, 74, 78, 90, 114, 126, 137, 139],
}


@pytest.mark.parametrize(("most", "seed"), [(most, seed) for most, seeds in _NEAR.items() for seed in seeds])
def test_closets_at_random_have_no_more_crossings_than_graphviz_makes(most: int, seed: int) -> None:
    graphviz.needed()
    drawing = alone(closet(seed, most))
    assert drawing.layout.crossings <= graphviz.dot_crossings(draw_dot.text(drawing))


# ---- places --------------------------------------------------------------------------------------------------------


def test_boxes_keep_their_place_between_surveys(example: Site) -> None:
    places = [
        {frame.box.key: (frame.x, frame.y) for frame in example.draw(name).layout.frames} for name in example.surveys
    ]
    assert len(places) == 3
    assert places[0] == places[1] == places[2]
    inked = {frame.box.key: (frame.x, frame.y) for frame in example.draw("as-left", vlan=10).layout.frames}
    assert inked == places[0]


def test_the_handoff_is_at_one_end(example: Site) -> None:
    frames_of = example.draw().layout.frames
    assert [frame.box.name for frame in sorted(frames_of, key=lambda frame: frame.x)][:2] == ["ONU-1", "SORT-1"]
    panels = [frame.x for frame in frames_of if frame.box.words == "panel"]
    assert min(panels) > max(frame.x for frame in frames_of if frame.box.name in ("CORE-1", "RTR-1", "ACC-1"))


def test_every_cord_of_the_sheet_is_a_line_between_its_ports(example: Site) -> None:
    root = read(draw_svg.text(example.draw()))
    lines = {(one.get("data-from"), one.get("data-to")) for one in having(root, "line") if one.get("data-from")}
    assert len(lines) == 41
    assert ("PANEL-A:01", "CORE-1:GigabitEthernet1/0/9") in {(b, a) for a, b in lines} | lines
    ids = [one.get("id") for one in root.iter() if one.get("id")]
    assert len(ids) == len(set(ids))
    assert {one.get("data-panel") for one in having(root, "panel")} == {"PANEL-A", "PANEL-B"}


def test_a_hold_is_told_at_both_ends_of_its_cord(example: Site) -> None:
    root = read(draw_svg.text(example.draw()))
    held = {one.get("data-port") for one in having(root, "hold")}
    assert held == {
        "PANEL-B:11", "PANEL-B:12", "CORE-1:GigabitEthernet1/0/17", "ACC-2:FastEthernet0/8",
    }  # fmt: skip
    notes = [text.text for one in having(root, "hold") for text in one if "note" in classes(text)]
    assert sorted(notes) == ["HOLD", "HOLD", "HOLD fire alarm dialler", "HOLD lift telephone"]


def test_a_box_without_a_handoff_is_drawn_too(tmp_path: Path) -> None:
    drawing = open_site(write_closet(tmp_path / "site")).draw()
    assert {box.name for box in drawing.picture.boxes} == {"ONU-1", "SORT-1", "ACC-1", "DESKSW", "PANEL-A"}
    sound(drawing)
