package quantity

import (
	"math"
	"os"
	"testing"

	"github.com/goccy/go-yaml"
)

// publishedRow is one entry of published/quantity.yaml.
type publishedRow struct {
	Calculation string
	Inputs      struct{ Quantity, Value, To string }
	Expected    float64
	Tolerance   float64
	Source      string
	Known       string
}

func TestPublishedFactorsAreMet(t *testing.T) {
	text, err := os.ReadFile("../published/quantity.yaml")
	if err != nil {
		t.Fatal(err)
	}
	var rows []publishedRow
	if err := yaml.UnmarshalWithOptions(text, &rows, yaml.Strict()); err != nil {
		t.Fatal(err)
	}
	if len(rows) < 40 {
		t.Fatalf("%d rows, want 40 or more", len(rows))
	}
	for _, row := range rows {
		if row.Calculation != "convert" || row.Source == "" || row.Known == "" {
			t.Errorf("%+v: calculation, source or known is missing", row)
			continue
		}
		got, err := Convert(row.Inputs.Quantity, row.Inputs.Value, row.Inputs.To)
		if err != nil {
			t.Errorf("%+v: %v", row.Inputs, err)
			continue
		}
		if off := math.Abs(got - row.Expected); !(off <= row.Tolerance) {
			t.Errorf("%s = %v %s, want %v within %v (%s)",
				row.Inputs.Value, got, row.Inputs.To, row.Expected, row.Tolerance, row.Source)
		}
	}
}
