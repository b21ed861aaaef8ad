"""Words that sheets and readings share."""

CHASSIS = "chassis"
