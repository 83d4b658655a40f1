package leadacid

import (
	"deadflat/internal/calc"
	"deadflat/internal/unit"
)

// floorTable is in whole steps of 10 °F, in rounded °C.
var floorTable = table("lowest voltage under half the cold-crank rating, after 15 s", "°C", "V", loadTable,
	rows{{-18, 8.5}, {-12, 8.7}, {-7, 8.9}, {-1, 9.1}, {4, 9.3}, {10, 9.4}, {16, 9.5}, {21, 9.6}})

// otherFloors is for a warm battery.
var otherFloors = figure("lowest voltage while cranking at about 20 °C, all that is published", span(9.0, 9.6, 10.5), "V", practiced(seenTwice))

func loadFloor(temp unit.Range) (unit.Range, error) {
	if coldest := floorTable.X[0]; temp.Lo < coldest {
		return unit.Range{}, calc.Impossiblef("no load test is published below %s, and the battery is at %s: let it warm up first", calc.Show(coldest, "°C"), calc.Show(temp.Lo, "°C"))
	}
	return floorTable.Over(temp), nil
}

var loadFloorFunction = &calc.Function{
	Name: "load_floor", Title: "Lowest voltage at the end of a load test", Topic: topicLoad, Unit: unit.Must("V"),
	Doc:     "For half the cold-crank rating held 15 s on a battery at least three quarters charged, without surface charge and without ice.",
	Params:  []calc.Param{tempParam},
	Formula: "load_floor = table at battery_temp; 9.6 V above 21 °C",
	Source:  loadTable, Tables: []*calc.Table{floorTable},
	Work: func(a calc.Args) (calc.Result, error) {
		v, err := loadFloor(a.Num("battery_temp"))
		return single("load_floor", "lowest voltage after 15 s", "V", v, 2), err
	},
}

// No table for cranking is published: the floor of the load test is taken, and its
// end clamped below -18 °C.
var crankFloorFunction = &calc.Function{
	Name: "crank_floor", Title: "Lowest voltage at the posts while cranking", Topic: topicLoad, Unit: unit.Must("V"),
	Doc:     "Under it a charged battery is at fault, if the engine turned and its current was in its band or both paths are sound. At or over it the battery is not cleared: it is only not at fault at this load. Read the plateau, not a peak hold.",
	Params:  []calc.Param{tempParam},
	Formula: "crank_floor = table of the load test at battery_temp; 9.6 V above 21 °C, 8.5 V below -18 °C",
	Source:  source("TM 5-4210-230-14&P-1, Table 5, taken as a floor for cranking: common practice, no source", practice),
	Figures: []calc.Figure{otherFloors}, Tables: []*calc.Table{floorTable},
	Work: func(a calc.Args) (calc.Result, error) {
		r := single("crank_floor", "lowest voltage while cranking", "V", floorTable.Over(a.Num("battery_temp")), 2)
		r.Says = []string{"Published floors for a warm battery run from " + calc.ShowRange(otherFloors.Range, "V") + "; the vehicle's own figure wins."}
		return r, nil
	},
}
