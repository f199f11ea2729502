"""Records to pages: a casebook goes in, Markdown by path comes out; what builds the site from it is no concern here."""
