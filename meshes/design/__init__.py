"""Design files: TOML in, a checked design out. The only place that knows TOML and units."""

from .model import Design, PaperSettings, SpreadSettings
from .read import Draft, draft, read

__all__ = ["Design", "Draft", "PaperSettings", "SpreadSettings", "draft", "read"]
