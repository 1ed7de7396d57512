"""``python -m preview`` runs the command line."""

import sys

from preview.cli import main

if __name__ == "__main__":
    sys.exit(main())
