// Package script reads action scripts: attempts written down as plain text, to
// be played without a hand on the mouse.
//
// One action stands on a line; # begins a comment. A line may begin with a
// time: "+0.4s" after the action before, "12.5s" since the attempt began;
// "ms" works too. Without a time an action follows half a second after the one
// before. Lengths are millimetres, thicknesses micrometres, angles degrees,
// forces newtons, speeds millimetres a second.
//
//	read-job
//	+1s wipe-tip
//	read-certificate foil-75
//	clear-memory
//	place twin-3
//	begin-zero
//	touch 60 50                       # a careful reading at x 60, y 50
//	touch 60 50 lift 8 hold 250ms     # lifted 8 mm before it, held 250 ms
//	store-zero
//	lay-foil foil-75
//	begin-foil
//	set-foil-value 77.2
//	+0.3s probe 60 50 up 40           # the probe itself: place and height
//	+0.1s probe 60 50 up 0 press 2 tilt 1.5 0
//	judge-verify good
//	delete-last probe slipped
//	report 78.4 accept                # or: report 103.4 less 25 accept
//	finish
//
// The words are the verbs of sim/bench, and "touch", which stands for a whole
// reading: hover, lower, land, hold, lift. After its place it takes, in any
// order, lift (28 to 50 is usual; 40), hold (800ms), press (2), tilt (0; about
// the x axis, or two values for x and y), land (20) and slide (0).
package script
