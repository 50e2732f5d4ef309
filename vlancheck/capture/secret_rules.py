"""How the secrets of many families of devices are written: expressions with the text before a secret as `keep`.

`ANYWHERE` holds in every line.  `CONFIGURED` holds in lines that configure, not in those that name, describe or
tabulate (`NAMING`), where a VLAN may be called `secret` and a port `key room`.
"""

from __future__ import annotations

import re

# Cheap test: a line that holds none of these, in small letters, holds no secret.
WORDS = (
    *("passw", "passp", "secret", "key", "psk", "cipher", "communit", "snmp", "usm", "encrypted", "securityname"),
    *("authentication-mode", "cak ", "ckn ", "standby", "vrrp", "glbp", "$", "aaaa", "://"),
    *("-----begin", "certificate", "%^%", "%@%"),
)

_VALUE = r"""(?:"[^"]*+(?:"|$)|'[^']*+(?:'|$)|[^\s;{}]++)"""  # a word, or a text in quotes, closed or not
# Words between the keyword and the secret that say how it is written.
_TYPES = (
    r"(?:(?:[04-9]|8a|10|encrypted|cipher|irreversible-cipher|ciphertext|plaintext|cleartext|clear|clear-text|simple"
    r"|hash|md5|sha-?\d*|scrypt|pbkdf2|pbkdf2-sha\d+|ascii|ascii-text|hex|hexadecimal|hexadecimal-text|localized"
    r"|localized-key|localizedkey|auth|acct|authentication|accounting|authorization|value|key-string|by_password"
    r"|by_key|level\s+\d+)\s+(?=[^\s;]))*+"
)
# A password may hold blanks; these words after it are no part of it.
_STOP = (
    r"(?:privilege|role|level|group|expire\S*|access|access-class|encrypted|localizedkey|vrf|use-vrf|address|hostname"
    r"|view|\#\#)(?![^\s;])"
)
_REST = rf"(?:[ \t]+(?!{_STOP})[^\s;{{}}]++)*+"
_NO_PASSWORD = (  # what follows the word `password` where none is given
    r"(?:encryption|strength\S*|min\S*|policy\S*|complexity|aging|expiry|history|recovery|authentication|prompt|length"
    r"|lockout|required|configuration|control|change)(?!\S)"
)


def _rules(*patterns: str) -> tuple[re.Pattern[str], ...]:
    return tuple(re.compile(pattern, re.IGNORECASE) for pattern in patterns)


ANYWHERE = _rules(
    r"(?P<keep>)\$(?:\d{1,2}[a-z]?|sha\d+|2[abxy]|apr1|[a-z])\$[^\s;\"'<>]++",  # crypt(3) and its like
    r"(?P<keep>)%(?:\^%#|@%@|#%#)\S++",
    r"(?P<keep>)\bAAAA[0-9A-Za-z+/]{16,}+={0,3}",  # a public key
    r"(?P<keep>://[^\s/:@]{1,100}+:)[^\s@]{1,200}+(?=@)",  # a password in an address
    r"(?P<keep>\[\s{0,4}\"(?:psk|private_key)\"\s{0,4},\s{0,4})\"[^\"]*+\"(?=\s{0,4}\])",  # ["psk","X"]
    # password=X, "secret": "X"
    r"(?P<keep>(?<![\w-])[\"']?(?:[a-z0-9_.]{1,30}[-_])?"
    r"(?:[a-z0-9_.]{1,30}[-_])?(?:password|passwd|passphrase|secret|psk|pre-?shared[-_]key|private[-_]key"
    r"|authentication[-_]key|auth[-_]key|priv[-_]key|encryption[-_]key|trap[-_]community|snmp[-_]community)[\"']?"
    r"\s{0,8}[=:]\s{0,8})(?:\"(?:[^\"\\]|\\.)*+(?:\"|\\?$)|'[^']*+(?:'|$)|(?<=[=:\s])[^\s,;{}\[\]\"'\\][^\s,;{}\[\]]*+)",
    r"(?P<keep>\bcommunity(?: name| string)\s{0,40}:\s{0,40})[^\s]++",
    r"(?P<keep>/snmp[ /]community\b.{0,200}?\bname=)(?:\"[^\"]*+\"?|[^\s\"]++)",
    r"(?P<keep>^\s*+)[0-9A-F]{8}(?: +[0-9A-F]{8}){3,}+(?: +[0-9A-F]{2,8})?\s*$",  # a row of a certificate
)

CONFIGURED = _rules(
    # password 7 X, enable secret 5 X, shared-secret encrypted "X"
    rf"(?P<keep>(?<![\w-])(?:\w{{1,30}}-)?(?:\w{{1,30}}-)?(?:password|passwd|passphrase|secret)\s+{_TYPES})"
    rf"(?!{_NO_PASSWORD}|(?:manager|operator)\s*$){_VALUE}{_REST}",
    # keys with a name of their own
    r"(?P<keep>(?<![\w-])(?:wpa2?-)?(?:pre-?shared-key|shared-key|server-key|private-key|auth-key|priv-key"
    r"|encryption-key|encrypted-key|localized-key|authentication-key|message-digest-key|key-string|key-hash"
    r"|set-key|wpa-psk|psk|wep-key)\s+(?:\d+\s+(?:md5|hmac-\S+|sha\S*|type\s+\S+|value|cmac\S*|aes\S*)\s+)?"
    rf"(?:row\s+|ssh-\S+\s+)?{_TYPES})(?!(?:cak|ckn)\s){_VALUE}",
    # the key of a RADIUS or TACACS server, of an ISAKMP peer, of a wireless network
    r"(?P<keep>\b(?:radius|tacacs|hwtacacs|isakmp|aaa-server|server-private|ldap|encryption|pac"
    r"|(?:primary|secondary)\s+(?:authentication|accounting|authorization))\b"
    rf".{{0,200}}?\bkey\s+{_TYPES}){_VALUE}"
    r"(?:[ \t]+(?!(?:auth.port|acct.port|port|timeout|retransmit|vrf|address)\b)[^\s;{}]++)*+",
    # a key on a line of its own, under a server; `key 1` is a number in a chain of keys
    r"(?P<keep>^\s*+key\s+(?!(?:chain|config-key|generate|zeroize)\b|\d{1,3}\s*$)"
    rf"{_TYPES}){_VALUE}\s*$",
    # SNMP communities, trap senders, users
    r"(?P<keep>\bsnmp\S*\s(?:.{0,100}?\s)?communit(?:y|ies)(?:-name|-string)?\s+"
    r"(?:(?:read|write|readonly|readwrite|read-only|read-write|ro|rw|add|cipher|simple|encrypted|\d)\s+(?=\S))*+)"
    rf"(?!(?:complexity-check|trap)\b){_VALUE}",
    rf"(?P<keep>\bsnmpv3\s.{{0,100}}?\bcommunity\b.{{0,200}}?\bname\s+){_VALUE}",
    r"(?P<keep>^\s*+community\s+)(?:\"[^\"]*+\"|[^\s\"{}]++)(?=\s*\{)",
    rf"(?P<keep>\bsecurityname\s+(?:cipher\s+)?){_VALUE}",
    r"(?P<keep>\b(?:snmp|usm).{0,200}?\bauth(?:entication)?(?:-mode|-protocol)?\s+(?:md5|sha\S*)\s+"
    rf"{_TYPES}){_VALUE}",
    r"(?P<keep>\b(?:snmp|usm).{0,300}?\s(?:priv|privacy|privacy-mode|privacy-protocol)\s+"
    rf"(?:(?:3?des\S*|aes(?:[- ]?\d+)?\S*)\s+(?=\S))?{_TYPES}){_VALUE}",
    # first-hop redundancy
    r"(?P<keep>\b(?:standby|vrrp|glbp)\b.{0,100}?\bauthentication(?:-mode)?\s+"
    rf"(?:(?:md5|text|ietf-md5|simple|plain-text)\s+(?=\S))*+{_TYPES}){_VALUE}",
    r"(?P<keep>\b(?:cipher|irreversible-cipher|ciphertext|plaintext|cleartext)\s+)"
    rf"(?!(?:aes|3?des|blowfish|chacha|arcfour|suite|list|tls)){_VALUE}",
    rf"(?P<keep>\bauthentication-mode\s+(?:md5|simple|hmac-\S+)\s+(?:\d+\s+)?(?:(?:plain|cipher)\s+)?){_VALUE}",
    rf"(?P<keep>\b(?:cak|ckn)\s+){_VALUE}",
    rf"(?P<keep>\baccount\s+encrypted\s+\S+\s+\S+\s+){_VALUE}",
    r"(?P<keep>\bencrypted\s+)(?!(?:radius|snmp|tacacs|sntp|credentials|ldap|username|user|enable|admin|password"
    rf"|line|key|cipher|by_password)\b){_VALUE}",
)

TRAP_TARGET = re.compile(r"^\s*+(?:no\s+)?snmp-server\s+host\s+\S+", re.IGNORECASE)
TRAP_WORDS = frozenset(
    (
        "trap",
        "traps",
        "inform",
        "informs",
        "version",
        "1",
        "2c",
        "3",
        "v1",
        "v2c",
        "v3",
        "noauth",
        "auth",
        "priv",
        "community",
        "trap-level",
        "trap-version",
        "type",
    )
)
TRAP_WORDS_WITH_VALUE = frozenset(
    ("vrf", "use-vrf", "udp-port", "port", "source-interface", "timeout", "retry", "retries", "filter")
)

# A line that names, describes or tabulates, or is JSON: a VLAN called `secret` is no secret.
NAMING = re.compile(
    r"""\s*+(?:
        set\s+interfaces?\s.{0,200}?\bmembers\b
      | (?:(?:no|set|create|config|configure)\s+)?(?:\S*vlans?|(?<!set\ )interfaces?|bridge-domains?|description|name
          |remark|alias|hostname|sysname|host-name|lldp|banner)\b(?!-)
      | \S.{0,200}?\b(?:description|description-string|display-string)\b
      | (?:system|port|vlan|interface|neighbou?r|device)[ -](?:name|description|id)\b
      | (?!snmp|wpa|ssh|ssl|ipsec|l2tp|psk|key|user|pass)
        [*+]?[A-Za-z-]{0,30}\d[\w.:/*-]*(?:,|\s|$)      # a row that begins with a number or a port
      | [\[{]
      | (?:(?:add|set|/\S+)\s.{0,300}?)?\b[\w-]{2,40}=  # key=value
    )""",
    re.VERBOSE | re.IGNORECASE,
)
