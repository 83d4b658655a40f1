package leadacid

import (
	"deadflat/internal/calc"
	"deadflat/internal/unit"
)

// cableRows is the greatest resistance of a flexible copper conductor (class 5)
// at 20 °C, in mΩ/m, by its nominal size in mm2: of plain and of tinned wire.
// Source: IEC 60228:2004, table for class 5, as four texts reprint it.
var cableRows = []struct{ size, plain, tinned float64 }{
	{0.5, 39.0, 40.1}, {0.75, 26.0, 26.7}, {1, 19.5, 20.0}, {1.5, 13.3, 13.7}, {2.5, 7.98, 8.21},
	{4, 4.95, 5.09}, {6, 3.30, 3.39}, {10, 1.91, 1.95}, {16, 1.21, 1.24}, {25, 0.780, 0.795},
	{35, 0.554, 0.565}, {50, 0.386, 0.393}, {70, 0.272, 0.277}, {95, 0.206, 0.210},
	{120, 0.161, 0.164}, {150, 0.129, 0.132},
}

// cableTable is that of plain wire; its sizes are the only ones there are.
var cableTable = func() *calc.Table {
	var plain rows
	for _, row := range cableRows {
		plain = append(plain, [2]float64{row.size, row.plain})
	}
	return table("greatest resistance of a metre of plain copper, class 5, at 20 °C", "mm2", "mΩ", source("IEC 60228:2004, table for class 5", seenTwice), plain)
}()

var (
	copperResistivity = figure("resistance of 1 m of ideal copper of 1 mm2 at 20 °C (1/58 Ω)", unit.Exactly(1000.0/58), "mΩ", source("IEC 60028; NBS Handbook 100", seen))
	copperSlope       = figure("rise of copper's resistance for each kelvin, from 20 °C", unit.Exactly(0.00393), "1", source("IEC 60028; NBS Handbook 100", seen))
	copperTemp        = figure("temperature of the tables", unit.Exactly(20), "°C", source("IEC 60228", seenTwice))
	copperZero        = figure("temperature in the factor 250 / (230 + t)", unit.Exactly(230), "°C", source("IEC 60228, informative factor", seen))
	copperFigures     = []calc.Figure{copperResistivity, copperSlope, copperTemp, copperZero}
)

var (
	cableSize   = &calc.Quantity{Title: "cable size", Unit: "mm2", Only: cableTable.X}
	cableLength = &calc.Quantity{Title: "cable length", Unit: "m", Lo: 0, Hi: 100}
	cableTemp   = &calc.Quantity{Title: "cable temperature", Unit: "°C", Lo: -50, Hi: 200}

	cableSizeParam = number("size", cableSize, "nominal size of the cable")
	cableTempParam = assuming(number("cable_temp", cableTemp, "temperature of the cable"), span(0, 20, 60))
)

// cableLengthParam is the length that the drop of a cable goes by.
func cableLengthParam(q *calc.Quantity) calc.Param {
	return number("length", q, "length that the current runs through, both leads together")
}

// copperFactor is the resistance of copper over that at 20 °C, by the law of IEC
// 60028, and in its range by the informative factor of IEC 60228, which stands less
// than 1 % off below 150 °C.
func copperFactor(temp unit.Range) unit.Range {
	zero, at20 := copperZero.Range.Best, copperTemp.Range.Best
	straight := temp.Map(func(t float64) float64 { return 1 + copperSlope.Range.Best*(t-at20) })
	return straight.Hull(temp.Map(func(t float64) float64 { return (zero + t) / (zero + at20) }))
}

// cableResistance is that of the cable of size, length and cable_temp, in mΩ. Best
// is the greatest that plain wire may have, Hi that of tinned wire, Lo that of ideal
// copper of the nominal size. Joints come on top.
func cableResistance(a calc.Args) unit.Range {
	size := a.Num("size").Best
	var perMetre unit.Range
	for _, row := range cableRows {
		if row.size == size {
			perMetre = span(copperResistivity.Range.Best/size, row.plain, row.tinned)
		}
	}
	return unit.Over(func(x []float64) float64 { return x[0] * x[1] * x[2] }, perMetre, a.Num("length"), copperFactor(a.Num("cable_temp")))
}

var cableDropFunction = &calc.Function{
	Name: "cable_drop", Title: "Voltage drop of a copper cable", Topic: topicDrop, Unit: unit.Must("V"),
	Doc:     "What the cable alone loses when all its strands carry. A reading well above it is a joint or broken strands.",
	Params:  []calc.Param{cableSizeParam, cableLengthParam(cableLength), number("current", starterCurrent, "current through it"), cableTempParam},
	Formula: "drop = current * length * resistance of a metre * (1 + 0.00393/K * (cable_temp - 20 °C))",
	Source:  circuitLaw, Figures: copperFigures, Tables: []*calc.Table{cableTable},
	Work: func(a calc.Args) (calc.Result, error) {
		r := cableResistance(a)
		v := unit.Over(func(x []float64) float64 { return x[0] * x[1] / 1000 }, r, a.Num("current"))
		return calc.Result{Values: []calc.Value{
			value("drop", "drop of the cable alone", "V", v, 3),
			value("resistance", "its resistance", "mΩ", r, 2),
		}}, nil
	},
}
