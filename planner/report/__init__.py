"""Values become pages; no arithmetic on hours."""
