; The same stroke in millimetres a minute.
G21 G90
M3 S0
G0 X3 Y10
G1 X5 F500
X15 S1000
Y15
X15.1 S0
M5
M2
