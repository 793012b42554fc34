; The same stroke in one piece.
G21 G90
M3 S0
G0 X5 Y10
G1 X8 F3000
X28 S400
X35 S0
M5
M2
