"""Run psucheck as a module: ``python -m psucheck``."""

import sys

from psucheck.cli.main import main

if __name__ == "__main__":
    sys.exit(main())
