%
(finger button inlay, disc of 12 mm, one of eight)
(MSG, clamp the offcut, joint side up)
G21 G17 G90 G94 G40 G49 G80 G54 G64
T1 M6 (end mill 3 mm)
G43 H1
S16000 M3
M8
G4 P2
#1=6 (radius of the disc)
#2=-1.2 #3=0.6 (depth, step)
N100 G0 X[0-#1-1] Y-10
G0 Z3
N110 G1 Z[#2+#3] F120
G41 D1 G1 X[0-#1] Y-4 F400
G1 Y0 (along the tangent)
G2 X[0-#1] Y0 I#1
G1 Y4
G40 G1 X[0-#1-6]
N120 G0 Z3
/G0 X0 Y0
G0 X0 Y0
G3 X2 Y0 I1 J0 Z1 F200
G3 X0 Y0 I-1 Z-1
M9
M5
G0 Z30
M30
%
all behind the end is a note
