"""The command `fillmark`: finds the subcommand's module, runs it, and turns errors into exit codes."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from importlib import import_module
from importlib.util import find_spec

from planner.cli.output import complain
from planner.errors import FillmarkError, NoPlan

# Each is a module planner.cli.<name>_command with HELP, arguments(parser) and run(args) -> exit code.
COMMANDS = ("plan", "use", "flow", "slosh", "tanks", "blend", "pack", "pit", "serve")

DONE, BAD_INPUT, NO_PLAN = 0, 2, 3


def parser_for(names: Sequence[str]) -> argparse.ArgumentParser:
    """The command line's parser, holding the subcommands of `names`; only their modules are imported."""
    parser = argparse.ArgumentParser(
        prog="fillmark", description="Plans water/methanol injection fluid for a day of driving."
    )
    commands = parser.add_subparsers(dest="command", metavar="COMMAND", required=True)
    for name in names:
        module = import_module(f"planner.cli.{name}_command")
        command = commands.add_parser(name, help=module.HELP, description=module.HELP)
        module.arguments(command)
        command.set_defaults(run=module.run)
    return parser


def _wanted(argv: Sequence[str]) -> list[str]:
    """The one subcommand that argv names, or all of them, so that a plan does not load the dashboard."""
    present = [name for name in COMMANDS if find_spec(f"planner.cli.{name}_command")]
    return [argv[0]] if argv and argv[0] in present else present


def main(argv: Sequence[str] | None = None) -> int:
    """Run the command line; 0 done, 2 bad input, 3 no plan exists."""
    argv = sys.argv[1:] if argv is None else list(argv)
    args = parser_for(_wanted(argv)).parse_args(argv)
    try:
        return int(args.run(args))
    except NoPlan as reason:
        complain(str(reason))
        return NO_PLAN
    except FillmarkError as reason:
        complain(str(reason))
        return BAD_INPUT
    except BrokenPipeError:
        sys.stderr.close()
        return DONE
    except KeyboardInterrupt:
        complain("stopped")
        return 130


if __name__ == "__main__":
    sys.exit(main())
