"""Sites of one access switch, as text: captures, a patch sheet and a declaration in, findings out."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from vlancheck.findings.finding import Finding
from vlancheck.pipeline import open_site


def site(root: Path, captures: Mapping[str, str], declared: str = "", cords: Mapping[str, str] | None = None) -> Path:
    """Write a site: `SURVEY/FILE` -> text, lines of site.yaml, survey -> patch sheet."""
    for name, text in captures.items():
        path = root / "captures" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    for survey, text in (cords or {}).items():
        (root / "patching").mkdir(exist_ok=True)
        (root / "patching" / f"{survey}.csv").write_text(text, encoding="utf-8")
    (root / "site.yaml").write_text(f"site: Mill Lane office\n{declared}", encoding="utf-8")
    return root


def audited(root: Path) -> tuple[Finding, ...]:
    """Return the findings about what was found."""
    return open_site(root).audit("as-found").findings


def verified(root: Path) -> tuple[Finding, ...]:
    """Return the findings about what was left, against what was found."""
    return open_site(root).verify("as-found", "as-left").findings


def of(code: str, findings: tuple[Finding, ...]) -> list[Finding]:
    """Return the findings of one check."""
    return [one for one in findings if one.code == code]
