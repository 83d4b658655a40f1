// Package vehicle is a virtual 12 V vehicle: an electrical model with hidden
// faults that is probed like a real one.
//
// A vehicle is a set of parameters and a list of faults that change them. In a
// state (key, doors, loads, engine, charger) it is a network of nodes, and every
// probe point is one of them. A reading is always the difference of two nodes or
// the current of a branch, seen through a meter; no reading is tabulated for a
// fault. What can be seen and heard comes from the same parameters and state.
// Acts (loads, a charge, a crank, a repair, a wait) change the state and let time
// pass.
//
// There are two ways to solve it, on one set of parameters: the steady one
// (solve.go, crank.go), fast enough for trials on many thousands of vehicles, and
// the transient one (transient.go) for what only shows in the course of a crank:
// the first dip, chatter, ripple, and what a meter's hold makes of them.
//
// It knows nothing of trees or of walks and imports no other package of this
// program; the words that trees use for points, states, acts and things to look
// at stand in one table, words.go. It may be imported by the commands and by what
// answers a walk from it.
//
// What always holds: the same parameters, faults and seed give the same
// readings; currents sum to zero at every node; a healthy vehicle is one whose
// fault list is empty.
//
// Units are SI (V, A, Ω, Nm, rad/s, s) except where a name says otherwise: °C,
// Ah, h, rpm. Voltages are those of the whole battery of six cells.
//
// Where the numbers come from stands beside each: a standard or public handbook;
// "common practice, no source"; "from memory"; "modelling choice" (chosen so that
// the model meets a known figure or behaves as workshops know it); "guess". The
// equations are a model. That a solver agrees with another solver shows that they
// are solved rightly, not that cars behave so.
package vehicle
