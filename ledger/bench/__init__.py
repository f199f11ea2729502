"""The measuring bench: a local page in the browser on which photographs and recordings are marked and measured."""
