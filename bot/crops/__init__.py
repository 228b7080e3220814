"""The shared crop rules: one TOML file a crop beside this module, `sources.toml`, the loader, and finding by name."""
