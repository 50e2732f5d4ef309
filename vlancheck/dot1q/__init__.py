"""Tags, ports, bridges and the forwarding rules of IEEE Std 802.1Q; no file, no vendor, no printing."""
