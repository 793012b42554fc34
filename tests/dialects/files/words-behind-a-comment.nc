; told: 6 a “(” inside the comment “(from (A)”; 6 “to B)” outside a comment
(leaf of a herb marker)
G21 G90 G17
M4 S0
G0 X10 Y10
G1 X30 F1200 S400 (from (A) to B)
Y20
M5
M2
