"""Drum and disc: tracks, the motion they give, and the parts they are cut into."""
