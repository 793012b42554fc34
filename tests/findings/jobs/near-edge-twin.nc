; Keeps clear of the slanting side.
G21 G90
M4 S0
G0 X25 Y10
G1 X45 S300 F1200
Y30
X25
Y10
M5
M2
