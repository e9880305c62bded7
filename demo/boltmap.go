package demo

import (
	"context"
	"fmt"

	"lastbolt/job"
	"lastbolt/quantity"
)

// coolerBolt is a bolt of the demo's oil cooler, in millimetres on a sheet of
// coolerWide by coolerHigh.
type coolerBolt struct {
	x, y   float64
	long   bool
	length string // where the new part's bolt is not the access map's
	change job.BoltSet
}

const coolerWide, coolerHigh = 190.0, 132.0

// coolerBolts maps the oil cooler's bolts from the new part, before the old one
// comes off: nine at uneven places, of three lengths, and one that holds
// something else.
func (h *hand) coolerBolts(ctx context.Context) error {
	const item = "oil-cooler"
	yes := true
	bolts := []coolerBolt{
		{x: 24, y: 20, long: true, change: job.BoltSet{First: &yes}}, {x: 88, y: 12}, {x: 150, y: 25, long: true}, {x: 178, y: 70}, {x: 164, y: 113, long: true, change: job.BoltSet{Hidden: &yes}},
		{x: 112, y: 120}, {x: 58, y: 116, length: "35 mm", change: job.BoltSet{Note: "goes through the bracket as well"}}, {x: 14, y: 96, change: job.BoltSet{Hidden: &yes}}, {x: 10, y: 56},
		{x: 100, y: 66, change: job.BoltSet{Keep: &yes, Note: "holds the pressure valve"}},
	}
	width := quantity.MustParse[quantity.Length](fmt.Sprintf("%g mm", coolerWide))
	err := h.do(ctx, job.ChangeBoltMap(job.BoltMapSet{
		Item: item, Aspect: coolerHigh / coolerWide, Count: 9, From: &job.Point{}, To: &job.Point{X: 1}, Distance: width,
		Cover: "thick casting", Seal: "rubber seal", Outline: onSheet([][2]float64{
			{8, 8}, {60, 2}, {120, 4}, {164, 12}, {186, 40}, {188, 90}, {174, 126}, {120, 130}, {56, 128}, {8, 112}, {1, 70}, {2, 30},
		}),
	}))
	if err != nil {
		return err
	}
	for _, b := range bolts {
		d := b.change
		d.Item, d.At = item, &job.Point{X: b.x / coolerWide, Y: b.y / coolerWide}
		d.Group = h.coolerGroup(b.long)
		if b.length != "" {
			l := quantity.MustParse[quantity.Length](b.length)
			d.Length = &l
		}
		if err := h.do(ctx, job.SetBolt(d)); err != nil {
			return err
		}
	}
	order, err := job.WorkOutBolts(ctx, h.state.BoltMap(item), job.UsualPasses, false)
	if err != nil {
		return err
	}
	return h.do(ctx, job.OrderBolts(order))
}

func onSheet(points [][2]float64) []job.Point {
	var out []job.Point
	for _, p := range points {
		out = append(out, job.Point{X: p[0] / coolerWide, Y: p[1] / coolerWide})
	}
	return out
}

// coolerGroup is the group of the long or the short bolts, on the way that was
// planned.
func (h *hand) coolerGroup(long bool) string {
	thread := "M6"
	if long {
		thread = "M8"
	}
	for _, st := range h.state.Steps {
		for _, g := range st.Groups {
			if st.Item == "oil-cooler" && g.Fastener.Thread == thread {
				return g.ID
			}
		}
	}
	return ""
}
