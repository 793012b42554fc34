; The greatest S is 255 on a scale of 1000.
G21 G90
M4 S0
G0 X5 Y10
G1 X7 F1200
X35 S255
X37 S0
M5
M2
