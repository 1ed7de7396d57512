"""Everything a person looks at: pictures, films, pages, the viewer and the command line."""
