// Package drill lets an apprentice look for a hidden fault on a virtual vehicle,
// with nobody saying what to do next, and talks it over with them afterwards.
//
// A drill is a list of typed lines on a vehicle that a level, a family and a seed
// settle, so that a file of the lines is the whole drill and a class can have the
// same vehicle. What would hurt somebody is stopped, explained and counted.
//
// What a test told is reckoned by doing the same on vehicles with every other
// fault: a test that leaves as many faults possible as before told nothing new. It
// is a reckoning on the model, by samples of how bad each fault is.
//
// It prints nothing and keeps no files; only the command may import it. What always
// holds: the same level, family, seed and lines give the same answers.
package drill
