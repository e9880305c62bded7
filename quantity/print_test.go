package quantity

import (
	"encoding/json"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/goccy/go-yaml"
)

func TestConversionStandsBehindWhatWasWritten(t *testing.T) {
	metric, imperial := Metric(), Imperial()
	tests := []struct{ name, got, want string }{
		{"one digit gives two", MustParse[Torque]("8 N·m").In(imperial.Torque), "8 N·m (5.9 lbf·ft conv.)"},
		{"three digits give three", MustParse[Torque]("110 N·m").In(imperial.Torque), "110 N·m (81.1 lbf·ft conv.)"},
		{"own unit alone", MustParse[Torque]("8 N·m").In(metric.Torque), "8 N·m"},
		{"no unit chosen", MustParse[Torque]("8 N·m").In(Unit[Torque]{}), "8 N·m"},
		{"nothing written", Written[Torque]{}.In(imperial.Torque), ""},
		{"other unit of one system", MustParse[Torque]("72 lbf·in").In(imperial.Torque), "72 lbf·in (6.00 lbf·ft conv.)"},
		{"fraction is exact", MustParse[Length]("1/2 in").In(metric.Length), "1/2 in (12.7 mm conv.)"},
		{"fraction to a hundredth", MustParse[Length]("3/8 in").In(metric.Length), "3/8 in (9.53 mm conv.)"},
		{"whole inches are exact", MustParse[Length]("1 in").In(metric.Length), "1 in (25.4 mm conv.)"},
		{"whole inches without tail", MustParse[Length]("20 in").In(metric.Length), "20 in (508 mm conv.)"},
		{"thousandths", MustParse[Length]("0.035 in").In(metric.Length), "0.035 in (0.89 mm conv.)"},
		{"distance", MustParse[Length]("120000 km").In(imperial.Distance), "120000 km (74564.5 mi conv.)"},
		{"pressure", MustParse[Pressure]("2.2 bar").In(imperial.Pressure), "2.2 bar (32 psi conv.)"},
		{"pressure back", MustParse[Pressure]("32 psi").In(metric.Pressure), "32 psi (2.21 bar conv.)"},
		{"zero point", MustParse[Temperature]("90 °C").In(imperial.Temperature), "90 °C (194 °F conv.)"},
		{"difference has none", MustParse[TemperatureDifference]("90 °C").In(imperial.TemperatureDifference), "90 °C (162 °F conv.)"},
		{"freezing", MustParse[Temperature]("32 °F").In(metric.Temperature), "32 °F (0.0 °C conv.)"},
		{"just below zero", MustParse[Temperature]("31 °F").In(metric.Temperature), "31 °F (-0.56 °C conv.)"},
		{"volume", MustParse[Volume]("0.5 L").In(imperial.Volume), "0.5 L (0.53 US qt conv.)"},
		{"nothing of it", MustParse[Volume]("0 L").In(imperial.Volume), "0 L (0 US qt conv.)"},
		{"degrees stand close", MustParse[Angle]("3/4 turn").In(metric.Angle), "3/4 turn (270° conv.)"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			if test.got != test.want {
				t.Errorf("got %q, want %q", test.got, test.want)
			}
		})
	}
}

func TestComputedQuantitiesPrintWithDigitsAsked(t *testing.T) {
	tests := []struct{ got, want string }{
		{NewtonMetres(8.134907).Format(NewtonMetre, 3), "8.13 N·m"},
		{NewtonMetres(8).Format(NewtonMetre, 3), "8.00 N·m"},
		{NewtonMetres(9.996).Format(NewtonMetre, 3), "10.0 N·m"},
		{NewtonMetres(1234).Format(NewtonMetre, 2), "1200 N·m"},
		{NewtonMetres(0).Format(NewtonMetre, 1), "0 N·m"},
		{NewtonMetres(8).Format(Unit[Torque]{}, 1), "8 N·m"},
		{NewtonMetres(-0.04).Format(NewtonMetre, 0), "-0.04 N·m"},
		{NewtonMetres(math.NaN()).Format(NewtonMetre, 2), "not known"},
		{NewtonMetres(math.Inf(1)).Format(NewtonMetre, 2), "not known"},
		{Millimetres(12.345).Format(Millimetre, 4), "12.35 mm"},
		{Celsius(90).Format(DegreeFahrenheit, 3), "194 °F"},
		{Degrees(30).Format(Degree, 2), "30°"},
	}
	for _, test := range tests {
		if test.got != test.want {
			t.Errorf("got %q, want %q", test.got, test.want)
		}
	}
}

func TestWriteMeansWhatItPrints(t *testing.T) {
	w, err := Write(NewtonMetres(8.134907), NewtonMetre, 2)
	if err != nil || w.String() != "8.1 N·m" || w.Value != NewtonMetres(8.1) {
		t.Errorf("got %q, %v, %v", w, w.Value, err)
	}
	if w, err := Write(Litres(-1), Litre, 2); err == nil {
		t.Errorf("a volume below nothing was written as %q", w)
	}
	if w, err := Write(Litres(math.NaN()), Litre, 2); err == nil {
		t.Errorf("not a number was written as %q", w)
	}
	if w, err := Write(Litres(1), Unit[Volume]{}, 2); err == nil {
		t.Errorf("without a unit it was written as %q", w)
	}
}

func TestDurationsPrintAsSaid(t *testing.T) {
	tests := []struct {
		duration Duration
		want     string
	}{
		{0, "0 s"}, {Seconds(45), "45 s"}, {Seconds(59.6), "1 min"}, {Minutes(12), "12 min"},
		{Seconds(90), "1 min 30 s"}, {Seconds(65), "1 min 05 s"}, {Minutes(65), "1 h 05 min"}, {Hours(2), "2 h"},
		{Seconds(3600 + 29), "1 h"}, {Seconds(7199), "2 h"}, {Minutes(-65), "-1 h 05 min"}, {Hours(30), "30 h"},
		{Duration(math.NaN()), "not known"}, {Duration(math.Inf(1)), "not known"},
	}
	for _, test := range tests {
		if got := test.duration.String(); got != test.want {
			t.Errorf("%v s: got %q, want %q", float64(test.duration), got, test.want)
		}
	}
	if got := DurationOf(90 * time.Second); got != Minutes(1.5) || got.Time() != 90*time.Second {
		t.Errorf("90 s became %v and %v", got, got.Time())
	}
	if got := Duration(math.Inf(1)).Time(); got != math.MaxInt64 {
		t.Errorf("endless became %v", got)
	}
	if got := Duration(math.Inf(-1)).Time(); got != math.MinInt64 {
		t.Errorf("endless backwards became %v", got)
	}
}

func TestTemperaturesAddAsSteps(t *testing.T) {
	if got := Celsius(90).Sub(Celsius(80)); got != 10 {
		t.Errorf("90 °C - 80 °C = %v K, want 10", got)
	}
	if got := Celsius(80).Add(DegreeFahrenheitStep.Of(18)); got.In(DegreeCelsius) != 90 {
		t.Errorf("80 °C + 18 °F = %v °C, want 90", got.In(DegreeCelsius))
	}
}

// note is a record as the files hold it.
type note struct {
	Torque Written[Torque]   `json:"torque,omitzero" yaml:"torque,omitempty"`
	Wait   Written[Duration] `json:"wait,omitzero" yaml:"wait,omitempty"`
	Price  Money             `json:"price,omitzero" yaml:"price,omitempty"`
	Unit   Unit[Torque]      `json:"unit" yaml:"unit"`
}

func TestFilesKeepWhatWasWritten(t *testing.T) {
	full := note{
		Torque: MustParse[Torque]("0 lbf·ft"),
		Wait:   MustParse[Duration]("1 h 05 min"),
		Price:  Money{1250, "EUR"},
		Unit:   PoundForceFoot,
	}
	for _, want := range []note{full, {}} {
		asJSON, err := json.Marshal(want)
		var fromJSON note
		if err == nil {
			err = json.Unmarshal(asJSON, &fromJSON)
		}
		if err != nil || fromJSON != want {
			t.Errorf("JSON %s: got %+v, %v; want %+v", asJSON, fromJSON, err, want)
		}
		asYAML, err := yaml.Marshal(want)
		var fromYAML note
		if err == nil {
			err = yaml.Unmarshal(asYAML, &fromYAML)
		}
		if err != nil || fromYAML != want {
			t.Errorf("YAML %s: got %+v, %v; want %+v", asYAML, fromYAML, err, want)
		}
	}
	if asJSON, _ := json.Marshal(full); !strings.Contains(string(asJSON), `"torque":"0 lbf·ft"`) {
		t.Errorf("a written zero is not in %s", asJSON)
	}
	if asJSON, _ := json.Marshal(note{}); string(asJSON) != `{"unit":""}` {
		t.Errorf("nothing written became %s", asJSON)
	}
}

func TestBareNumberInAFileIsRefused(t *testing.T) {
	var n note
	if err := yaml.Unmarshal([]byte("torque: 8\n"), &n); err == nil || !strings.Contains(err.Error(), "no unit after 8") {
		t.Errorf("got %+v, %v", n, err)
	}
	if err := json.Unmarshal([]byte(`{"torque":"8"}`), &n); err == nil || !strings.Contains(err.Error(), "no unit after 8") {
		t.Errorf("got %+v, %v", n, err)
	}
}

func BenchmarkParseTorque(b *testing.B) {
	for b.Loop() {
		if _, err := ParseTorque("6 ft-lb"); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkWrittenIn(b *testing.B) {
	w := MustParse[Torque]("8 N·m")
	for b.Loop() {
		_ = w.In(PoundForceFoot)
	}
}
