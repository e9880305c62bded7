package opening

import (
	"math"
	"slices"
	"strings"
	"testing"

	"lastbolt/plan/access"
)

func waiting(minutes float64) *access.Wait { return &access.Wait{Kind: "soak", Minutes: span(minutes)} }

func with(w access.Way, hands, tool string) access.Way {
	w.Hands = hands
	if tool != "" {
		w.Tools = access.List[access.Tool]{Given: true, Items: []access.Tool{{Any: []string{tool}}}}
	}
	return w
}

func letting(w access.Way, fluid string, filling float64) access.Way {
	w.Fluids = access.List[access.Fluid]{Given: true, Items: []access.Fluid{{Name: fluid, Minutes: span(filling)}}}
	return w
}

func repeating(it access.Item) access.Item {
	it.Kind, it.Repeats = access.Condition, true
	return it
}

func doing(it access.Item, w access.Work) access.Item {
	it.Work = append(it.Work, w)
	return it
}

// Each of these maps has a best plan that looks needless at some point.
func TestWhatLooksNeedlessIsPlannedWhereItPays(t *testing.T) {
	soaking := with(way("off", 2), "above", "lever")
	soaking.Wait = waiting(20)
	onGround := way("off", 3)
	onGround.Still = []string{"raised"}
	for _, c := range []struct {
		name    string
		minutes float64
		steps   string // in this order, others between
		req     Request
	}{
		{"the hands change over for a later step while they wait for one that asks for nothing", 5 + 2 + 20 + 3 + 5 + 5 + 5 + 3 + 2,
			"down/cover down/pump",
			Request{Targets: replace("pump"), Map: mapOf(
				item("carrier", soaking),
				item("cover", way("off", 3, need("carrier")...)),
				item("pump", with(way("off", 5, need("cover")...), "below", "socket")),
				item("bracket", with(way("off", 0), "below", "socket")), // would bring the hands there too
			)}},
		{"a condition that held at the start is ended and, with what it needs, brought about again", 4 + 3 + 2 + 4 + 6 + 6 + 4 + 3 + 2,
			"up/raised down/nut down/raised down/hub",
			Request{Already: []string{"raised"}, Targets: replace("hub"), Map: mapOf(
				repeating(item("raised", way("stands", 4, need("jack-cover")...))),
				item("jack-cover", way("off", 2)),
				item("nut", onGround),
				item("hub", way("off", 6, need("nut", "raised")...)),
			)}},
		{"a filling that waits for a short cure is done while a long one keeps the hands idle", 2 + 5 + 5 + 30 + 2,
			"work/flange/replace up/fill-coolant up/flange",
			Request{Targets: []Target{{"flange", access.Replace}, {"sensor", access.Inspect}, {"hose", access.AccessOnly}}, Map: mapOf(
				item("hose", letting(way("off", 5), "coolant", 10)),
				doing(item("flange", way("off", 2)), access.Work{Action: access.Replace, Wait: waiting(35)}),
				doing(item("sensor", way("off", 9)), access.Work{Action: access.Inspect, Needs: []access.Need{}, Wait: waiting(2)}),
			)}},
		{"an item worked on comes off so that filling need not wait for it", 5 + 2 + 30 + 2,
			"down/seam up/fill-coolant up/seam",
			Request{Targets: []Target{{"seam", access.Reseal}}, Map: mapOf(
				item("hose", letting(way("off", 5), "coolant", 16)),
				doing(item("seam", way("off", 2)), access.Work{Action: access.Reseal, Needs: need("hose"), Wait: waiting(30)}),
			)}},
		{"a condition that is wanted only for the way back is brought about when what forbids it is back", 2*(5+6) + 4,
			"work/drum/replace up/brace down/turned up/drum",
			Request{Already: []string{"brace"}, Targets: replace("drum"), Map: mapOf(
				item("brace", way("off", 4)),
				repeating(item("turned", func() access.Way {
					w := way("by hand", 5)
					w.Still = []string{"brace"}
					return w
				}())),
				item("drum", func() access.Way {
					w := way("off", 6)
					w.Back.Still = []string{"turned"}
					return w
				}()),
			)}},
		{"alternatives within alternatives come to an end", 2*(4+3+2) + 3*4,
			"down/lamp",
			Request{Targets: replace("lamp"), Map: mapOf(
				item("a", with(way("off", 4), "above", "")), item("b", with(way("off", 3), "below", "")),
				item("c", with(way("off", 6), "below", "")), item("d", way("off", 30)),
				item("lamp", with(way("off", 2, access.Need{Any: []access.Need{{All: []access.Need{{Item: "a"}, {Any: need("b", "c")}}}, {Item: "d"}}}), "above", "")),
			)}},
	} {
		t.Run(c.name, func(t *testing.T) {
			c.req.Map.Positions = []access.Position{{ID: "above", Name: "above"}, {ID: "below", Name: "below"}}
			c.req.Map.SetUp = access.SetUp{Position: 4, Tool: 1}
			want, order := bruteForce(c.req)
			p := mustMake(t, c.req)
			if !p.Proven || math.Abs(p.Minutes-c.minutes) > Tolerance || math.Abs(want-c.minutes) > Tolerance {
				t.Errorf("got %v minutes (proven %v), want %v; trying everything gives %v:\n%s", p.Minutes, p.Proven, c.minutes, want, order)
			}
			rest := p.Steps
			for _, id := range strings.Fields(c.steps) {
				k := slices.IndexFunc(rest, func(s Step) bool { return s.ID == id })
				if k < 0 {
					t.Fatalf("got %s, want in it %s", ids(p), c.steps)
				}
				rest = rest[k+1:]
			}
		})
	}
}

func TestAStepSaysWhatItsWaitIsUsedFor(t *testing.T) {
	first := with(way("off", 2), "above", "lever")
	first.Wait = waiting(20)
	m := mapOf(item("carrier", first), item("cover", way("off", 3, need("carrier")...)), item("pump", with(way("off", 5, need("cover")...), "below", "socket")))
	m.Positions = []access.Position{{ID: "above", Name: "above"}, {ID: "below", Name: "below"}}
	m.SetUp = access.SetUp{Position: 4, Tool: 1}
	req := Request{Map: m, Targets: replace("pump")}
	p := mustMake(t, req)
	s := p.Steps[1]
	if s.ID != "down/cover" || s.AheadHands != "below" || s.AheadTool != "socket" || s.SetUp != 5 || s.Idle != 15 {
		t.Errorf("got %+v", s)
	}
	s.AheadTool = ""
	p.Steps[1] = s
	if wrong := Check(req, p); len(wrong) == 0 {
		t.Error("a change of tool that is not said is not found out")
	}
}

func TestWhatIsToStayClosedIsNotBroughtAboutAgain(t *testing.T) {
	ground := way("off", 3)
	ground.Still = []string{"raised"}
	m := mapOf(repeating(item("raised", way("stands", 4))), item("nut", ground), item("hub", way("off", 6, need("nut", "raised")...)))
	if p := mustMake(t, Request{Map: m, Targets: replace("hub"), Already: []string{"raised"}}); p.Steps[0].ID != "up/raised" {
		t.Errorf("got %s", ids(p))
	}
	req := Request{Map: m, Targets: replace("hub"), Already: []string{"raised"}, KeepClosed: []string{"raised"}}
	if want, order := bruteForce(req); !math.IsInf(want, 1) {
		t.Fatalf("trying everything finds %s", order)
	}
	if p, err := Make(t.Context(), req); err == nil {
		t.Errorf("got %s", ids(p))
	}
}
