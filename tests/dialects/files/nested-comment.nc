; told: 6 a “(” inside the comment “(top (left)”; 6 “)” outside a comment
(leaf of a herb marker)
G21 G90 G17
M4 S0
G0 X10 Y10
G1 (top (left)) X30 F1200 S400
Y20 (right)
M5
M2
