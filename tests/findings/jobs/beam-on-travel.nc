; Two strokes with a rapid between them while S stays up (for a machine that fires on rapids).
G21 G90
M4 S0
G0 X5 Y10
G1 X35 S700 F1200
G0 X5 Y20
G1 X35
M5
M2
