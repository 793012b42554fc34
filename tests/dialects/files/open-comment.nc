; told: 6 the comment “(to the right G1 X50”, which does not end
(leaf of a herb marker)
G21 G90 G17
M4 S0
G0 X10 Y10
G1 X30 F1200 S400 (to the right G1 X50
Y20 (up
M5
M2
