; A title that is no comment, and X twice on one line.
Herb marker, basil
G21 G90
M4 S0
G0 X5 Y10
G1 X7 F1200
X34 X35 S300
X37 S0
M5
M2
