; A line at full speed and hardly any power.
G21 G90
M4 S0
G0 X5 Y10
G1 X10 F6000
X40 S60
X45 S0
M5
M2
