package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"text/tabwriter"
	"time"

	"lastbolt/plan/access"
	"lastbolt/plan/opening"
)

type planCommand struct {
	Map     string        `arg:"positional,required" help:"Map file; demo for the bundled demo vehicle."`
	Targets []string      `arg:"positional" help:"What to do: ITEM=ACTION, with replace, reseal, inspect or access (ITEM alone means replace)."`
	Already names         `arg:"--already" help:"Items off already, conditions that hold." placeholder:"ITEM"`
	Closed  names         `arg:"--closed" help:"Items or joint kinds that must not be opened." placeholder:"ITEM"`
	AC      bool          `arg:"--licensed" help:"A sealed air conditioning circuit may be opened."`
	Tools   []string      `arg:"--tools,separate" help:"Tools owned; repeat for each." placeholder:"TOOL"`
	Only    bool          `arg:"--only-owned" help:"Use no way that needs a tool not owned."`
	Limit   time.Duration `arg:"--limit" help:"Longest time to search; the best plan found by then is given with its bound." default:"10s"`
	Why     bool          `arg:"--why" help:"Also say what each other way would have cost and what comes free."`
	JSON    bool          `arg:"--json" help:"Print the plan as JSON."`
}

func (c planCommand) Run(ctx context.Context, env *Env) error {
	if len(c.Targets) == 0 {
		return usage("Say what is to be done, as in: lastbolt plan %s ITEM=replace. What there is lists: lastbolt map items %[1]s", c.Map)
	}
	if c.Limit <= 0 {
		return usage("The limit must be longer than nothing, as in --limit 10s")
	}
	m, err := loadMap(env, c.Map)
	if err != nil {
		return err
	}
	req := opening.Request{Map: m, Already: c.Already, KeepClosed: c.Closed, Tools: c.Tools, OnlyOwned: c.Only}
	if !c.AC {
		req.KeepClosed = append(req.KeepClosed, "refrigerant")
	}
	for _, t := range c.Targets {
		target, err := readTarget(t)
		if err != nil {
			return err
		}
		req.Targets = append(req.Targets, target)
	}
	ctx, cancel := context.WithTimeout(ctx, c.Limit)
	defer cancel()
	done := progress(env.Err, "planning")
	plan, err := opening.Make(ctx, req)
	cut := false
	if err == nil && c.Why {
		err = opening.Explain(ctx, req, plan)
		if cut = errors.Is(err, context.DeadlineExceeded); cut {
			err = nil // the plan stands; what it lacks is said
		}
	}
	done()
	if _, misnamed := errors.AsType[*opening.BadRequest](err); misnamed {
		return fmt.Errorf("%w\nWhat there is lists: lastbolt map items %s", err, c.Map)
	}
	if err != nil {
		return err
	}
	if cut {
		fmt.Fprintf(env.Err, "Not every other way was tried within %s: a longer --limit tries more.\n", c.Limit)
	}
	if c.JSON {
		return printJSON(env, plan)
	}
	return printPlan(env.Out, m, plan)
}

func readTarget(text string) (opening.Target, error) {
	item, action, given := strings.Cut(text, "=")
	if !given {
		return opening.Target{Item: item, Action: access.Replace}, nil
	}
	switch a := access.Action(action); a {
	case access.Replace, access.Reseal, access.Inspect:
		return opening.Target{Item: item, Action: a}, nil
	case access.AccessOnly, "access":
		return opening.Target{Item: item, Action: access.AccessOnly}, nil
	}
	return opening.Target{}, usage("%q is nothing that can be done: write %s=replace, =reseal, =inspect or =access", action, item)
}

func printPlan(out io.Writer, m *access.Map, p *opening.Plan) error {
	w := tabwriter.NewWriter(out, 0, 4, 2, ' ', 0)
	titles := map[opening.Phase]string{opening.Down: "TAKE APART", opening.Bottom: "THE WORK", opening.Up: "PUT BACK"}
	var phase opening.Phase
	for i, st := range p.Steps {
		if st.Phase != phase {
			phase = st.Phase
			fmt.Fprintf(w, "%s\t\tmin\tset-up\tfrom\ttool\n", titles[phase])
		}
		name := stepName(m, &st)
		if st.Aside {
			name += " (set aside)"
		}
		if st.Action != "" {
			name += ": " + string(st.Action)
		}
		if st.Idle > 0 {
			name = fmt.Sprintf("%s [after waiting %s]", name, clock(st.Idle))
		}
		if ahead := slices.DeleteFunc([]string{m.PositionName(st.AheadHands), st.AheadTool}, func(s string) bool { return s == "" }); len(ahead) > 0 {
			name += fmt.Sprintf(" [meanwhile: %s]", strings.Join(ahead, ", "))
		}
		if endsItself(m, &st) {
			name += " [by itself]"
		}
		fmt.Fprintf(w, "%3d\t%s\t%s\t%s\t%s\t%s\n", i+1, shown(name), number(st.Hand+st.Trouble), number(st.SetUp), shown(m.PositionName(st.Hands)), shown(st.Tool))
		if i == p.NoReturn {
			fmt.Fprintf(w, "\t-- after this the vehicle does not drive --\t\t\t\t\n")
		}
	}
	if err := w.Flush(); err != nil {
		return err
	}
	proof := "shortest order proven"
	if !p.Proven {
		proof = fmt.Sprintf("best found; no order is under %s, gap %.1f %%", clock(p.Bound), 100*p.Gap())
	}
	p50, p80 := p.Spread()
	fmt.Fprintf(out, "\n%s, %s. Half of the times under %s, 8 of 10 under %s.\n", clock(p.Minutes), proof, clock(p50), clock(p80))
	if len(p.Missing) > 0 {
		fmt.Fprintf(out, "Tools not owned: %s\n", shown(strings.Join(p.Missing, ", ")))
	}
	for _, x := range p.Free {
		fmt.Fprintf(out, "Also open: %s, %s: + %s (later, on its own: %s)\n", shown(x.Name), x.Action, clock(x.Marginal), clock(x.Alone))
	}
	for _, x := range p.Rejected {
		more := "+ " + clock(x.More)
		if x.Never != "" {
			more = x.Never
		}
		fmt.Fprintf(out, "Other way: %s: %s\n", shown(x.Name), more)
	}
	if m.Invented {
		fmt.Fprintln(out, "All values of this map are invented, for demonstration only.")
	}
	return nil
}

// stepName is a step as something to do: what is filled, what ends.
func stepName(m *access.Map, st *opening.Step) string {
	if st.Fluid != "" {
		return "Fill: " + st.Name
	}
	if it := m.Item(st.Item); it != nil && it.Kind == access.Condition && st.Back {
		return "End: " + st.Name
	}
	return st.Name
}

// endsItself reports a step that ends a condition which passes without hands.
func endsItself(m *access.Map, st *opening.Step) bool {
	it := m.Item(st.Item)
	if it == nil || !st.Back {
		return false
	}
	way := it.Way(st.Way)
	return way != nil && it.EndsItself(way)
}

func number(m float64) string {
	if m == 0 {
		return ""
	}
	return fmt.Sprintf("%.1f", m)
}

func clock(m float64) string {
	whole := int(math.Round(m))
	if whole < 60 {
		return fmt.Sprintf("%d min", whole)
	}
	return fmt.Sprintf("%d h %02d min", whole/60, whole%60)
}
