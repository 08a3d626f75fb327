"""The usual cautions of work that can hurt, in words (common practice, no source)."""

LIVE = (
    "Live work: only where you are licensed for it, with rated gloves and a tester proved before and after."
)
DEAD = "Lock out, empty the capacitors, prove the circuit dead before you measure ohms."
# Of a pressure that is made to reach a safety's set point.
PROOF = (
    "Only whoever is licensed for it, with a gauge in sight and within what the unit's label allows; "
    "stop it by hand if it goes on past the set point."
)
