// Package leadacid is the trade's arithmetic of 12 V lead-acid batteries and of
// what they start: state of charge, load test, ratings, capacity, resistance,
// voltage drops, charging, key-off draw and the choice of a replacement.
//
// Each thing that can be worked out is one documented function, in the file
// named for it, and one [Function] of the list that [All] gives, so that a
// command can offer it by name. It knows nothing of trees, readings, walks or
// meters, it opens no file and asks nobody. It may import internal/unit only;
// commands and tests may import it.
//
// What always holds:
//
//   - A quantity is a [Range]: it lies between two ends, and what is given out
//     covers everything that can follow from what was put in and from what the
//     sources leave open. Where two sources disagree, both are inside, and
//     [Agreed] lists what each of them says.
//   - Every number that the arithmetic rests on stands beside its [Source] and
//     the [Confidence] in it: "common practice, no source" and "from memory" are
//     said as such.
//   - What cannot be is refused with an [*Impossible] that says why. Nothing is
//     computed from NaN, from a number outside the span given with each
//     quantity, or from numbers that contradict one another.
//   - Numbers are in the units of the trade that each comment names (V, A, mΩ,
//     Ah, min, h, °C, per cent): a [Param] names the unit of what it takes, a
//     [Value] that of what it gives.
package leadacid
