"""Facts of a description that contradict each other, and slips that no reader can tell from a fact.

A contradiction does not stop a check: one of the two facts is a slip of the pen or a bad reading, and the
technician can tell which. Nothing here judges a part; ratings against worst cases are the rules' affair.
"""

from __future__ import annotations

from psucheck.parts import in_force
from psucheck.supply.consistency_of_parts import of_parts
from psucheck.supply.consistency_of_readings import of_readings
from psucheck.supply.model import Description, Supply
from psucheck.supply.remark import Remark
from psucheck.supply.slips import slips


def contradictions(description: Description) -> list[Remark]:
    """Facts of a description that contradict each other, in the order of the tables.

    Of the supply as proposed only what its own parts say is looked at, since the readings in it belong to the
    supply as found.
    """
    with in_force(description.found.library):
        remarks = [*_parts(description.found), *of_readings(description.found)]
        if description.proposed is not None:
            remarks += _parts(description.proposed)
    return list(dict.fromkeys(remarks))


def _parts(supply: Supply) -> list[Remark]:
    return [*of_parts(supply), *slips(supply)]
