"""From decisions down to what they stand on, from sources up to what stands on them, and decisions gone stale."""
