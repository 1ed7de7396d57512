"""Design files: TOML in, a checked design out. The only place that knows TOML and units."""

from .model import Design, PaperSettings, SpreadSettings
from .read import Draft, Standing, draft, read

__all__ = ["Design", "Draft", "PaperSettings", "SpreadSettings", "Standing", "draft", "read"]
