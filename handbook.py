#!/usr/bin/env python3
"""The one entry to the handbook: python3 handbook.py VERB (serve, build, check, test, calc).

Needs nothing but Python 3.11 or newer. The first start makes an environment of its own in .venv;
later starts go straight to work. This file stays readable to old Pythons, so that they can say
what they lack instead of failing on syntax; everything else is in macros/launch.py.
"""
import sys

if sys.version_info < (3, 11):
    sys.stderr.write(
        "handbook.py: this is Python %d.%d, and the handbook needs Python 3.11 or newer (3.13 fits best): "
        "install one and start handbook.py with it.\n" % sys.version_info[:2]
    )
    sys.exit(1)

from macros.launch import main  # noqa: E402  (only once the version is known to be new enough)

if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
