"""What is in a picture: cords through panels and outlets, bundles, handoffs, boxes that stand alone."""

from __future__ import annotations

from pathlib import Path

from vlancheck.drawing.picture import Box, Line, Picture, Socket, Sort
from vlancheck.drawing.placing import lay_out
from vlancheck.picturing import Drawing
from vlancheck.pipeline import open_site
from vlancheck.report import draw_svg

from .measuring import overlapping, read, texts

BUNDLE = """{name}#show running-config
hostname {name}
!
vlan 10
!
interface Port-channel1
 switchport mode trunk
!
interface GigabitEthernet0/1
 switchport mode trunk
 channel-group 1 mode active
!
interface GigabitEthernet0/2
 switchport mode trunk
 channel-group 1 mode active
!
interface GigabitEthernet0/3
 switchport mode access
 switchport access vlan 10
!
end
{name}#
"""


def site(folder: Path, sheet: str, declared: str = "") -> Path:
    """Write a site of two switches into a folder and return it."""
    (folder / "captures/as-found").mkdir(parents=True)
    (folder / "patching").mkdir()
    for name in ("SW-1", "SW-2"):
        (folder / f"captures/as-found/{name}.txt").write_text(BUNDLE.format(name=name), encoding="utf-8")
    (folder / "patching/as-found.csv").write_text(sheet, encoding="utf-8")
    (folder / "site.yaml").write_text(f"site: two switches\n{declared}", encoding="utf-8")
    return folder


def shown(picture: Picture) -> list[tuple[str, str, int]]:
    """Return the lines of a picture by the names of their ends, and how many cords each is."""
    names = {row.key: row.whole for box in picture.boxes for row in box.sockets}
    return [(names[line.one], names[line.other], line.cords) for line in picture.lines]


def test_a_bundle_is_one_line_of_its_cords(tmp_path: Path) -> None:
    sheet = "From,To,Cord\nSW-1:Gi0/1,SW-2:Gi0/1,C-1\nSW-1:Gi0/2,SW-2:Gi0/2,C-2\nSW-1:Gi0/3,SW-2:Gi0/3,C-3\n"
    drawing = open_site(site(tmp_path / "site", sheet)).draw(vlan=10)
    picture = drawing.picture
    assert shown(picture) == [
        ("SW-1:GigabitEthernet0/3", "SW-2:GigabitEthernet0/3", 1),
        ("SW-1:Port-channel1", "SW-2:Port-channel1", 2),
    ]
    assert picture.lines[1].labels == ("C-1", "C-2")
    assert [row.name for row in picture.boxes[0].sockets] == ["Gi0/3", "Po1"]
    assert 'class="line unchanged bundle' in draw_svg.text(drawing)


def test_a_cord_goes_through_panels(tmp_path: Path) -> None:
    """Two panels in a row are two boxes with three lines."""
    sheet = (
        "From,To,Cord,Kind\nSW-1:Gi0/3,PANEL-A:07,C-1,\nPANEL-A:07,PANEL-B:07,,permanent\nPANEL-B:07,SW-2:Gi0/3,C-2,\n"
    )
    drawing = open_site(site(tmp_path / "site", sheet)).draw(vlan=10)
    assert {frozenset((one, other)) for one, other, _ in shown(drawing.picture)} == {
        frozenset(("SW-1:GigabitEthernet0/3", "PANEL-A:07")),
        frozenset(("PANEL-A:07", "PANEL-B:07")),
        frozenset(("PANEL-B:07", "SW-2:GigabitEthernet0/3")),
    }
    assert {box.sort for box in drawing.picture.boxes if box.name.startswith("PANEL")} == {Sort.PANEL}
    assert drawing.picture.ink is not None
    assert {*drawing.picture.ink.lines.values()} == {True}
    assert len(drawing.picture.ink.lines) == 3


def test_a_handoff_without_a_box_gets_the_carrier(tmp_path: Path) -> None:
    declared = 'handoffs:\n  - {at: "SW-2:Gi0/3", carrier: metro, circuit: EX-0001}\n'
    sheet = "From,To,Cord\nSW-1:Gi0/1,SW-2:Gi0/1,C-1\n"
    drawing = open_site(site(tmp_path / "site", sheet, declared)).draw()
    carrier = next(box for box in drawing.picture.boxes if box.sort is Sort.CARRIER)
    assert carrier.name == "metro EX-0001"
    assert ("carrier beyond SW-2:GigabitEthernet0/3", "SW-2:GigabitEthernet0/3", 1) in shown(drawing.picture)
    columns = {frame.box.name: frame.x for frame in drawing.layout.frames}
    assert columns["metro EX-0001"] < columns["SW-2"] < columns["SW-1"]


def test_a_picture_may_be_empty_or_have_a_cord_from_a_box_to_itself() -> None:
    nothing = Picture(title="nothing", survey="as-found")
    rows = tuple(Socket(key=f"A:{number}", name=str(number), whole=f"A:{number}") for number in (1, 2))
    alone = Picture(
        title="a loop",
        survey="as-found",
        boxes=(Box(key="A", name="A", sort=Sort.DEVICE, sockets=rows),),
        lines=(Line(one="A:1", other="A:2"),),
    )
    for picture, lines in ((nothing, 0), (alone, 1)):
        (layout,) = lay_out(picture, picture)
        root = read(draw_svg.text(Drawing(picture, layout)))
        assert overlapping(texts(root)) == []
        assert sum(one.get("class") == "line unchanged" for one in root.iter()) == lines
