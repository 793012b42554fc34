; One pass with something to spare.
G21 G90
M4 S0
G0 X10 Y10
G1 X40 S1000 F400
Y30
X10
Y10
M5
M2
