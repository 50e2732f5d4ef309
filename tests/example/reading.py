"""Truth written by hand in, with ports spelled out, for tests of the built-in example."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import yaml

TRUTH = Path(__file__).parent / "truth"
_LONG = {"Gi": "GigabitEthernet", "Te": "TenGigabitEthernet", "Fa": "FastEthernet"}


def truth(name: str) -> Any:
    """Return one file of the truth; every scalar is text."""
    return yaml.load((TRUTH / f"{name}.yaml").read_text(encoding="utf-8"), Loader=yaml.BaseLoader)


def port(text: str) -> str:
    """Return a port as the program spells it; of a sub-interface, the port it is over."""
    return re.sub(r":(Gi|Te|Fa)(?=\d)", lambda found: f":{_LONG[found[1]]}", text)


def ending_name(text: str) -> str:
    """Return the name under which an ending is told: a sub-interface is its port."""
    return port(text).split(".")[0]


def several(text: str, groups: dict[str, list[str]]) -> list[tuple[str, str]]:
    """Return the deliveries that one word of the truth stands for: a group, a range of ports or a port."""
    if text in groups:
        return [one for word in groups[text] for one in several(word, groups)]
    place, frame = text.split()
    if (found := re.fullmatch(r"(.*?)(\d+)-(\d+)", place)) and ":" in found[1]:
        numbers = range(int(found[2]), int(found[3]) + 1)
        return [(port(f"{found[1]}{number}"), frame) for number in numbers]
    return [(port(place), frame)]
