; Two strokes that begin and end at rest, constant power.
G21 G90
M3 S0
G0 X5 Y10
G1 X35 S300 F1200
M5
M3 S0
G0 X5 Y15
G1 X35 S300
M5
M2
