"""A device's facts and lines to be pasted into it in, the device as it would then be out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from vlancheck.capture import Section
from vlancheck.dot1q.model import Device
from vlancheck.errors import CaptureError
from vlancheck.evidence import Kind
from vlancheck.reader.dialect import Dialect, Source
from vlancheck.reader.reading import Fate, Gathered, source_of, typed


def pasted(gathered: Gathered, name: str, sections: Sequence[Section]) -> tuple[Device, Gathered]:
    """Return the device `name` with the lines of `sections` typed at it, by its own semantics, and its facts.

    Raises CaptureError for a text of which nothing is configuration.
    """
    pairs = []
    for section in sections:
        bare = replace(section, command="", device="", prompt=None, cut=False)
        pairs.append((bare, source_of(gathered.dialect, bare) or _typed(gathered.dialect)))
    made = typed(gathered, pairs)
    fates = [fate for section in made.fates[len(gathered.fates) :] for fate in section.values()]
    if sections and Fate.UNREAD in fates and not {Fate.READ, Fate.REFUSED} & set(fates):
        hint = f"write the lines as they are typed at {name}, without prompts"
        raise CaptureError(f"no line is configuration of {gathered.dialect.name}", file=sections[0].file, hint=hint)
    return made.device(name), made


def with_what_was_shown(before: Device, after: Device) -> Device:
    """Return a box with lines typed at it that keeps what no line changes: what is not saved, and what a log told."""
    unsaved = {key: fact for key, fact in before.settings.items() if key.startswith("unsaved")}
    return replace(after, settings={**unsaved, **after.settings}, logged=before.logged, entered=before.entered)


def _typed(dialect: Dialect) -> Source:
    """Return how lines are read that have no sign of their own, such as a lone `no` line: as a saved configuration."""
    return next(
        (source for source in dialect.sources if source.bare and source.evidence is Kind.LINE), dialect.sources[0]
    )


def all_pasted(
    devices: Sequence[Device], gathered: Mapping[str, Gathered], edits: Mapping[str, Sequence[Section]]
) -> tuple[tuple[Device, ...], dict[str, Gathered]]:
    """Return all devices, those in `edits` with their lines pasted; CaptureError for one that was not captured."""
    boxes = {device.name: device for device in devices}
    facts = dict(gathered)
    for name, sections in edits.items():
        file = sections[0].file if sections else ""
        if name not in facts or name not in boxes:
            known = ", ".join(sorted(set(facts) & set(boxes))) or "none"
            hint = f"a file of lines is called after its device; captured: {known}"
            raise CaptureError(f"lines for {name}, of which there is no configuration", file=file, hint=hint)
        made, facts[name] = pasted(facts[name], name, sections)
        boxes[name] = with_what_was_shown(boxes[name], made)
    return tuple(boxes.values()), facts
