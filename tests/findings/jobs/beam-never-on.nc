; M4 is there, but S is not.
G21 G90
M4 S0
G0 X5 Y10
G1 X35 F1200
M5
