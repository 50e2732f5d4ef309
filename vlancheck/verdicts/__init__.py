"""What was ordered and the carriage of a network in, what became of it out: a verdict for every service and VLAN."""
