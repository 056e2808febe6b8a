"""From the command line to the verb: refuse what is wrong, set up what is missing, hand over.

Standard library only, and imports little: it runs before anything is installed, and before every command.
"""

import os
import sys

from macros import stamp

ROOT = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))

INSIDE = "HANDBOOK_INSIDE"
"""Environment variable set for the one process that the launcher hands over to; taken out as it is read."""

AT_ONCE = ("check", "doctor", "labels", "counts", "new", "renew", "diff", "edition", "schema")
"""Verbs that need the environment alone: where it is whole, it is gone on in before anything else is looked at."""


def main(arguments: list[str]) -> int:
    """Carry out ``handbook.py ARGUMENTS`` and return the exit status."""
    whole = INSIDE not in os.environ and arguments and arguments[0] in AT_ONCE and stamp.whole(ROOT)
    if whole:
        try:
            return _go_on(whole, arguments)
        except OSError:
            pass  # it cannot be started: looked into below

    from macros.console import one_line

    for stream in (sys.stdout, sys.stderr):
        # Content holds more characters than some terminals have: show a substitute rather than fail.
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    with one_line():
        inside = os.environ.pop(INSIDE, None) is not None
        if arguments[:1] == ["calc"]:
            from macros import calc

            if inside or not calc.needs_environment(arguments[1:]):
                return calc.main(arguments[1:])
            return _hand_over(arguments)
        from macros import cli

        chosen = cli.parse(arguments)
        chosen.alone = inside
        return (
            cli.run(chosen)
            if inside
            else _hand_over(arguments, tests=chosen.verb in cli.TESTING, npm=chosen.verb in cli.BUILDING)
        )
    return 1


def _hand_over(arguments: list[str], tests: bool = False, npm: bool = False) -> int:
    """Go on in the environment, made first where it is missing."""
    from macros import setup_env

    python = setup_env.ensure(tests=tests)
    if npm:
        from macros import setup_npm

        setup_npm.ensure(setup_env.site_packages(python.parent.parent))
    return _go_on(str(python.parent.parent), arguments)


def _go_on(folder: str, arguments: list[str]) -> int:
    """Go on in the environment in `folder`."""
    env = dict(os.environ)
    env[INSIDE] = folder
    env.pop("PYTHONHOME", None)
    command = [stamp.interpreter(folder), os.path.join(ROOT, "handbook.py"), *arguments]
    sys.stdout.flush()
    sys.stderr.flush()
    if os.name != "nt":
        os.execve(command[0], command, env)
    import subprocess

    child = subprocess.Popen(command, env=env)
    while True:
        try:
            return child.wait()
        except KeyboardInterrupt:
            # The child has been told too, and ends in its own way.
            continue
