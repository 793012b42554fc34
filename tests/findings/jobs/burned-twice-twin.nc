; The second tile leaves the common edge out.
G21 G90
M4 S0
G0 X5 Y5
G1 X25 S300 F1200
Y25
X5
Y5
G0 X25 Y5
G1 X45
Y25
X25
M5
M2
