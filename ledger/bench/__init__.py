"""The measuring bench: a local page in the browser on which photographs are marked and measured."""
