"""Laws of currents as expressions that the simulator evaluates."""

from __future__ import annotations

from psucheck.circuit import network as net


def law_expression(law: net.Law) -> str:
    """The current of a law [A]."""
    expression = repr(float(law.amps))
    for factor in law.factors:
        total = "+".join(f"{weight!r}*V({node})" for weight, node in factor.terms) + f"+{factor.offset!r}"
        base = f"(max({total},0)/{factor.scale!r})".replace("+-", "-")
        expression += f"*{base}" if factor.exponent == 1 else f"*pow({base},{factor.exponent!r})"
    if law.window is not None:
        inside = _window_expression(law.window)
        expression += f"*({inside})" if law.window.inside else f"*(1-({inside}))"
    return expression


def _window_expression(window: net.Window) -> str:
    """One inside the window, zero outside, straight ramps between."""

    def risen(at: float) -> str:
        return f"min(max((time-{at!r})/{window.ramp!r},0),1)"

    return f"{risen(window.start)}-{risen(window.end)}"


def choke_expression(choke: net.Choke, flux: str) -> str:
    """The current of a choke [A] whose flux linkage is the voltage of node ``flux``."""
    linear = f"V({flux})/{choke.henries!r}"
    if choke.knee_amps is None:
        return linear
    knee_flux = choke.henries * choke.knee_amps
    # Odd piecewise-linear law: the excess over the knee flux meets a fraction of the inductance.
    excess = (choke.beyond - 1) / choke.henries
    return f"{linear}+{excess!r}*(max(V({flux})-{knee_flux!r},0)-max(-V({flux})-{knee_flux!r},0))"
