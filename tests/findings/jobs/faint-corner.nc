; A square whose beam goes dark in the corners, on a diode that lights from 10 % of full duty.
G21 G90
M4 S0
G0 X10 Y10
G1 X40 S250 F3000
Y40
X10
Y10
M5
M2
