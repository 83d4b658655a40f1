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
//
// What its parts rest on, none of them identified from one real vehicle:
//
//   - cold-cranking ratings: EN 50342-1, SAE J537, DIN 43539-2, as restated in public; met by construction
//   - load test over health: fitted so that TM 5-4210-230-14&P-1, Table 5, fails a battery of health 0.57
//   - rest voltage over charge: common practice, no source; within 0.1 V of TM 5-3805-262-20, p. 5-142
//   - freezing of the acid: TM 10-6140-200-14, para 1-9; under a quarter charged, from memory
//   - discharge curve, polarisation, acceptance and taper of a charge: modelling choice
//   - self-discharge: TM 9-6140-200-14, para 4-8
//   - cables: IEC 60228, class 5; usual lengths
//   - joints, contacts, coils and windings: from memory; the windings meet TM 5-2420-230-24-2, p. 13-33
//   - starter motor: fitted to published bench tests: common practice, no source
//   - what an engine takes to turn: from memory and modelling choice
//   - consumers and the draw with the key off: from memory
//   - alternator: common practice, no source; when smart charging lets the voltage down is partly a modelling choice
//   - meters: form of a data sheet; how errors spread within it is a modelling choice
//   - how far each fault goes: modelling choice
//   - how common each fault is, how many have two, how often a probing goes wrong, the seasons: guess
//   - what people hear, feel and say: guess
package vehicle
