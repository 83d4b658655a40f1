package leadacid

// floorTable is the lowest voltage at the end of a load test over the battery's
// temperature. The table's rows are whole steps of 10 °F, in rounded °C.
var floorTable = &Table{
	Name: "lowest voltage under half the cold-crank rating, after 15 s", Over: "°C", Unit: "V", Source: loadTable,
	Rows: [][2]float64{{-18, 8.5}, {-12, 8.7}, {-7, 8.9}, {-1, 9.1}, {4, 9.3}, {10, 9.4}, {16, 9.5}, {21, 9.6}},
}

// otherFloors is what else is published as the lowest voltage at the posts of a
// warm battery while it cranks.
var otherFloors = Figure{"lowest voltage while cranking at about 20 °C, all that is published", Range{9.0, 9.6, 10.5}, "V", practiced(SeenTwice)}

// LoadFloor is the lowest voltage, in V, that a good battery shows after 15 s of
// half its cold-crank rating, at the battery temperature temp (°C, -18 to 60).
// Above 21 °C the floor stays at 9.6 V. Below -18 °C nothing is published, and
// the answer is Impossible: warm the battery first.
//
// Source: TM 5-4210-230-14&P-1, Table 5; in a straight line between its rows.
func LoadFloor(temp Range) (Range, error) {
	if err := check(batteryTemp.is(temp)); err != nil {
		return Range{}, err
	}
	if coldest := floorTable.Rows[0][0]; temp.Lo < coldest {
		return Range{}, impossible("no load test is published below %s, and the battery is at %s: let it warm up first", show(coldest, "°C"), show(temp.Lo, "°C"))
	}
	return floorTable.over(temp), nil
}

// CrankFloor is the voltage at the posts, in V, below which a charged battery is
// at fault when it turns an engine that is sound, at the battery temperature temp
// (°C, -40 to 60): the floor of the load test, held at 8.5 V below -18 °C. No
// table for cranking is published.
//
// Source: TM 5-4210-230-14&P-1, Table 5, taken as a floor for cranking, which is
// common practice, no source.
func CrankFloor(temp Range) (Range, error) {
	if err := check(batteryTemp.is(temp)); err != nil {
		return Range{}, err
	}
	return floorTable.over(temp), nil
}

var loadFloorFunction = &Function{
	Name: "load_floor", Title: "Lowest voltage at the end of a load test", Topic: topicLoad,
	Doc: "For half the cold-crank rating held 15 s on a battery at least three quarters charged, without surface charge and without ice.",
	Params: []Param{
		assuming(number("battery_temp", batteryTemp, "temperature of the battery itself, not of the air"), roomTemp),
	},
	Formula: "load_floor = table at battery_temp; 9.6 V above 21 °C",
	Source:  loadTable, Tables: []*Table{floorTable},
	work: func(a Args) (Result, error) {
		v, err := LoadFloor(a.num("battery_temp"))
		return one(Value{"load_floor", "lowest voltage after 15 s", "V", v, 2}, err)
	},
}

var crankFloorFunction = &Function{
	Name: "crank_floor", Title: "Lowest voltage at the posts while cranking", Topic: topicLoad,
	Doc: "Under it a charged battery is at fault, if the engine turned and its current was in its band or both paths are sound. At or over it the battery is not cleared: it is only not at fault at this load. Read the plateau, not a peak hold.",
	Params: []Param{
		tempParam,
	},
	Formula: "crank_floor = table of the load test at battery_temp; 9.6 V above 21 °C, 8.5 V below -18 °C",
	Source:  Source{"TM 5-4210-230-14&P-1, Table 5, taken as a floor for cranking: common practice, no source", Practice},
	Figures: []Figure{otherFloors}, Tables: []*Table{floorTable},
	work: func(a Args) (Result, error) {
		v, err := CrankFloor(a.num("battery_temp"))
		r, err := one(Value{"crank_floor", "lowest voltage while cranking", "V", v, 2}, err)
		if err == nil {
			r.Says = []string{"Published floors for a warm battery run from " + showRange(otherFloors.Range, "V") + "; the vehicle's own figure wins."}
		}
		return r, err
	},
}
