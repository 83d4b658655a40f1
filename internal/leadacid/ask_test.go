package leadacid

import (
	"fmt"

	"github.com/stretchr/testify/require"

	"deadflat/internal/calc"
	"deadflat/internal/unit"
)

// ask works a function out by its name, as a command does. The arguments come in
// pairs: a name and a number, a range or a word.
func ask(t require.TestingT, function string, pairs ...any) calc.Result {
	r, err := Find(function).Run(argsOf(pairs))
	require.NoError(t, err)
	return r
}

func argsOf(pairs []any) calc.Args {
	args := calc.Args{}
	for i := 0; i < len(pairs); i += 2 {
		name := pairs[i].(string)
		switch v := pairs[i+1].(type) {
		case string:
			args[name] = calc.Word(v)
		case unit.Range:
			args[name] = calc.Number(v)
		case float64:
			args[name] = calc.Number(unit.Exactly(v))
		case int:
			args[name] = calc.Number(unit.Exactly(float64(v)))
		default:
			panic(fmt.Sprintf("%s is a %T", name, v))
		}
	}
	return args
}

// first is the first value that comes out.
func first(t require.TestingT, function string, pairs ...any) unit.Range {
	return ask(t, function, pairs...).Values[0].Range
}

func valueOf(r calc.Result, name string) unit.Range {
	for _, v := range r.Values {
		if v.Name == name {
			return v.Range
		}
	}
	panic("no value " + name)
}
