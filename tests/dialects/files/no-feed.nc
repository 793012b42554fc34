; --feed 1200, told: 6 a feed move (G1) with no feed
(leaf of a herb marker)
G21 G90 G17
M4 S0
G0 X10 Y10
G1 X30 S400
Y20
F0
X10
F600
Y10
M5
M2
