"""Pages of the handbook: from the checked content to HTML, without MkDocs."""
