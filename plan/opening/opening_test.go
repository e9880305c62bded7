package opening

import (
	"context"
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"lastbolt/plan/access"
)

func need(ids ...string) []access.Need {
	var n []access.Need
	for _, id := range ids {
		n = append(n, access.Need{Item: id})
	}
	return n
}

func way(id string, minutes float64, needs ...access.Need) access.Way {
	return access.Way{ID: id, Minutes: access.BothWays{Off: span(minutes), On: span(minutes)}, Needs: needs}
}

func item(id string, ways ...access.Way) access.Item {
	return access.Item{ID: id, Name: strings.ToUpper(id[:1]) + id[1:], Ways: ways}
}

func mapOf(items ...access.Item) *access.Map {
	return &access.Map{Format: access.Format, ID: "m", Name: "M", Items: items}
}

func ids(p *Plan) string {
	var s []string
	for i := range p.Steps {
		s = append(s, p.Steps[i].ID)
	}
	return strings.Join(s, " ")
}

func mustMake(t *testing.T, req Request) *Plan {
	t.Helper()
	p, err := Make(context.Background(), req)
	if err != nil {
		t.Fatal(err)
	}
	if wrong := Check(req, p); len(wrong) > 0 {
		t.Fatalf("the plan is not sound: %v", wrong)
	}
	return p
}

func replace(ids ...string) []Target {
	var t []Target
	for _, id := range ids {
		t = append(t, Target{id, access.Replace})
	}
	return t
}

func TestCircularSupportIsNotAPlan(t *testing.T) {
	m := mapOf(
		item("lamp", way("off", 1, access.Need{Any: need("grille")})),
		item("grille", way("off", 1, need("bumper")...), way("deep", 20)),
		item("bumper", way("off", 1, need("grille")...)),
	)
	p := mustMake(t, Request{Map: m, Targets: replace("lamp")})
	if got, want := ids(p), "down/grille down/lamp work/lamp/replace up/lamp up/grille"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
	if p.Steps[0].Way != "deep" {
		t.Errorf("the grille comes off by %q, which rests on itself", p.Steps[0].Way)
	}
	m.Items[1].Ways = m.Items[1].Ways[:1]
	_, err := Make(context.Background(), Request{Map: m, Targets: replace("lamp")})
	if want := "Grille needs Bumper out of the way and Bumper needs Grille: the map goes round in a circle."; err == nil || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
}

func TestTheSmallestReasonIsNamed(t *testing.T) {
	line := way("off", 5)
	line.Opens = []access.Joint{{Kind: "refrigerant"}}
	tray := way("off", 5)
	tray.Tools = access.List[access.Tool]{Given: true, Items: []access.Tool{{Any: []string{"T30 bit"}}}}
	m := mapOf(
		item("tray", tray),
		item("line", line),
		item("compressor", way("off", 5, need("line", "tray")...)),
		item("pump", way("off", 5, need("tray")...), way("aside", 5, need("compressor")...)),
		item("bare"),
	)
	m.Items[3].Ways[1].Kind = access.Aside
	crack := way("crack", 1)
	crack.Still = []string{"belt"}
	m.Items = append(m.Items, item("belt", way("off", 2, need("bolts")...)), item("bolts", crack),
		item("pulley", way("off", 2, need("bolts", "belt")...)))
	m.Items[len(m.Items)-3].Ways[0].Needs = nil
	loop := way("crack", 1, need("belt")...)
	loop.Still = []string{"belt"}
	m.Items = append(m.Items, item("nut", loop))
	for _, c := range []struct {
		name string
		req  Request
		want string
	}{
		{"a sealed circuit", Request{Targets: replace("compressor"), KeepClosed: []string{"refrigerant"}},
			"Line can only be opened with the refrigerant circuit, which you asked to keep closed."},
		{"an item, while something else forbidden does no harm", Request{Targets: replace("compressor"), KeepClosed: []string{"pump", "tray"}},
			"Compressor can only be got at with Tray out of the way, which you asked to keep closed."},
		{"the target itself", Request{Targets: replace("tray"), KeepClosed: []string{"tray"}},
			"Tray has to be opened for this, and you asked to keep it closed."},
		{"a tool", Request{Targets: replace("pump"), Tools: []string{"hammer"}, OnlyOwned: true},
			"Tray can only be opened with a T30 bit, which is not among your tools."},
		{"nothing to move it by", Request{Targets: replace("bare")}, "The map has no way to move Bare."},
		{"still fitted and off at once", Request{Targets: replace("nut")},
			"Nut is opened while Belt is still fitted, and no order of taking apart allows that."},
	} {
		t.Run(c.name, func(t *testing.T) {
			c.req.Map = m
			_, err := Make(context.Background(), c.req)
			var no *Impossible
			if !errors.As(err, &no) {
				t.Fatalf("got %v, want an Impossible", err)
			}
			if no.Error() != c.want {
				t.Errorf("got  %s\nwant %s", no, c.want)
			}
		})
	}
}

func TestABadRequestIsAnsweredWithASentence(t *testing.T) {
	m := mapOf(item("alternator", way("off", 5)), item("starter", way("off", 5)))
	for _, c := range []struct {
		name string
		req  Request
		want string
	}{
		{"no targets", Request{Map: m}, "Choose at least one thing to do"},
		{"no map", Request{Targets: replace("starter")}, "There is no map to plan from"},
		{"unknown target", Request{Map: m, Targets: replace("alternater")}, `There is no item "alternater" on the map "M"; the nearest are alternator`},
		{"unknown action", Request{Map: m, Targets: []Target{{"starter", "polish"}}}, `must be replace, reseal, inspect or access only, not "polish"`},
		{"unknown already", Request{Map: m, Targets: replace("starter"), Already: []string{"belt"}}, `There is no item "belt" on the map, said to be out of the way already`},
		{"unknown way already", Request{Map: m, Targets: replace("starter"), Already: []string{"starter/tip"}}, `"starter" is said to be out of the way by "tip", but its ways are off.`},
		{"unknown to keep closed", Request{Map: m, Targets: replace("starter"), KeepClosed: []string{"startr"}}, "neither an item of the map nor a kind of joint; the nearest are starter"},
		{"a need not on the map", Request{Map: mapOf(item("a", way("off", 1, need("zz")...))), Targets: replace("a")}, `names the item "zz", which is not on it`},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := Make(context.Background(), c.req)
			var b *BadRequest
			if !errors.As(err, &b) || !strings.Contains(err.Error(), c.want) {
				t.Errorf("got %v, want a BadRequest with %q", err, c.want)
			}
		})
	}
}

func TestTargetsAskedForTwiceAreDoneOnce(t *testing.T) {
	m := mapOf(item("belt", way("off", 5)))
	p := mustMake(t, Request{Map: m, Targets: append(replace("belt", "belt"), Target{"belt", access.Inspect})})
	if got, want := ids(p), "down/belt work/belt/replace work/belt/inspect up/belt"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

func TestTheWayBackObeysItsOwnRules(t *testing.T) {
	raised := access.Item{ID: "raised", Name: "Raised", Kind: access.Condition, Repeats: true, Immobile: true, Ways: []access.Way{way("stands", 4)}}
	crack := way("crack", 1)
	crack.Still = []string{"raised"}
	crack.Back = access.Back{After: []string{"wheel"}, Ground: true}
	cover := way("off", 3, need("wheel")...)
	cover.Fluids = access.List[access.Fluid]{Given: true, Items: []access.Fluid{{Name: "engine oil"}}}
	cover.Back = access.Back{Wait: &access.Wait{Kind: "cure", Minutes: span(30)}}
	m := mapOf(raised, item("nuts", crack), item("wheel", way("off", 2, need("nuts", "raised")...)), item("cover", cover))
	m.Items[2].Immobile = true
	p := mustMake(t, Request{Map: m, Targets: replace("cover")})
	want := "down/nuts down/raised down/wheel down/cover work/cover/replace up/cover up/wheel up/raised up/nuts up/fill-engine-oil"
	if got := ids(p); got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	// Oil goes in once the sealant has cured: 30 minutes from the cover on.
	if last := p.Steps[len(p.Steps)-1]; math.Abs(last.Idle-23) > 1e-9 || p.Minutes != 13+30 {
		t.Errorf("idle %v before filling, %v minutes in all; want 23 and 43", last.Idle, p.Minutes)
	}
	if p.NoReturn != 2 {
		t.Errorf("the point of no return is step %d, want 2, the wheel: what is raised can be lowered", p.NoReturn)
	}
}

func TestFillingTakesTheLongestOfItsMinutes(t *testing.T) {
	drained := func(id string, fill access.Span) access.Item {
		w := way("off", 3)
		w.Fluids = access.List[access.Fluid]{Given: true, Items: []access.Fluid{{Name: "coolant", Minutes: fill}}}
		return item(id, w)
	}
	m := mapOf(drained("hose", span(4)), drained("tap", access.Span{Low: 6, Likely: 9, High: 18}))
	req := Request{Map: m, Targets: replace("hose", "tap")}
	p := mustMake(t, req)
	last := p.Steps[len(p.Steps)-1]
	if last.Fluid != "coolant" || last.Hand != 10 || last.Span.High != 18 || p.Minutes != 22 {
		t.Errorf("filling %+v, %v minutes in all; want 10 minutes at hand, 6 to 18, and 22 in all", last, p.Minutes)
	}
	if _, with := p.Spread(); with <= p.Minutes {
		t.Errorf("8 of 10 under %v minutes; the spread of the filling is left out", with)
	}
	p.Steps[len(p.Steps)-1].Hand = 4
	if len(Check(req, p)) == 0 {
		t.Error("a filling shorter than the map says passes the check")
	}
}

// The tray can come off once the hose has drained, or with the van raised: raising
// it saves the wait, and so is not for nothing.
func TestAConditionMaySaveAWait(t *testing.T) {
	hose := way("off", 3)
	hose.Wait = &access.Wait{Kind: "drain", Minutes: span(60)}
	tray := way("off", 4)
	tray.Needs = []access.Need{{Any: []access.Need{{Item: "hose"}, {Item: "raised"}}}}
	raised := access.Item{ID: "raised", Name: "Raised", Kind: access.Condition, Repeats: true, Ways: []access.Way{way("stands", 5)}}
	m := mapOf(item("hose", hose), item("tray", tray), raised)
	p := mustMake(t, Request{Map: m, Targets: append(replace("tray"), Target{"hose", access.Inspect})})
	if !strings.Contains(ids(p), "down/raised") {
		t.Errorf("%s takes %v minutes; raising would save the wait of the hose", ids(p), p.Minutes)
	}
}

func TestAConditionIsSwitchedAsOftenAsItHasToBe(t *testing.T) {
	raised := access.Item{ID: "raised", Name: "Raised", Kind: access.Condition, Repeats: true, Ways: []access.Way{way("stands", 4)}}
	onGround := way("off", 1, need("tray")...)
	onGround.Still = []string{"raised"}
	m := mapOf(raised, item("tray", way("off", 2, need("raised")...)), item("arm", onGround), item("bush", way("off", 1, need("arm", "raised")...)))
	p := mustMake(t, Request{Map: m, Targets: replace("bush")})
	if got, want := ids(p), "down/raised down/tray up/raised down/arm down/raised#2 down/bush work/bush/replace up/bush up/arm up/tray up/raised#2"; got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
}

func TestEachStepKnowsWhy(t *testing.T) {
	m := mapOf(item("tray", way("off", 2)), item("belt", way("off", 2, need("tray")...)), item("pump", way("off", 2, need("belt")...)))
	p := mustMake(t, Request{Map: m, Targets: replace("pump")})
	if got := strings.Join(p.Steps[0].Why, ", "); got != "Tray, Belt, Pump" {
		t.Errorf("the tray comes off for %s, want Tray, Belt, Pump", got)
	}
	if got := strings.Join(p.Steps[1].Before, " "); got != "down/tray" {
		t.Errorf("before the belt comes %q, want down/tray", got)
	}
}

func TestExplainPricesWhatWasNotChosen(t *testing.T) {
	m := mapOf(
		item("tray", way("off", 2)),
		item("belt", way("below", 2, need("tray")...), way("above", 9)),
		item("pump", way("off", 2, need("belt")...)),
		item("fan", way("off", 3, need("belt")...)),
	)
	m.Items[1].Work = []access.Work{{Action: access.Replace, Minutes: span(1), Needs: need("belt")}}
	m.Items[3].Work = []access.Work{{Action: access.Replace, Minutes: span(1)}}
	req := Request{Map: m, Targets: replace("pump")}
	p := mustMake(t, req)
	if err := Explain(context.Background(), req, p); err != nil {
		t.Fatal(err)
	}
	if len(p.Rejected) != 1 || p.Rejected[0].Way != "above" || math.Abs(p.Rejected[0].More-10) > 1e-9 {
		t.Errorf("rejected %+v, want the belt from above for 10 minutes more (18 against 8)", p.Rejected)
	}
	want := []Extra{{"belt", "Belt", access.Replace, 1, 9}, {"fan", "Fan", access.Replace, 7, 15}}
	if !slices.Equal(p.Free, want) {
		t.Errorf("free %+v, want %+v", p.Free, want)
	}
}

func TestALookAtWhatIsReplacedAnywayIsNotAnExtra(t *testing.T) {
	m := mapOf(item("tray", way("off", 2)), item("pump", way("off", 2, need("tray")...)))
	m.Items[0].Work = []access.Work{{Action: access.Inspect, Minutes: span(1)}}
	m.Items[1].Work = []access.Work{{Action: access.Replace, Minutes: span(3)}, {Action: access.Inspect, Minutes: span(1)}}
	req := Request{Map: m, Targets: replace("pump")}
	p := mustMake(t, req)
	if err := Explain(context.Background(), req, p); err != nil {
		t.Fatal(err)
	}
	if len(p.Free) != 1 || p.Free[0].Item != "tray" {
		t.Errorf("free %+v, want a look at the tray only", p.Free)
	}
}

func TestAStoppedSearchReturnsItsBestWithABound(t *testing.T) {
	r := smallRequestWithPlan(t)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	p, err := Make(ctx, r)
	if err != nil {
		t.Fatal(err)
	}
	if wrong := Check(r, p); len(wrong) > 0 {
		t.Errorf("the plan is not sound: %v", wrong)
	}
	best := mustMake(t, r).Minutes
	if p.Bound > best+Tolerance || p.Minutes < best-Tolerance {
		t.Errorf("stopped with %v to %v minutes, but the best takes %v", p.Bound, p.Minutes, best)
	}
}

func smallRequestWithPlan(t *testing.T) Request {
	t.Helper()
	return Request{Map: mapOf(
		item("tray", way("off", 2)), item("liner", way("off", 3)),
		item("belt", way("below", 2, need("tray")...), way("arch", 3, need("liner")...)),
		item("pump", way("off", 2, need("belt")...)),
	), Targets: replace("pump")}
}

func TestWhatWasFoundInTheWayGoesBackAfterIt(t *testing.T) {
	m := mapOf(item("tray", way("off", 2)), item("pump", way("off", 2, need("tray")...)))
	opened := []Opened{
		{Item: "tray", Way: "off"},
		{Item: "heat-shield", Found: &access.Item{Name: "Heat shield"}, InWayOf: []string{"pump"}},
		{Item: "pump", Way: "off"},
	}
	p, err := Remake(context.Background(), Request{Map: m}, opened)
	if err != nil {
		t.Fatal(err)
	}
	got := ids(p)
	if got != "up/pump up/tray up/heat-shield" && got != "up/pump up/heat-shield up/tray" {
		t.Errorf("got %s, want the pump back before the shield and the tray", got)
	}
	if len(m.Items) != 2 || len(m.Items[1].Ways[0].Needs) != 1 {
		t.Error("the map itself was changed")
	}
}

func TestCheckFindsWhatIsWrong(t *testing.T) {
	cure := way("off", 2, need("tray")...)
	cure.Fluids = access.List[access.Fluid]{Given: true, Items: []access.Fluid{{Name: "coolant"}}}
	m := mapOf(item("tray", way("off", 2)), item("belt", way("off", 2, need("tray")...)), item("pump", cure))
	m.Items[2].Ways[0].Needs = need("belt")
	req := Request{Map: m, Targets: replace("pump")}
	good := mustMake(t, req)
	swap := func(p *Plan, i, j int) { p.Steps[i], p.Steps[j] = p.Steps[j], p.Steps[i] }
	drop := func(p *Plan, i int) { p.Steps = slices.Delete(p.Steps, i, i+1) }
	for _, c := range []struct {
		name  string
		spoil func(*Plan)
		want  string
	}{
		{"a need", func(p *Plan) { swap(p, 0, 1) }, "down/belt: what it needs is not out of the way."},
		{"the way back", func(p *Plan) { swap(p, 4, 5) }, "what should still be out of the way is not."},
		{"a part left over", func(p *Plan) { drop(p, 6) }, "tray is not back."},
		{"a fluid", func(p *Plan) { p.Steps = slices.DeleteFunc(p.Steps, func(s Step) bool { return s.Fluid != "" }) }, "coolant is not filled."},
		{"the work", func(p *Plan) { drop(p, 3) }, "replace of pump is not done."},
		{"the sum", func(p *Plan) { p.Minutes++ }, "at the end: the steps take"},
		{"a time", func(p *Plan) { p.Steps[1].Hand = 1 }, "down/belt: its hand minutes are not those of the map."},
		{"something twice", func(p *Plan) { p.Steps = slices.Insert(p.Steps, 1, p.Steps[0]) }, "down/tray: it is out of the way already."},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := *good
			p.Steps = slices.Clone(good.Steps)
			c.spoil(&p)
			if wrong := Check(req, &p); !slices.ContainsFunc(wrong, func(s string) bool { return strings.Contains(s, c.want) }) {
				t.Errorf("got %q, want one with %q", wrong, c.want)
			}
		})
	}
}

// The critical path of a textbook network (wizedu question 717873): means
// 5.33, 5, 9.67, 4.33, 6.67, 9.83, 2.17, 7.83; sum, variance and odds worked
// out from its three-point figures.
func TestSpreadAddsUpThreePointEstimates(t *testing.T) {
	var p Plan
	for _, s := range []access.Span{{Low: 5, Likely: 5, High: 7}, {Low: 5, Likely: 5, High: 5}, {Low: 1, Likely: 10, High: 17},
		{Low: 4, Likely: 4, High: 6}, {Low: 2, Likely: 7, High: 10}, {Low: 6, Likely: 10, High: 13}, {Low: 2, Likely: 2, High: 3}, {Low: 7, Likely: 7, High: 12}} {
		p.Steps = append(p.Steps, Step{Hand: s.Mean(), Span: s})
		p.Minutes += s.Mean()
	}
	if math.Abs(p.Minutes-50.8333) > 5e-5 {
		t.Errorf("mean %v, want 50.8333", p.Minutes)
	}
	p50, p80 := p.Spread()
	// Lognormal of mean 50.8333 and variance 11.1944: median 50.8333/√(1+v/m²).
	if want := 50.8333 / math.Sqrt(1+11.1944/(50.8333*50.8333)); math.Abs(p50-want) > 1e-3 {
		t.Errorf("even odds at %v, want %v", p50, want)
	}
	// σ² = ln(1 + 11.1944/50.8333²) = 0.0043228; exp(μ + 0.84162·σ), worked out.
	if want := 53.6094; math.Abs(p80-want) > 1e-3 {
		t.Errorf("four in five at %v, want %v", p80, want)
	}
	// Fenton–Wilkinson of three tasks: mean 86.0008, sd 36.7354, median 79.088 (worked out).
	if got, _ := quantiles(86.0008, 36.7354*36.7354); math.Abs(got-79.088) > 1e-3 {
		t.Errorf("median %v, want 79.088", got)
	}
}
