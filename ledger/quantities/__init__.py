"""From "62 ± 3 mm" to draws and back: quantities with units and doubt, chances and their words, summaries."""
