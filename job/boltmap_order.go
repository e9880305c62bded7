package job

import (
	"context"
	"fmt"
	"math"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"lastbolt/calc/fastener"
	"lastbolt/calc/tighten"
	"lastbolt/plan/access"
	"lastbolt/quantity"
)

// UsualPasses is how many passes are worked out where nobody says: half way,
// then full. Common practice of the trade, without a source.
const UsualPasses = 2

// unknownWidth is how wide a picture is taken to be that has no scale, for the
// model of the part; the answer says so.
const unknownWidth = 200.0 // mm

// WorkOutBolts finds the order for a map as it is, over so many crossing passes
// and, with around, a last one at full torque from neighbour to neighbour. An
// error is a sentence for the person asking.
func WorkOutBolts(ctx context.Context, m *BoltMap, passes int, around bool) (BoltOrdered, error) {
	switch {
	case len(m.Bolts) == 0:
		return BoltOrdered{}, refuse(CodeMissing, "There is no bolt on the map yet: tap each one first.")
	case passes < 1 || passes > 6:
		return BoltOrdered{}, refuse(CodeWrong, "One to six passes, not %d.", passes)
	case len(m.Bolts) > tighten.MaxBolts:
		return BoltOrdered{}, refuse(CodeWrong, "The order is worked out for up to %d bolts, and there are %d: put neighbours on maps of their own.", tighten.MaxBolts, len(m.Bolts))
	}
	order, err := tighten.Plan(ctx, m.joint(), tighten.Options{Passes: passes})
	if err != nil {
		return BoltOrdered{}, refuse(CodeWrong, "%s", capital(strings.TrimSuffix(err.Error(), ".")+"."))
	}
	d := BoltOrdered{Item: m.Item, Source: access.Computed, Loosen: m.ids(order.Loosen)}
	for _, p := range order.Passes {
		d.Passes = append(d.Passes, BoltPass{Share: p.Share, Order: m.ids(p.Sequence)})
	}
	if around && len(order.Around) == len(m.Bolts) {
		d.Passes = append(d.Passes, BoltPass{Share: 1, Order: m.ids(order.Around)})
	}
	d.Check = m.checkOrder(d.Passes[len(d.Passes)-1].Order)
	d.Working = m.working(order)
	if order.Circular && !around {
		d.Working = append(d.Working, "By the model a last round at full torque, from neighbour to neighbour, evens it further.")
	}
	return d, nil
}

// joint is the map as the engine takes it.
func (m *BoltMap) joint() tighten.Joint {
	mm := m.MM()
	if mm == 0 {
		mm = unknownWidth
	}
	at := func(p Point) (x, y quantity.Length) {
		return quantity.Millimetres(p.X * mm), quantity.Millimetres(p.Y * mm)
	}
	j := tighten.Joint{Cover: covers[m.Cover], Seal: seals[m.Seal]}
	if len(m.Outline) >= 3 {
		for _, p := range m.Outline {
			x, y := at(p)
			j.Outline = append(j.Outline, tighten.Point{X: x, Y: y})
		}
	}
	for _, b := range m.Bolts {
		x, y := at(b.At)
		bolt := tighten.Bolt{X: x, Y: y, Length: b.Length.Value, Torque: m.Torque(b).Value.Value, First: b.First}
		if t, err := fastener.ParseThread(m.Fastener(b).Thread); err == nil {
			bolt.Diameter = t.Major
		}
		j.Bolts = append(j.Bolts, bolt)
	}
	return j
}

// OrderQuery asks the calculation "tightening-order" about the same bolts, as
// the query of its page: with the order in force to compare. Empty where there
// is no order.
func (m *BoltMap) OrderQuery() string {
	if m.Order == nil || len(m.Bolts) < 2 {
		return ""
	}
	j := m.joint()
	var bolts, outline strings.Builder
	for _, b := range j.Bolts {
		fmt.Fprintf(&bolts, "%.2f; %.2f; %s; %s; %s; %s\n", b.X.In(quantity.Millimetre), b.Y.In(quantity.Millimetre),
			positive(b.Length.In(quantity.Millimetre)), positive(b.Torque.In(quantity.NewtonMetre)), positive(b.Diameter.In(quantity.Millimetre)), yesNo(b.First))
	}
	for _, p := range j.Outline {
		fmt.Fprintf(&outline, "%.2f; %.2f\n", p.X.In(quantity.Millimetre), p.Y.In(quantity.Millimetre))
	}
	var order []string
	for _, id := range m.Order.Passes[len(m.Order.Passes)-1].Order {
		order = append(order, strconv.Itoa(slices.IndexFunc(m.Bolts, func(b *Bolt) bool { return b.ID == id })+1))
	}
	q := url.Values{"bolts": {bolts.String()}, "compare": {strings.Join(order, "-")}, "passes": {strconv.Itoa(len(m.Order.Passes))}}
	for name, value := range map[string]string{"cover": string(j.Cover), "seal": string(j.Seal), "outline": outline.String()} {
		if value != "" {
			q.Set(name, value)
		}
	}
	return q.Encode()
}

func positive(n float64) string {
	if n <= 0 {
		return ""
	}
	return strconv.FormatFloat(n, 'f', -1, 64)
}

func yesNo(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}

// The engine's classes for what a mechanic says; what is not said is left to
// the engine.
var (
	covers = map[string]tighten.Cover{"thick casting": tighten.Stiff, "thin casting": tighten.Thin, "pressed sheet": tighten.Sheet, "plastic": tighten.Thin}
	seals  = map[string]tighten.Seal{"none": tighten.Metal, "flat gasket": tighten.Flat, "rubber seal": tighten.Rubber, "O-ring": tighten.ORing, "sealant": tighten.Sealant}
)

func (m *BoltMap) ids(order []int) []string {
	var out []string
	for _, i := range order {
		out = append(out, m.Bolts[i].ID)
	}
	return out
}

// checkOrder is the order of the later re-check: once around by the clock,
// beginning across from the bolt that was tightened last. Another order than
// the passes', so that a bolt passed over is not passed over twice.
func (m *BoltMap) checkOrder(last []string) []string {
	var cx, cy float64
	for _, b := range m.Bolts {
		cx, cy = cx+b.At.X, cy+b.At.Y
	}
	n := float64(len(m.Bolts))
	cx, cy = cx/n, cy/n
	around := slices.Clone(m.Bolts)
	angle := func(b *Bolt) float64 { return math.Atan2(b.At.Y-cy, b.At.X-cx) }
	slices.SortStableFunc(around, func(x, y *Bolt) int {
		switch a, b := angle(x), angle(y); {
		case a < b:
			return -1
		case a > b:
			return 1
		default:
			return x.N - y.N
		}
	})
	from := slices.IndexFunc(around, func(b *Bolt) bool { return b.ID == last[len(last)-1] })
	start := (from + len(around)/2) % len(around)
	ids := func(step int) []string {
		var out []string
		for i := range around {
			out = append(out, around[((start+step*i)%len(around)+len(around))%len(around)].ID)
		}
		return out
	}
	if out := ids(1); !slices.Equal(out, last) {
		return out
	}
	return ids(-1)
}

// working says how the order was found and what it is worth.
func (m *BoltMap) working(o *tighten.Order) []string {
	found := fmt.Sprintf("Worked out on a model of the part: the best of %d orders compared", o.Tried)
	if o.Proven {
		found = "Worked out on a model of the part: no order is better in it"
	}
	out := []string{found + ". The maker's order, where there is one, goes before it."}
	if m.MM() == 0 {
		out = append(out, fmt.Sprintf("No distance is known: the picture was taken to be %.0f mm wide.", unknownWidth))
	}
	if o.Run != nil && o.Why != nil {
		text := ""
		for _, a := range o.Why.Alternatives {
			if a.Run != nil {
				text += fmt.Sprintf("; %s %s", a.Name, percent(a.Run.Peak))
			}
		}
		out = append(out, "Unevenness of the seal's squeeze, at worst on the way: "+strings.TrimPrefix(text, "; ")+".")
	}
	return out
}

func percent(share float64) string { return fmt.Sprintf("%.0f %%", share*100) }

// TypedOrder reads the maker's order, written as the bolts' numbers: "3 7 1 5".
// Each bolt is named once.
func TypedOrder(m *BoltMap, text string, passes int) (BoltOrdered, error) {
	d := BoltOrdered{Item: m.Item, Source: access.Maker, Working: []string{"The maker's order, as typed."}}
	var order []string
	for _, word := range strings.FieldsFunc(text, func(r rune) bool { return r < '0' || r > '9' }) {
		n, err := strconv.Atoi(word)
		i := slices.IndexFunc(m.Bolts, func(b *Bolt) bool { return b.N == n })
		switch {
		case err != nil || i < 0:
			return d, refuse(CodeWrong, "There is no bolt %s on this map: write the numbers as they stand on it.", word)
		case slices.Contains(order, m.Bolts[i].ID):
			return d, refuse(CodeWrong, "Bolt %d stands in that order twice.", n)
		}
		order = append(order, m.Bolts[i].ID)
	}
	for _, b := range m.Bolts {
		if !slices.Contains(order, b.ID) {
			return d, refuse(CodeWrong, "Bolt %d is missing in that order: name every bolt once, as in 3 7 1 5.", b.N)
		}
	}
	if passes < 1 || passes > 6 {
		return d, refuse(CodeWrong, "One to six passes, not %d.", passes)
	}
	for p := range passes {
		d.Passes = append(d.Passes, BoltPass{Share: float64(p+1) / float64(passes), Order: order})
	}
	d.Loosen = slices.Clone(order)
	slices.Reverse(d.Loosen)
	d.Check = m.checkOrder(order)
	return d, nil
}
