; The same strokes with a dark run-up and run-out.
G21 G90
M3 S0
G0 X3 Y10
G1 X5 F1200
X35 S300
X37 S0
M5
M3 S0
G0 X3 Y15
G1 X5
X35 S300
X37 S0
M5
M2
