"""What people type: parse, call flow, show, exit."""
