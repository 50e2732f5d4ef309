"""A link whose mode is negotiated lies between two VTP domains: it does not become a trunk.

What it finds
    A link between two switches at one end of which the mode is left to negotiation, and whose ends are in different
    VTP domains. Where both ends are set by hand, the same two domains harm nothing; nor do they where both switches are
    transparent, where a domain is not captured, and where the port was shown to be a trunk.

Why it matters
    The negotiation carries the name of the domain, and an end that hears another name than its own does not trunk. The
    link stays in one VLAN, though both ends say that they want more.

Example
    bridge sw1 exists=1,10
    setting sw1 vtp-mode=server vtp-domain=quay
    port sw1:1 member=10 pvid=10 untagged=10
    port sw1:2 member=1,10 pvid=1 untagged=1
    negotiate sw1:2 protocol=dtp mode=desirable alone=access outcomes=desirable:trunk,trunk:trunk
    variant sw1:2 access name=2 on=2 member=1 pvid=1 untagged=1
    variant sw1:2 trunk name=2 on=2 member=1,10 pvid=1 untagged=1
    bridge sw2 exists=1,10
    setting sw2 vtp-mode=server vtp-domain=harbour
    port sw2:1 member=10 pvid=10 untagged=10
    port sw2:2 member=1,10 pvid=1 untagged=1
    negotiate sw2:2 protocol=dtp mode=trunk alone=trunk outcomes=desirable:trunk,trunk:trunk
    variant sw2:2 trunk name=2 on=2 member=1,10 pvid=1 untagged=1
    link sw1:2 sw2:2
    vlan 10 -> sw1:1 untagged, sw2:1 untagged
    => N102 sw1:2

Instead
    bridge sw1 exists=1,10
    setting sw1 vtp-mode=server vtp-domain=quay
    port sw1:1 member=10 pvid=10 untagged=10
    port sw1:2 member=1,10 pvid=1 untagged=1
    bridge sw2 exists=1,10
    setting sw2 vtp-mode=server vtp-domain=harbour
    port sw2:1 member=10 pvid=10 untagged=10
    port sw2:2 member=1,10 pvid=1 untagged=1
    link sw1:2 sw2:2
    vlan 10 -> sw1:1 untagged, sw2:1 untagged
    => clean

When it is intended
    When the link is to carry one VLAN: say so at both ends.

Reference
    "The %DTP-5-DOMAINMISMATCH error message is displayed in the logs", Cisco support community document 3132339. "DTP
    and VTP, no go", reggle.wordpress.com, 2011. "VTP Domain Mismatches Can Break Your Trunking",
    cciepursuit.wordpress.com, 2007.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.dot1q.model import Negotiation
from vlancheck.findings.advertised import Sharing, kept_apart, sharing
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, Where, evidence
from vlancheck.wiring.network import Link

CODE = "N102"
NAME = "A negotiated link between two VTP domains"


def find(case: Case) -> Iterator[Finding]:
    """Yield a finding for each link that the domains of its ends keep from becoming a trunk."""
    known = sharing(case)
    for link in case.links():
        if (ends := kept_apart(case, link, known)) is None:
            continue
        open_ = [place for place in (link.one, link.other) if _open(case.network.port(place).negotiation)]
        if open_:
            yield _finding(case, link, open_, ends)


def _open(negotiation: Negotiation | None) -> bool:
    """Tell whether what the far end says makes a difference."""
    return negotiation is not None and len({negotiation.alone, *negotiation.outcomes.values()}) > 1


def _finding(case: Case, link: Link, open_: list[str], ends: tuple[Sharing, Sharing]) -> Finding:
    one, other = ends
    where: list[Where] = []
    for place in open_:
        said = case.network.port(place).negotiation
        where += evidence(place, said.origins if said else (), "left to negotiation", not where)
    for end in ends:
        where += evidence(end.device, end.origins, f"VTP domain {end.domain}")
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.ERROR if case.needed_across(link) else Severity.WARNING,
        headline=f"the mode of the link between {link.one} and {link.other} is negotiated between the VTP domains "
        f"{one.domain} and {other.domain}: it does not become a trunk",
        why=f"{' and '.join(open_)} stays in one VLAN; set the mode at both ends",
        where=tuple(where),
        at=frozenset(open_),
    )
