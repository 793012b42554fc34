; Two slow passes where one at several times the speed would do (in 3 mm poplar plywood, 20 W).
G21 G90
M4 S0
G0 X10 Y10
G1 X40 S1000 F200
Y30
X10
Y10
X40
Y30
X10
Y10
X40
Y30
X10
Y10
M5
M2
