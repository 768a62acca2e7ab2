"""`python -m guide` is the command `guide`."""
import sys

from guide.cli import main

sys.exit(main())
