"""Running circuits on ngspice: isolated, timed, checked."""
