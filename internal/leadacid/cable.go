package leadacid

import "math"

// cableRows is the greatest resistance of a flexible copper conductor (class 5)
// at 20 °C, in mΩ/m, by its nominal size in mm2: of plain and of tinned wire.
// Source: IEC 60228:2004, table for class 5, as four texts reprint it.
var cableRows = []struct{ size, plain, tinned float64 }{
	{0.5, 39.0, 40.1}, {0.75, 26.0, 26.7}, {1, 19.5, 20.0}, {1.5, 13.3, 13.7}, {2.5, 7.98, 8.21},
	{4, 4.95, 5.09}, {6, 3.30, 3.39}, {10, 1.91, 1.95}, {16, 1.21, 1.24}, {25, 0.780, 0.795},
	{35, 0.554, 0.565}, {50, 0.386, 0.393}, {70, 0.272, 0.277}, {95, 0.206, 0.210},
	{120, 0.161, 0.164}, {150, 0.129, 0.132},
}

// The properties of copper.
var (
	copperResistivity = Figure{"resistance of 1 m of ideal copper of 1 mm2 at 20 °C (1/58 Ω)", Exactly(1000.0 / 58), "mΩ", Source{"IEC 60028; NBS Handbook 100", Seen}}
	copperSlope       = Figure{"rise of copper's resistance for each kelvin, from 20 °C", Exactly(0.00393), "1", Source{"IEC 60028; NBS Handbook 100", Seen}}
	copperTemp        = Figure{"temperature of the tables", Exactly(20), "°C", Source{"IEC 60228", SeenTwice}}
	copperZero        = Figure{"temperature in the factor 250 / (230 + t)", Exactly(230), "°C", Source{"IEC 60228, informative factor", Seen}}
)

var (
	cableSize   = quantity{title: "cable size", unit: "mm2", only: cableSizes()}
	cableLength = quantity{title: "cable length", unit: "m", lo: 0, hi: 100}
	cableTemp   = quantity{title: "cable temperature", unit: "°C", lo: -50, hi: 200}
)

func cableSizes() []float64 {
	var all []float64
	for _, row := range cableRows {
		all = append(all, row.size)
	}
	return all
}

// CopperFactor is the resistance of copper at temp (°C, -50 to 200) over that at
// 20 °C, by the law of IEC 60028, and in its range by the informative factor of
// IEC 60228, which stands less than 1 % off below 150 °C.
func CopperFactor(temp Range) (Range, error) {
	if err := check(cableTemp.is(temp)); err != nil {
		return Range{}, err
	}
	straight := Over(func(x []float64) float64 {
		return 1 + copperSlope.Range.Best*(x[0]-copperTemp.Range.Best)
	}, temp)
	zero := copperZero.Range.Best
	return straight.Join(Over(func(x []float64) float64 {
		return (zero + x[0]) / (zero + copperTemp.Range.Best)
	}, temp)), nil
}

// CableResistance is the resistance, in mΩ, of a copper cable of nominal size
// (mm2, a row of IEC 60228 from 0.5 to 150), length (m, 0 to 100; both leads
// together where the current goes and comes back) and temperature (°C, -50 to
// 200). Best is the greatest that plain wire may have, Hi that of tinned wire, Lo
// that of ideal copper of the nominal size. Joints come on top.
//
// A size that is no row is Impossible.
//
// Source: IEC 60228:2004, table for class 5; IEC 60028 for copper.
func CableResistance(size float64, length, temp Range) (Range, error) {
	if err := check(cableSize.is(Exactly(size)), cableLength.is(length)); err != nil {
		return Range{}, err
	}
	factor, err := CopperFactor(temp)
	if err != nil {
		return Range{}, err
	}
	return Over(func(x []float64) float64 { return x[0] * x[1] * x[2] }, perMetre(size), length, factor), nil
}

// perMetre is the resistance of a metre at 20 °C, in mΩ.
func perMetre(size float64) Range {
	for _, row := range cableRows {
		if row.size == size {
			return Range{copperResistivity.Range.Best / size, row.plain, row.tinned}
		}
	}
	return Exactly(math.NaN())
}

// CableDrop is the voltage, in V, that a current (A, 0 to 3000) loses in such a
// cable; see [CableResistance].
func CableDrop(size float64, length, temp, current Range) (Range, error) {
	r, err := CableResistance(size, length, temp)
	if err == nil {
		err = check(starterCurrent.is(current))
	}
	if err != nil {
		return Range{}, err
	}
	return Over(func(x []float64) float64 { return x[0] * x[1] / 1000 }, r, current), nil
}

var cableTable = func() *Table {
	t := &Table{Name: "greatest resistance of a metre of plain copper, class 5, at 20 °C", Over: "mm2", Unit: "mΩ", Source: Source{"IEC 60228:2004, table for class 5", SeenTwice}}
	for _, row := range cableRows {
		t.Rows = append(t.Rows, [2]float64{row.size, row.plain})
	}
	return t
}()

var (
	cableSizeParam   = number("size", cableSize, "nominal size of the cable")
	cableLengthParam = number("length", cableLength, "length that the current runs through, both leads together")
	cableTempParam   = assuming(number("cable_temp", cableTemp, "temperature of the cable"), Range{0, 20, 60})
)

var cableDropFunction = &Function{
	Name: "cable_drop", Title: "Voltage drop of a copper cable", Topic: topicDrop,
	Doc:     "What the cable alone loses when all its strands carry. A reading well above it is a joint or broken strands.",
	Params:  []Param{cableSizeParam, cableLengthParam, number("current", starterCurrent, "current through it"), cableTempParam},
	Formula: "drop = current * length * resistance of a metre * (1 + 0.00393/K * (cable_temp - 20 °C))",
	Source:  circuitLaw, Figures: []Figure{copperResistivity, copperSlope, copperTemp, copperZero}, Tables: []*Table{cableTable},
	work: func(a Args) (Result, error) {
		size := a.num("size").Best
		r, err := CableResistance(size, a.num("length"), a.num("cable_temp"))
		if err != nil {
			return Result{}, err
		}
		v, err := CableDrop(size, a.num("length"), a.num("cable_temp"), a.num("current"))
		if err != nil {
			return Result{}, err
		}
		return Result{Values: []Value{
			{"drop", "drop of the cable alone", "V", v, 3},
			{"resistance", "its resistance", "mΩ", r, 2},
		}}, nil
	},
}
