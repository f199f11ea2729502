"""Pictures drawn as SVG while pages are made, in the page's colours: numbers and names go in, nothing is looked up."""
