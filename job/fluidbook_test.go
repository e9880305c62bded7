package job_test

import (
	"strings"
	"testing"

	"lastbolt/job"
	"lastbolt/quantity"
)

func volume(text string) quantity.Written[quantity.Volume] {
	return quantity.MustParse[quantity.Volume](text)
}

func TestFluidBookAddsUpAndRefusesMoreThanTheSystemHolds(t *testing.T) {
	b := plannedBench(t)
	b.do(job.SetFluid(job.FluidSet{Fluid: "coolant", Capacity: volume("6.5 L")}))
	b.do(job.CatchFluid(job.FluidMoved{Fluid: "coolant", Amount: volume("3.2 L"), Spilled: volume("0.2 L")}))
	b.do(job.FillFluid(job.FluidMoved{Fluid: "coolant", Amount: volume("2.1 L")}))
	b.refused(job.CodeWrong, job.FillFluid(job.FluidMoved{Fluid: "coolant", Amount: volume("5 L")}))
	// Drained and filled a second time, more may pass through than it holds.
	b.do(job.CatchFluid(job.FluidMoved{Fluid: "coolant", Amount: volume("3 L")}))
	b.do(job.FillFluid(job.FluidMoved{Fluid: "coolant", Amount: volume("5 L")}))
	book := b.state().FluidBook("coolant")
	if got := quantity.Litre.Format(book.Out, 3) + " " + quantity.Litre.Format(book.In, 3) + " " + quantity.Litre.Format(book.Spilled, 1); got != "6.20 L 7.10 L 0.2 L" {
		t.Errorf("out, in and spilled are %s", got)
	}
	for say, act := range map[string]job.Action{
		"Write how much":        job.CatchFluid(job.FluidMoved{Fluid: "coolant"}),
		"Say which fluid":       job.FillFluid(job.FluidMoved{Amount: volume("1 L")}),
		"cannot be":             job.SetFluid(job.FluidSet{Fluid: "oil", Capacity: volume("900 L")}),
		"A level is":            job.SeeLevel(job.FluidLevel{Fluid: "coolant", After: "lunch", Level: "below"}),
		"ethylene or propylene": job.SetFluid(job.FluidSet{Fluid: "coolant", Base: "sugar"}),
	} {
		if _, err := act(b.rec, b.state()); err == nil || !strings.Contains(err.Error(), say) {
			t.Errorf("got %v, want a sentence with %q", err, say)
		}
	}
}
