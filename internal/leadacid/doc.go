// Package leadacid is the trade's arithmetic of 12 V lead-acid batteries and of
// what they start: state of charge, load test, ratings, capacity, resistance,
// voltage drops, charging, key-off draw and the choice of a replacement.
//
// [All] is its only door: each thing that can be worked out is one
// [calc.Function], in the file named for it, with its formula and its sources. It
// knows nothing of trees, readings, walks or meters, it opens no file and asks
// nobody. It may import internal/calc and internal/unit; commands and tests may
// import it.
//
// What always holds:
//
//   - Where two sources disagree, both are inside the range that is given out, and
//     the opinions list what each of them says.
//   - Every number that the arithmetic rests on stands beside its source and the
//     confidence in it: "common practice, no source" and "from memory" are said as
//     such.
//   - Numbers are in the units of the trade (V, A, mΩ, Ah, min, h, °C, per cent):
//     a quantity names the unit of what is put in, a value that of what comes out.
package leadacid
