; Drawn as 40 x 20 mm, but its dots of 96 to the inch were read as 72: 53.33 x 26.67 mm.
G21 G90
M4 S0
G0 X5 Y5
G1 X58.333 S300 F1200
Y31.667
X5
Y5
M5
M2
