"""A closet as a picture: what is drawn, where it lies, and what a VLAN or a service inks; no format is known here."""
