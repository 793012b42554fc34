; Reaches to x = 65 on a board of 60 mm.
G21 G90
M4 S0
G0 X35 Y10
G1 X65 S300 F1200
Y30
X35
Y10
M5
M2
