"""Every threshold of the engine, with where it comes from. Fractions of rated unless a unit is named."""

# A coil or heater works from 85 % to 110 % of rated volts.
# Source: IEC 60947-4-1 8.2.1.2 (pull-in limits of contactors), from memory; motors ±10 % NEMA MG 1 12.44,
# from memory.
ON_LOW = 0.85
ON_HIGH = 1.10
# Below a tenth of rated volts nothing works and nothing hums. Project rule.
OFF_BELOW = 0.10

# Starting torque over the designed one from which a motor starts. Project rule.
STARTS_COMPRESSOR = 0.7
STARTS_FAN = 0.5
# A winding current above this many times the designed standstill current is an overload. Project rule.
OVER_CURRENT = 1.5
# A winding that carries this much of its designed current makes a motor hum. Project rule.
HUMS_AT = 0.10

# Three-phase: the smaller sequence voltage that still lets the motor start cleanly. Project rule; NEMA MG 1
# 14.36 (from memory) derates above 1 % and forbids running above 5 % voltage unbalance.
UNBALANCE_STALLS = 0.05
UNBALANCE_NOTE = 0.02

# Power factors assumed where the file gives no resistance and reactance. Project rules.
COIL_PF = 0.3

# A part counts as live where its potential to earth is fixed and above this. Volts. Project rule.
LIVE_VOLTS = 10.0
# A load is fed through another where opening the other takes this much of its rated volts. Project rule.
FED_THROUGH = 0.10
# A switch moves a load by its volts where they change by this much of the rated ones. Project rule.
MOVES = 0.10
# A coil's drop-out lies at most at this share of its pick-up. Project rule.
DROP_BELOW_PICK = 0.95

# Slack of comparisons, far below any figure that a panel states and far above rounding.
SLACK = 1e-6

# Ideal transformers: rated volts serve as turns, so turns × amperes are volt-amperes. This many VA at rated
# volts keep an undriven core at rest; this relative series resistance shares the load of parallel
# secondaries.
MAGNETISING_VA = 1e-7
SERIES_SHARE = 1e-9
# Volt-amperes through an ideal winding that only a short can draw.
SHORT_VA = 1e6

# The most states of one settling, and of one exploration, before the tool says what to hold.
SETTLE_LIMIT = 4096
STATE_LIMIT = 1 << 17
