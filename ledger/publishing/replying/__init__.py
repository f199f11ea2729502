"""Where readers say what they think: the form on a page, the ways a reply goes, and replies accepted before."""
