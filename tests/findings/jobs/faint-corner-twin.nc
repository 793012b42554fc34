; The same square with more than three times the power.
G21 G90
M4 S0
G0 X10 Y10
G1 X40 S800 F3000
Y40
X10
Y10
M5
M2
