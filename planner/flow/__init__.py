"""One function per verb: load, pure steps, save, return."""
