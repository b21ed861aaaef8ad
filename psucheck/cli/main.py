"""The command line: which commands there are, and how each way of failing ends."""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence

from cyclopts import App

from psucheck import __version__
from psucheck.cli.bringup import bringup
from psucheck.cli.check import check
from psucheck.cli.compare import compare
from psucheck.cli.faultfind import faultfind
from psucheck.cli.netlist import netlist
from psucheck.cli.parts import parts
from psucheck.cli.readings import readings
from psucheck.cli.status import STOPPED, UNUSABLE
from psucheck.cli.tolerance import tolerance
from psucheck.cli.trial import trial
from psucheck.cli.why import why

app = App(
    name="psucheck",
    help="Check the power supply of a valve amplifier, from a short description of it.",
    version=__version__,
    result_action="return_value",
    suppress_keyboard_interrupt=False,
)
app.command(check)
app.command(compare)
app.command(trial, name="try")
app.command(tolerance)
app.command(netlist)
app.command(why)
app.command(parts)
app.command(bringup)
app.command(readings)
app.command(faultfind)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a command; returns the exit status.

    0: nothing over. 1: something over. 2: command line or description unusable. 3: the simulation failed.
    """
    command: Callable[..., object] = app
    try:
        status = command(list(sys.argv[1:] if arguments is None else arguments), exit_on_error=False)
    except KeyboardInterrupt:
        print("psucheck: stopped", file=sys.stderr)
        return STOPPED
    except BrokenPipeError:
        # The reader of our output has gone; what it wanted, it has.
        sys.stderr.close()
        return 0
    except OSError as error:
        print(f"psucheck: cannot write: {error.strerror}", file=sys.stderr)
        return UNUSABLE
    except Exception as error:
        if type(error).__module__.startswith("cyclopts"):
            return UNUSABLE
        raise
    return status if isinstance(status, int) else 0
