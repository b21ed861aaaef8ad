"""Five invented supplies on which faults are looked for; none is a real amplifier's."""

from __future__ import annotations

FIXED_BIAS_HEAD = """\
title = "Two-EL34 head, silicon, fixed bias"
valves = "2 x EL34, 3 x ECC83"
[mains]
voltage = "240 V"
frequency = "50 Hz"
wall = "243 V"
[transformer]
primary = "240 V, 6.2 ohm"
[windings]
ht = "355-0-355 V off load at 243 V, 33 + 35 ohm, 320 mA"
heaters = "6.9 V off load at 243 V, 5 A"
[rectifiers.ht]
circuit = "centre-tapped"
winding = "ht"
device = "2 x 1N4007 in series"
[filter]
reservoir = "50 uF 550 V"
screens = "choke 10 H 110 ohm 180 mA, 50 uF 550 V"
splitter = "10k 1 W, 32 uF 500 V"
preamp = "12k 1 W, 22 uF 500 V"
[loads.output]
valves = "2 x EL34"
anodes = "reservoir"
screens = "screens"
bias = "bias"
idle = "40 mA each at the cathode"
output_transformer = "38 + 41 ohm"
screen_resistors = "1k 5 W"
[loads.splitter]
node = "splitter"
current = "2.5 mA"
[loads.preamp]
node = "preamp"
current = "3.5 mA"
[rectifiers.bias]
circuit = "half-wave"
polarity = "negative"
winding = "ht"
feed = "47k 3 W"
device = "1N4007"
[filter.bias]
from = "rectifiers.bias"
capacitor = "10 uF 160 V"
range = ["-30 V", "-46 V"]
set = "-38 V"
[fuses]
mains = "T2AH250V"
"centre tap ht" = "T500mAL250V"
[switches]
standby = "before screens"
"""

CATHODE_BIAS_COMBO = """\
title = "Two-EL84 combo with an EZ81"
valves = "2 x EL84, 2 x ECC83"
[mains]
voltage = "230 V"
frequency = "50 Hz"
wall = "236 V"
[transformer]
primary = "230 V, 18 ohm"
[windings]
ht = "280-0-280 V off load at 236 V, 130 + 136 ohm, 120 mA"
heaters = "6.8 V off load at 236 V, 3.2 A"
[rectifiers.ht]
circuit = "centre-tapped"
winding = "ht"
device = "EZ81"
heater = "heaters"
[filter]
reservoir = "32 uF 450 V"
screens = "1k5 5 W, 32 uF 450 V"
preamp = "22k 1 W, 16 uF 450 V"
[loads.output]
valves = "2 x EL84"
anodes = "reservoir"
screens = "screens"
bias = "cathode"
cathode_resistor = "130 ohm 5 W"
idle = "38 mA each at the cathode"
output_transformer = "140 + 150 ohm"
[loads.preamp]
node = "preamp"
current = "3 mA"
[fuses]
mains = "T1AH250V"
"""

SINGLE_ENDED = """\
title = "One 6V6 and a 5Y3"
valves = "1 x 6V6GT, 1 x ECC83"
[mains]
voltage = "120 V"
frequency = "60 Hz"
wall = "122 V"
[transformer]
primary = "120 V, 4.5 ohm"
[windings]
ht = "325-0-325 V off load at 122 V, 180 + 190 ohm, 70 mA"
heaters = "6.8 V off load at 122 V, 2 A"
"rectifier heater" = "5 V 2 A"
[rectifiers.ht]
circuit = "centre-tapped"
winding = "ht"
device = "5Y3GT"
heater = "rectifier heater"
[filter]
reservoir = "16 uF 475 V"
screens = "1k 5 W, 16 uF 475 V"
preamp = "22k 1 W, 16 uF 475 V"
[loads.output]
valves = "1 x 6V6GT"
anodes = "reservoir"
screens = "screens"
bias = "cathode"
cathode_resistor = "470 ohm 5 W"
idle = "42 mA each at the cathode"
output_transformer = "240 ohm"
[loads.preamp]
node = "preamp"
current = "2 mA"
[fuses]
mains = "T1AL250V"
"""

BRIDGE = """\
title = "Two-KT88 head, bridge, capacitors in series"
valves = "2 x KT88, 3 x ECC83"
[mains]
voltage = "230 V"
frequency = "50 Hz"
wall = "232 V"
[transformer]
primary = "230 V, 4.2 ohm"
core = "toroidal"
[windings]
ht = "380 V off load at 232 V, 22 ohm, 400 mA"
heaters = "6.8 V off load at 232 V, 5 A"
bias = "48 V off load at 232 V, 40 ohm, 30 mA"
[rectifiers.ht]
circuit = "bridge"
winding = "ht"
device = "1N4007"
[filter]
reservoir = "2 x 220 uF 350 V in series with 220k 1 W each"
screens = "choke 5 H 70 ohm 250 mA, 2 x 100 uF 350 V in series with 220k 1 W each"
splitter = "15k 2 W, 47 uF 500 V"
preamp = "22k 1 W, 22 uF 500 V"
[loads.output]
valves = "2 x KT88"
anodes = "reservoir"
screens = "screens"
bias = "bias"
idle = "45 mA each at the cathode"
output_transformer = "45 + 48 ohm"
screen_resistors = "470 ohm 5 W"
[loads.splitter]
node = "splitter"
current = "3 mA"
[loads.preamp]
node = "preamp"
current = "3 mA"
[rectifiers.bias]
circuit = "half-wave"
polarity = "negative"
winding = "bias"
device = "1N4007"
[filter.bias]
from = "rectifiers.bias"
resistor = "4k7 1 W"
capacitor = "47 uF 100 V"
bleeder = "56k 0.5 W"
range = ["-40 V", "-60 V"]
set = "-52 V"
[fuses]
mains = "T2AH250V"
"winding ht" = "T800mAL250V"
[switches]
standby = "before reservoir"
"""

DOUBLER = """\
title = "Two-6L6 head, voltage doubler, 120 V"
valves = "2 x 6L6GC, 3 x 12AX7"
[mains]
voltage = "120 V"
frequency = "60 Hz"
wall = "121 V"
[transformer]
primary = "120 V, 2.1 ohm"
[windings]
ht = "168 V off load at 121 V, 9 ohm, 500 mA"
heaters = "6.7 V off load at 121 V, 4 A"
bias = "44 V off load at 121 V, 50 ohm, 30 mA"
[rectifiers.ht]
circuit = "full-wave doubler"
winding = "ht"
device = "1N4007"
capacitors = ["220 uF 350 V", "220 uF 350 V"]
[filter]
reservoir = "47 ohm 10 W, 47 uF 500 V"
screens = "1k 5 W, 47 uF 500 V"
splitter = "10k 1 W, 22 uF 500 V"
preamp = "15k 1 W, 22 uF 500 V"
[loads.output]
valves = "2 x 6L6GC"
anodes = "reservoir"
screens = "screens"
bias = "bias"
idle = "36 mA each at the cathode"
output_transformer = "55 + 58 ohm"
screen_resistors = "470 ohm 5 W"
[loads.splitter]
node = "splitter"
current = "2.5 mA"
[loads.preamp]
node = "preamp"
current = "3 mA"
[rectifiers.bias]
circuit = "half-wave"
polarity = "negative"
winding = "bias"
device = "1N4007"
[filter.bias]
from = "rectifiers.bias"
resistor = "3k3 0.5 W"
capacitor = "47 uF 100 V"
bleeder = "47k 0.5 W"
range = ["-34 V", "-54 V"]
set = "-46 V"
[fuses]
mains = "T3.15AL250V"
"winding ht" = "T800mAL250V"
"""

AMPLIFIERS = {
    "fixed-bias head": FIXED_BIAS_HEAD,
    "cathode-bias combo": CATHODE_BIAS_COMBO,
    "single-ended": SINGLE_ENDED,
    "bridge": BRIDGE,
    "doubler": DOUBLER,
}
