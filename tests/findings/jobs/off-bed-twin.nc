; Its left edge lies at x = 2.5.
G21 G90
M4 S0
G0 X2.5 Y10
G1 X32.5 S300 F1200
Y30
X2.5
Y10
M5
M2
