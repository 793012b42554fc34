; The same line, slow enough to mark.
G21 G90
M4 S0
G0 X5 Y10
G1 X10 F600
X40 S60
X45 S0
M5
M2
