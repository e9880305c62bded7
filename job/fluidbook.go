package job

import (
	"slices"
	"strings"
	"time"

	"lastbolt/quantity"
)

// The kinds of event of the fluids' book, each with the type of its data.
const (
	KindFluid  Kind = "fluid"        // FluidSet
	KindCaught Kind = "fluid-caught" // FluidMoved
	KindFilled Kind = "fluid-filled" // FluidMoved
	KindLevel  Kind = "fluid-level"  // FluidLevel
)

// FluidSet says what is known of a fluid of the vehicle; blank fields stay as
// they were.
type FluidSet struct {
	Fluid    string                                 `json:"fluid"`
	Capacity quantity.Written[quantity.Volume]      `json:"capacity,omitzero"` // of the whole system
	Coldest  quantity.Written[quantity.Temperature] `json:"coldest,omitzero"`  // the coldest night wanted for
	Base     string                                 `json:"base,omitempty"`    // of a coolant: ethylene or propylene
	// Strength is the old coolant's glycol in per cent by volume, as written.
	Strength string `json:"strength,omitempty"`
	Product  string `json:"product,omitempty"` // concentrate or ready
	// ProductStrength is the product's glycol in per cent by volume, as written.
	ProductStrength string `json:"product_strength,omitempty"`
	Note            string `json:"note,omitempty"`
}

// FluidMoved is a volume caught or filled.
type FluidMoved struct {
	Step    string                            `json:"step,omitempty"`
	Fluid   string                            `json:"fluid"`
	Amount  quantity.Written[quantity.Volume] `json:"amount"`
	Spilled quantity.Written[quantity.Volume] `json:"spilled,omitzero"` // a guess
	What    string                            `json:"what,omitempty"`   // what was filled: "ready-mixed", "the old, strained"
	Note    string                            `json:"note,omitempty"`   // how it looked
}

// FluidLevel is a look at the level: after the filling, or again after the
// first warm-up and cooling.
type FluidLevel struct {
	Fluid string `json:"fluid"`
	After string `json:"after"` // "filling" or "first warm-up"
	Level string `json:"level"` // "at the mark", "below", "above"
}

// A FluidBook is what came out of one fluid of the vehicle, and what went in.
type FluidBook struct {
	FluidSet
	Caught, Filled   []FluidEntry
	Levels           []FluidEntry
	Out, Spilled, In quantity.Volume // the sums
	Down, Up         *Step           // the steps that let it out and fill it, nil for none
	Mapped           quantity.Volume // what the map says comes out in this job; 0 not known
}

// A FluidEntry is one line of the book.
type FluidEntry struct {
	Event string
	At    time.Time
	By    string
	Moved FluidMoved
	Level FluidLevel
}

// FluidBook finds the book of a fluid, nil if the job lets none out.
func (s *State) FluidBook(fluid string) *FluidBook {
	for _, b := range s.Fluids {
		if b.Fluid == fluid {
			return b
		}
	}
	return nil
}

// IsCoolant tells whether the fluid is the engine's coolant, by its name.
func (b *FluidBook) IsCoolant() bool { return strings.Contains(strings.ToLower(b.Fluid), "coolant") }

// SetFluid writes down what is known of a fluid.
func SetFluid(d FluidSet) Action {
	return open(func(r *Recorder, s *State) ([]Event, error) {
		switch {
		case strings.TrimSpace(d.Fluid) == "":
			return nil, refuse(CodeMissing, "Say which fluid it is.")
		case !d.Capacity.IsZero() && !(d.Capacity.Value > 0 && d.Capacity.Value <= quantity.Litres(200)):
			return nil, refuse(CodeWrong, "A system of %s cannot be: write what the whole system holds, as in 6.5 L.", d.Capacity)
		case d.Base != "" && d.Base != "ethylene" && d.Base != "propylene":
			return nil, refuse(CodeWrong, "The glycol is ethylene or propylene.")
		case d.Product != "" && d.Product != "concentrate" && d.Product != "ready":
			return nil, refuse(CodeWrong, "What is filled is a concentrate or ready-mixed.")
		}
		return one(r, s, KindFluid, d)
	})
}

// CatchFluid records a volume caught, FillFluid one filled.
func CatchFluid(d FluidMoved) Action { return moveFluid(KindCaught, d) }
func FillFluid(d FluidMoved) Action  { return moveFluid(KindFilled, d) }

func moveFluid(k Kind, d FluidMoved) Action {
	return open(func(r *Recorder, s *State) ([]Event, error) {
		if strings.TrimSpace(d.Fluid) == "" {
			return nil, refuse(CodeMissing, "Say which fluid it is.")
		}
		if d.Amount.IsZero() {
			return nil, refuse(CodeMissing, "Write how much, with its unit, as in 3.2 L.")
		}
		most := quantity.Litres(200)
		b := s.FluidBook(d.Fluid)
		if b != nil && !b.Capacity.IsZero() {
			most = b.Capacity.Value
		}
		already := quantity.Volume(0)
		word := "came out"
		if b != nil {
			if already = b.outSinceFill(); k == KindFilled {
				already, word = b.inSinceCatch(), "went in"
			}
		}
		if already+d.Amount.Value > most*1.02 {
			return nil, refuse(CodeWrong, "With %s more than the whole system holds (%s) %s: mend the amount, or the capacity.",
				d.Amount, quantity.Litre.Format(most, 3), word)
		}
		return one(r, s, k, d)
	})
}

// inSinceCatch is what was filled after the latest catch, outSinceFill what was
// caught after the latest filling: neither can be more than the system holds,
// however often it is drained and filled.
func (b *FluidBook) inSinceCatch() quantity.Volume { return sumAfter(b.Filled, b.Caught) }
func (b *FluidBook) outSinceFill() quantity.Volume { return sumAfter(b.Caught, b.Filled) }

func sumAfter(of, latest []FluidEntry) quantity.Volume {
	var since time.Time
	for _, e := range latest {
		if e.At.After(since) {
			since = e.At
		}
	}
	var sum quantity.Volume
	for _, e := range of {
		if e.At.After(since) {
			sum += e.Moved.Amount.Value
		}
	}
	return sum
}

// SeeLevel records a look at the level.
func SeeLevel(d FluidLevel) Action {
	return open(func(r *Recorder, s *State) ([]Event, error) {
		if !slices.Contains([]string{"filling", "first warm-up"}, d.After) || !slices.Contains([]string{"at the mark", "below", "above"}, d.Level) {
			return nil, refuse(CodeWrong, "A level is at the mark, below or above it, after filling or after the first warm-up.")
		}
		return one(r, s, KindLevel, d)
	})
}

func (b *builder) fluidBook(fluid string) *FluidBook {
	if book := b.s.FluidBook(fluid); book != nil {
		return book
	}
	book := &FluidBook{FluidSet: FluidSet{Fluid: fluid}}
	b.s.Fluids = append(b.s.Fluids, book)
	return book
}

func (b *builder) fluid(e Event, d FluidSet) {
	if d.Fluid == "" {
		b.problem(e.ID, "it does not say which fluid it is about")
		return
	}
	book := b.fluidBook(d.Fluid)
	if !d.Capacity.IsZero() {
		book.Capacity = d.Capacity
	}
	if !d.Coldest.IsZero() {
		book.Coldest = d.Coldest
	}
	for _, f := range []struct {
		to *string
		is string
	}{{&book.Base, d.Base}, {&book.Strength, d.Strength}, {&book.Product, d.Product}, {&book.ProductStrength, d.ProductStrength}, {&book.Note, d.Note}} {
		if f.is != "" {
			*f.to = f.is
		}
	}
}

func (b *builder) caught(e Event, d FluidMoved) {
	book := b.fluidBook(d.Fluid)
	book.Caught = append(book.Caught, FluidEntry{Event: e.ID, At: e.At, By: e.By, Moved: d})
	book.Out, book.Spilled = book.Out+d.Amount.Value, book.Spilled+d.Spilled.Value
}

func (b *builder) filled(e Event, d FluidMoved) {
	book := b.fluidBook(d.Fluid)
	book.Filled = append(book.Filled, FluidEntry{Event: e.ID, At: e.At, By: e.By, Moved: d})
	book.In += d.Amount.Value
}

func (b *builder) level(e Event, d FluidLevel) {
	book := b.fluidBook(d.Fluid)
	book.Levels = append(book.Levels, FluidEntry{Event: e.ID, At: e.At, By: e.By, Level: d})
}

// fluidBooks opens a book for every fluid the steps let out or fill, and ties
// the books to their steps.
func (b *builder) fluidBooks() {
	for _, st := range b.s.Steps {
		if st.Fluid != "" {
			b.fluidBook(st.Fluid).Up = st
		}
		if !st.Opens || st.way == nil {
			continue
		}
		for _, f := range st.way.Fluids.Items {
			book := b.fluidBook(f.Name)
			if book.Down == nil {
				book.Down = st
			}
			book.Mapped += f.Amount.Value
		}
	}
}
