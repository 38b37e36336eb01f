"""A photo as a file: formats, profiles, metadata, pixels."""
