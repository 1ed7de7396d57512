"""The browser page: one self-contained file, and a small server for it on this machine."""
